"""What each number of the sheets is compared with.

| topic | recomputed with | why they may differ |
|---|---|---|
| density, range, equalised reading | iapws (IAPWS-IF97) | the same formulation: rounding only |
| density | CoolProp (IAPWS-95) | another formulation: 5e-5 liquid, 4e-4 vapour (IAPWS R7-97) |
| valve coefficient | fluids (IEC 60534-2-1), no fittings, turbulent | the same equations: rounding only |
| gain, phase, delay margin, Ms | python-control's frequency response with the exact delay | our search against a dense grid with refinement |
| water between marks | fluids' tank volumes | the same geometry; torispherical numeric |
"""

import math

import control
import CoolProp.CoolProp as coolprop
import fluids
import numpy
from fluids.control_valve import size_control_valve_l
from iapws.iapws97 import _Region1, _Region2, _TSat_P
from scipy.optimize import brentq, minimize_scalar


class Worst:
    """Largest difference a topic has seen, and how often it was looked at."""

    def __init__(self):
        self.seen = {}

    def note(self, topic, where, ours, theirs, scale=None):
        scale = abs(theirs) if scale is None else scale
        difference = abs(ours - theirs) / scale
        if not difference >= 0.0:
            difference = math.inf
        count, worst, place = self.seen.get(topic, (0, -1.0, ""))
        if difference > worst:
            worst, place = difference, where
        self.seen[topic] = (count + 1, worst, place)


def liquid(kelvin, pascal):
    """Compressed water, kg/m3 (IAPWS-IF97 region 1)."""
    return 1.0 / _Region1(kelvin, pascal / 1e6)["v"]


def saturated(pascal):
    """Saturated liquid and vapour, kg/m3 (IAPWS-IF97)."""
    kelvin = _TSat_P(pascal / 1e6)
    return 1.0 / _Region1(kelvin, pascal / 1e6)["v"], 1.0 / _Region2(kelvin, pascal / 1e6)["v"]


def ranging(worst, where, sheet):
    """Densities at the normal condition, the hot range from them, the equalised reading."""
    loop, found = sheet["loop"], sheet["range"]
    normal, ours = found["normal"], found["densities"]
    pascal = normal["pressure_pa_abs"]
    gravity = loop["site"]["gravity_m_s2"]
    below = loop["cell"]["below_lower_tap_m"]
    span = loop["range"]["at_100_percent_m"] - loop["range"]["at_0_percent_m"]
    working = liquid(loop["working_leg_k"], pascal)
    worst.note("leg density, iapws", where, ours["working_below_kg_m3"], working)
    if loop["reference_leg"]["kind"] == "wet":
        rl, rv = saturated(pascal)
        leg = liquid(loop["reference_leg"]["top_k"], pascal)
        worst.note("saturated density, iapws", where, ours["liquid_kg_m3"], rl)
        worst.note("saturated density, iapws", where, ours["vapour_kg_m3"], rv)
        worst.note("leg density, iapws", where, ours["reference_above_kg_m3"], leg)
        worst.note(
            "saturated liquid, CoolProp", where, ours["liquid_kg_m3"], coolprop.PropsSI("D", "P", pascal, "Q", 0, "Water")
        )
        worst.note(
            "saturated vapour, CoolProp", where, ours["vapour_kg_m3"], coolprop.PropsSI("D", "P", pascal, "Q", 1, "Water")
        )
        worst.note(
            "leg density, CoolProp",
            where,
            ours["reference_above_kg_m3"],
            coolprop.PropsSI("D", "P", pascal, "T", loop["reference_leg"]["top_k"], "Water"),
        )
        lip = loop["reference_leg"]["pot_lip_m"]

        def differential(h):
            return gravity * (rl * h + rv * (lip - h) + working * below - leg * lip - leg * below)

        sign = 1.0 if found["polarity"] == "bottom-on-high" else -1.0
    else:
        rl = liquid(loop["vessel"]["water_k"], pascal)
        rv = ours["vapour_kg_m3"]
        worst.note("stored water density, iapws", where, ours["liquid_kg_m3"], rl)
        worst.note(
            "air density, CoolProp", where, rv, coolprop.PropsSI("D", "P", pascal, "T", 0.5 * (loop["site"]["ambient_lowest_k"] + loop["site"]["ambient_highest_k"]), "Air")
        )
        sign = 1.0
        air = found["densities"]["reference_above_kg_m3"]

        def differential(h):
            return gravity * (rl * h + working * below - air * (h + below))

    low = sign * differential(loop["range"]["at_0_percent_m"])
    high = sign * differential(loop["range"]["at_100_percent_m"])
    scale = gravity * rl * span
    topic = "range, iapws" if loop["reference_leg"]["kind"] == "wet" else "range of a tank, iapws"
    worst.note(topic, where, found["lrv_pa"], low, scale)
    worst.note(topic, where, found["urv_pa"], high, scale)
    if found["equalised_percent"] is not None:
        worst.note("equalised reading, iapws", where, found["equalised_percent"], 100.0 * -low / (high - low), 100.0)


def frequency_response(gain, reset_s, process_gain, dead_time_s):
    """L(jw): python-control's response of Kc(1 + 1/Ts)k'/s times the exact delay."""
    s = control.tf("s")
    rational = gain * (1 + 1 / (reset_s * s)) * process_gain / s

    def response(omega):
        return rational(1j * omega) * numpy.exp(-1j * omega * dead_time_s)

    return response


def margins_of(gain, reset_s, process_gain, dead_time_s):
    """Ms, gain margin, phase margin (deg), delay margin (s)."""
    response = frequency_response(gain, reset_s, process_gain, dead_time_s)
    omega = numpy.geomspace(1e-3 / dead_time_s, 20.0 / dead_time_s, 4000)
    sensitivity = 1.0 / abs(1.0 + response(omega))
    top = int(numpy.argmax(sensitivity))
    best = minimize_scalar(
        lambda log: -1.0 / abs(1.0 + response(math.exp(log))),
        bounds=(math.log(omega[max(top - 1, 0)]), math.log(omega[min(top + 1, len(omega) - 1)])),
        method="bounded",
        options={"xatol": 1e-12},
    )
    ms = -best.fun
    # With the delay alone past the corner, phase falls through -180 once.
    exact_phase = lambda w: -math.pi + math.atan(w * reset_s) - w * dead_time_s
    high = omega[-1]
    low = 0.2 / dead_time_s if exact_phase(0.2 / dead_time_s) > -math.pi else 1e-3 / dead_time_s
    if exact_phase(low) <= -math.pi:
        return None
    crossing = brentq(lambda w: exact_phase(w) + math.pi, low, high)
    gm = 1.0 / abs(response(crossing))
    log_gain = lambda w: math.log(abs(response(w)))
    gain_crossing = brentq(log_gain, omega[0] * 1e-3, omega[-1] * 1e3)
    pm = math.degrees(exact_phase(gain_crossing) + math.pi)
    return ms, gm, pm, math.radians(pm) / gain_crossing


def margins(worst, where, sheet):
    """Every judged PI setting: the worst over the duty points."""
    tuning = sheet["tuning"]
    for name in ("chosen", "slowest", "fastest"):
        judged = tuning[name]
        if not judged or judged["reset_s"] is None or judged["derivative_s"] != 0.0:
            continue
        found = [
            margins_of(judged["gain_ratio"], judged["reset_s"], duty["indicated_gain_per_s"], tuning["dead_time_s"])
            for duty in tuning["duties"]
        ]
        if any(margin is None for margin in found):
            continue
        worst.note("Ms, python-control", where, judged["max_sensitivity_ratio"], max(m[0] for m in found))
        worst.note("gain margin, python-control", where, judged["gain_margin_ratio"], min(m[1] for m in found))
        worst.note("phase margin, python-control", where, judged["phase_margin_deg"], min(m[2] for m in found), 60.0)
        worst.note("delay margin, python-control", where, judged["delay_margin_s"], min(m[3] for m in found))


HEAD_KINDS = {"flat": None, "ellipsoidal": "ellipsoidal", "hemispherical": "spherical", "torispherical": "torispherical"}


def tank_of(vessel):
    """The vessel as fluids describes it."""
    words = vessel["heads"].lower()
    kind = next((kind for word, kind in HEAD_KINDS.items() if word in words), "?")
    assert kind != "?", words
    extra = {"sideA": kind, "sideB": kind} if kind else {}
    if kind == "torispherical":
        extra |= {"sideA_f": 1.0, "sideA_k": 0.06, "sideB_f": 1.0, "sideB_k": 0.06}
    elif kind:
        extra |= {"sideA_a": vessel["head_depth_m"], "sideB_a": vessel["head_depth_m"]}
    return fluids.TANK(
        D=vessel["inside_diameter_m"],
        L=vessel["straight_length_m"],
        horizontal=vessel["orientation"] == "horizontal",
        **extra,
    )


def volumes(worst, where, sheet):
    """Water between marks (mass over density) and the free surface at the set point."""
    vessel = sheet["loop"]["vessel"]
    if vessel["internals"]:
        return
    tank = tank_of(vessel)
    tap = vessel["lower_tap_above_bottom_m"]
    heights = {mark["name"]: mark["true_level_m"] + tap for mark in sheet["level_map"]["marks"]}
    # What has to leave for the level to fall: water less the vapour that takes its place.
    densities = sheet["range"]["densities"]
    density = densities["liquid_kg_m3"]
    if vessel["kind"] != "vented-tank":
        density -= densities["vapour_kg_m3"]
    for reserve in sheet["signal_loss"]["reserves"]:
        if reserve["from"] not in heights or reserve["to"] not in heights:
            continue
        volume = tank.V_from_h(heights[reserve["from"]], "full") - tank.V_from_h(heights[reserve["to"]], "full")
        worst.note("volume between marks, fluids", where, reserve["mass_kg"] / density, volume)
    set_point = next(m["true_level_m"] for m in sheet["level_map"]["marks"] if m["kind"] == "set-point") + tap
    step = 1e-4
    surface = (tank.V_from_h(set_point + step, "full") - tank.V_from_h(set_point - step, "full")) / (2 * step)
    worst.note("free surface, fluids", where, sheet["tuning"]["duties"][0]["free_surface_m2"], surface)


def valves(worst, where, sheet):
    """Kv of every duty with flow: turbulent, pipe as wide as the valve."""
    feedwater = sheet.get("feedwater")
    if not feedwater:
        return
    for duty in feedwater["duties"]:
        if duty["flow_kg_s"] <= 0.0 or duty["regime"] not in ("turbulent", "choked"):
            continue
        # By our own choked drop fluids' Reynolds branch is out of play: its laminar branch is known not to converge.
        theirs = size_control_valve_l(
            rho=duty["density_kg_m3"],
            Psat=duty["vapour_pressure_pa_abs"],
            Pc=22.064e6,
            mu=1e-9,
            P1=duty["inlet_pressure_pa_abs"],
            P2=duty["outlet_pressure_pa_abs"],
            Q=duty["flow_m3_s"],
            FL=duty["recovery_factor_ratio"],
            Fd=duty["style_modifier_ratio"],
            allow_choked=True,
        )
        worst.note("Kv, fluids", where, duty["kv_required_m3_h"], theirs)
        # Ours is taken at the supply's shut-off pressure for all flows: compressibility is the difference.
        worst.note(
            "water at the valve, iapws", where, duty["density_kg_m3"], liquid(duty["water_k"], duty["inlet_pressure_pa_abs"])
        )
