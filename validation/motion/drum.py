"""The drum boiler of Astrom and Bell, written down again from the paper's balances and solved by another solver.

Source: K. J. Astrom, R. D. Bell, "Drum-boiler dynamics", Automatica 36 (2000) 363-378: global balances (eqs. 1, 2), riser balances
(eqs. 12, 13), steam in the drum (eqs. 19 to 22), circulation (eq. 15), mean void (eq. 11). (Numbers of equations from memory.)

Not the program's way: no coefficients e11 to e44. The stored amounts are written as functions of the state, their slopes taken by
central differences with CoolProp's IF97, and the balances solved as one linear system with the flow out of the risers among the
unknowns. The mean void is the integral over the risers' height by Gauss-Legendre quadrature, not its closed form.
"""

import numpy
from CoolProp import AbstractState, PQ_INPUTS

_WATER = AbstractState("IF97", "Water")
_NODES, _WEIGHTS = numpy.polynomial.legendre.leggauss(40)
# Energy of metal counts from here, K; only its differences matter.
_DATUM_K = 273.16


def saturated(pressure_pa):
    """rho_w, rho_s, h_w, h_s, t_s in SI."""
    _WATER.update(PQ_INPUTS, pressure_pa, 0.0)
    liquid = (_WATER.rhomass(), _WATER.hmass(), _WATER.T())
    _WATER.update(PQ_INPUTS, pressure_pa, 1.0)
    return liquid[0], _WATER.rhomass(), liquid[1], _WATER.hmass(), liquid[2]


def mean_void(rw, rs, quality):
    """Steam's mass fraction rises evenly with height; no slip."""
    x = quality * 0.5 * (_NODES + 1.0)
    return float(0.5 * numpy.dot(_WEIGHTS, rw * x / (rs + (rw - rs) * x)))


class Drum:
    """A boiler with the sizes that the program says it took."""

    def __init__(self, sizes):
        self.__dict__.update(sizes)
        self.volume = self.drum_volume_m3 + self.riser_volume_m3 + self.downcomer_volume_m3

    def stored(self, y):
        """Mass, energy of all; mass, energy in the risers; mass of steam under the surface."""
        water, p, quality, steam = y
        rw, rs, hw, hs, ts = saturated(p)
        void = mean_void(rw, rs, quality)
        vapour = self.volume - water
        cp, vr = self.metal_heat_capacity_j_kg_k, self.riser_volume_m3
        return numpy.array(
            [
                rw * water + rs * vapour,
                rw * hw * water + rs * hs * vapour - p * self.volume + self.total_metal_kg * cp * (ts - _DATUM_K),
                (rs * void + rw * (1.0 - void)) * vr,
                (rs * hs * void + rw * hw * (1.0 - void) - p) * vr + self.riser_metal_kg * cp * (ts - _DATUM_K),
                rs * steam,
            ]
        )

    def slopes(self, y):
        """Of what is stored, column by column."""
        columns = []
        for index, step in enumerate((1e-3, 1e-5 * y[1], 1e-5 * y[2], 1e-3)):
            move = numpy.zeros(4)
            move[index] = step
            columns.append((self.stored(y + move) - self.stored(y - move)) / (2.0 * step))
        return numpy.array(columns).T

    def rates(self, _time, y, boundary):
        water, p, quality, steam = y
        rw, rs, hw, hs, ts = saturated(p)
        hc = hs - hw
        void = mean_void(rw, rs, quality)
        vr = self.riser_volume_m3
        qdc = numpy.sqrt(2.0 * rw * self.downcomer_area_m2 * (rw - rs) * self.gravity_m_s2 * void * vr / self.friction)
        qf, hf, qs, heat = (boundary[key] for key in ("feed_kg_s", "feed_enthalpy_j_kg", "steam_kg_s", "heat_w"))
        _, _, hw_low, hs_low, ts_low = saturated(p * (1.0 - 1e-5))
        _, _, hw_high, hs_high, ts_high = saturated(p * (1.0 + 1e-5))
        dhw, dhs, dts = ((a - b) / (2e-5 * p) for a, b in ((hw_high, hw_low), (hs_high, hs_low), (ts_high, ts_low)))
        drum_water = water - self.downcomer_volume_m3 - (1.0 - void) * vr
        # Flow that condenses in the drum: feed, and what the pressure's change takes.
        by_feed = (hw - hf) / hc * qf
        by_pressure = (
            rs * steam * dhs
            + rw * drum_water * dhw
            - (steam + drum_water)
            + self.drum_metal_kg * self.metal_heat_capacity_j_kg_k * dts
        ) / hc
        slopes = self.slopes(y)
        # Unknowns: four rates, and q_r.
        system = numpy.zeros((5, 5))
        system[:, :4] = slopes
        right = numpy.array([qf - qs, heat + qf * hf - qs * hs, qdc, heat + qdc * hw, 0.0])
        system[2, 4] = 1.0
        system[3, 4] = quality * hc + hw
        # d(rs Vsd)/dt = a q_r - q_sd - q_cd,  q_sd = rs/Td (Vsd - Vsd0) + a q_dc + a b (q_dc - q_r)
        system[4, 4] = -quality * (1.0 + self.beta)
        system[4, 1] += by_pressure
        right[4] = (
            rs / self.steam_residence_s * (self.undisturbed_steam_m3 - steam)
            - quality * (1.0 + self.beta) * qdc
            - by_feed
        )
        # Rows differ by ten orders of size.
        size = numpy.abs(system).max(axis=1)
        return numpy.linalg.solve(system / size[:, None], right / size)[:4]

    def mixture_level_m(self, y):
        rw, rs, *_ = saturated(y[1])
        drum_water = y[0] - self.downcomer_volume_m3 - (1.0 - mean_void(rw, rs, y[2])) * self.riser_volume_m3
        return (drum_water + y[3]) / self.drum_area_m2
