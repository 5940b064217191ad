"""Random loop files: plausible vessels, legs, ranges, duty points, written as a person would, in many units.

Every plant made here is invented. The same seed gives the same files.
"""

import random
from pathlib import Path

PA_PER_PSI = 6894.757293168

HEADS = ("flat", "ellipsoidal", "hemispherical", "torispherical")


def length(rng, value_m):
    """A length in a unit picked at random, with enough digits to lose nothing that matters."""
    unit, factor = rng.choice((("mm", 1e3), ("m", 1.0), ("in", 1 / 0.0254), ("ft", 1 / 0.3048)))
    return f"{value_m * factor:.9f} {unit}"


def pressure(rng, gauge_pa):
    unit, factor = rng.choice((("bar(g)", 1e-5), ("psi(g)", 1 / PA_PER_PSI), ("kPa(g)", 1e-3)))
    return f"{gauge_pa * factor:.9f} {unit}"


def temperature(rng, celsius):
    return rng.choice((f"{celsius:.6f} degC", f"{celsius * 1.8 + 32:.6f} degF"))


def flow(rng, kg_s):
    unit, factor = rng.choice((("kg/s", 1.0), ("t/h", 3.6), ("lb/h", 3600 / 0.45359237)))
    return f"{kg_s * factor:.9f} {unit}"


def head_of_file(rng, number, service, units):
    """What every file begins with: whose it is, where it stands."""
    return f"""# Invented, made by a random generator for the crosscheck.
[loop]
tag = "LIC-{number}"
service = "{service} (invented)"
plant = "Random plant {number} (invented)"
revision = "0"
units = "{units}"
paper = "a4"
water-column = "68 degF"

[site]
altitude = "{rng.uniform(0, 1500):.3f} m"
latitude = "{rng.uniform(5, 65):.4f} deg"
ambient-lowest = "10 degC"
ambient-highest = "45 degC"
"""


def duties_of(rng, full, shares, coldest, hottest, blowdown):
    """Duty points, the largest first; blowdown where the vessel makes steam."""
    text = ""
    for name, share in shares:
        text += f"""
[[duty]]
name = "{name}"
outflow = "{flow(rng, share * full)}"
"""
        if blowdown:
            text += f'blowdown = "{rng.uniform(0, 5):.3f} %"\n'
        text += f'feed-temperature = "{temperature(rng, rng.uniform(coldest, hottest))}"\n'
    return text


def feedwater_and_controller(full_valve_flow, valve, on_loss, controller, points, input_fault):
    """Feedwater valve and controller; `valve` and `controller` are lines of their own."""
    return f"""
[feedwater]
rising-output = "opens"
full-valve-flow = "{full_valve_flow}"
{valve}
on-signal-loss = "{on_loss}"
on-power-loss = "{on_loss}"

[controller]
form = "ideal"
gain-unit = "gain"
reset-unit = "s/repeat"
{controller}
linearisation-points = {points}
input-fault = "{input_fault}"
"""


def boiler(rng, number):
    """A boiler or drum with a wet leg."""
    drum = rng.random() < 0.4
    diameter = rng.uniform(1.0, 1.6) if drum else rng.uniform(1.6, 3.2)
    shell = rng.uniform(2.5, 8.0)
    heads = rng.choice(HEADS[1:]) if drum else "flat"
    span = rng.uniform(0.45, min(0.9, 0.55 * diameter))
    tap = rng.uniform(0.35, 0.45) * diameter
    normal = rng.uniform(6e5, 4.0e6) if drum else rng.uniform(5e5, 1.6e6)
    leg = rng.uniform(25, 75)
    below = rng.uniform(0.2, 2.0)
    lip = span + rng.uniform(0.0, 0.05)
    # Marks in rising order over the tap.
    heated = 0.08 * span
    second, first, low, set_point, high, trip = (f * span for f in (0.16, 0.24, 0.38, 0.52, 0.68, 0.82))
    full = rng.uniform(0.5, 6.0)
    wet_on_high = rng.random() < 0.3
    polarity = "wet-leg-on-high" if wet_on_high else "bottom-on-high"
    reversal = f'\nreversed-in = "{rng.choice(("cell", "controller"))}"' if wet_on_high else ""
    duties = duties_of(rng, full, (("maximum", 1.0), ("normal", 0.6), ("low fire", 0.25)), 60, 105, blowdown=True)
    head = head_of_file(rng, number, "Feedwater", rng.choice(("us", "si")))
    body = f"""
[vessel]
kind = "{'drum-boiler' if drum else 'shell-boiler'}"
orientation = "horizontal"
inside-diameter = "{length(rng, diameter)}"
length = "{length(rng, shell)}"
heads = "{heads}"
lower-tap-above-bottom = "{length(rng, tap)}"
vacuum-breaker = true

[elevations]
upper-tap = "{length(rng, span)}"
highest-heated-surface = "{length(rng, heated)}"

[reference-leg]
kind = "wet"
pot-lip = "{length(rng, lip)}"
temperature = "{temperature(rng, leg)}"

[working-leg]
temperature = "{temperature(rng, leg + rng.uniform(-5, 5))}"

[glass]
lower-connection = "{length(rng, 0.05 * span)}"
visible-bottom = "{length(rng, 0.1 * span)}"
visible-top = "{length(rng, 0.95 * span)}"
water-temperature = "{temperature(rng, rng.uniform(90, 130))}"

[cell]
below-lower-tap = "{length(rng, below)}"
polarity = "{polarity}"{reversal}
lower-range-limit = "-62 kPa"
upper-range-limit = "62 kPa"
minimum-span = "0.6 kPa"
static-limit = "140 bar(g)"

[range]
level-at-0 = "0 mm"
level-at-100 = "{length(rng, 0.999 * span)}"
method = "normal"

[pressures]
start-up = "0 psi(g)"
lowest-sustained = "{pressure(rng, 0.8 * normal)}"
normal = "{pressure(rng, normal)}"
highest = "{pressure(rng, 1.08 * normal)}"
safety-valve = "{pressure(rng, 1.2 * normal)}"
start-up-water = "20 degC"
{duties}"""
    valve = "\n".join((
        f'stroke-time = "{rng.uniform(15, 90):.3f} s"',
        f'deadband = "{rng.uniform(0.2, 1.5):.4f} %"',
        f'resolution = "{rng.uniform(0.1, 0.8):.4f} %"',
        f'swell-time = "{rng.uniform(5, 40):.3f} s"',
    ))
    controller = f'sample-time = "{rng.uniform(0.1, 2):.3f} s"\nfilter = "{rng.uniform(0, 3):.3f} s"'
    ends = feedwater_and_controller(flow(rng, 1.35 * full), valve, "last", controller, 8, "hold-output")
    return head + body + ends + f"""
[limits]
set-point = "{length(rng, set_point)}"
low-alarm = "{length(rng, low)}"
high-alarm = "{length(rng, high)}"
low-cutoff = "{length(rng, first)}"
second-low-cutoff = "{length(rng, second)}"
high-trip = "{length(rng, trip)}"
allowed-deviation = "{length(rng, 0.12 * span)}"
largest-load-change = "{rng.uniform(10, 40):.3f} %"
smallest-separation = "10 mm"
"""


def tank(rng, number):
    """A vented feed tank without a reference leg."""
    diameter = rng.uniform(1.2, 3.5)
    height = rng.uniform(2.0, 5.0)
    span = 0.75 * height
    full = rng.uniform(0.5, 8.0)
    water = rng.uniform(20, 95)
    duties = duties_of(rng, full, (("maximum", 1.0), ("normal", 0.5)), 10, 60, blowdown=False)
    head = head_of_file(rng, number, "Make-up", "si")
    body = f"""
[vessel]
kind = "vented-tank"
orientation = "vertical"
inside-diameter = "{length(rng, diameter)}"
length = "{length(rng, height)}"
heads = "flat"
lower-tap-above-bottom = "{length(rng, 0.05 * height)}"
water-temperature = "{temperature(rng, water)}"

[elevations]
overflow = "{length(rng, 0.8 * height)}"

[reference-leg]
kind = "none"

[working-leg]
temperature = "{temperature(rng, rng.uniform(15, 60))}"

[cell]
below-lower-tap = "{length(rng, rng.uniform(0.0, 1.0))}"
polarity = "bottom-on-high"
lower-range-limit = "-80 kPa"
upper-range-limit = "80 kPa"
minimum-span = "1 kPa"
static-limit = "40 bar(g)"

[range]
level-at-0 = "0 mm"
level-at-100 = "{length(rng, span)}"
{duties}"""
    swell = f'swell-time = "{rng.uniform(0, 10):.3f} s"'
    valve = f'stroke-time = "30 s"\ndeadband = "1 %"\nresolution = "0.5 %"\n{swell}'
    controller = f'sample-time = "1 s"\nfilter = "{rng.uniform(0.5, 5):.3f} s"'
    ends = feedwater_and_controller(flow(rng, 1.4 * full), valve, "closed", controller, 2, "output-low")
    return head + body + ends + f"""
[limits]
set-point = "{length(rng, 0.55 * span)}"
low-alarm = "{length(rng, 0.35 * span)}"
high-alarm = "{length(rng, 0.7 * span)}"
low-cutoff = "{length(rng, 0.15 * span)}"
high-trip = "{length(rng, 0.9 * span)}"
allowed-deviation = "{length(rng, 0.1 * span)}"
largest-load-change = "40 %"
smallest-separation = "10 mm"
"""


def feed_side(rng, full_kg_s, gauge_pa):
    """Pump, line, valve, actuator of a boiler; the pipe as wide as the valve: no fittings to reckon with."""
    rated = 1.3 * full_kg_s / 950.0
    head = 1.35 * gauge_pa / 9.3e3 + 25.0
    points = "".join(
        f"""
[[supply.point]]
flow = "{share * rated * 3600:.9f} m3/h"
head = "{head * (1.15 - 0.15 * share * share):.6f} m"
npsh-required = "{1.5 + 1.5 * share:.3f} m"
"""
        for share in (0.0, 0.7, 1.4)
    )
    bore = 0.03 + 0.012 * full_kg_s
    sizes = "".join(
        f"""
[[valve.size]]
name = "size {index + 1} (invented)"
rated-kv = "{kv:.4f} Kv"
bore = "{bore * 1000:.3f} mm"
seat-diameter = "{bore * 800:.3f} mm"
"""
        for index, kv in enumerate(full_kg_s * factor for factor in (0.9, 1.4, 2.2, 3.6, 6.0))
    )
    return f"""
[supply]
kind = "pump"
running = 1
standby = 1
suction-pressure = "0.0 bar(g)"
suction-level-above-pump = "3 m"
minimum-flow = "{0.15 * rated * 3600:.6f} m3/h"
recirculation = "none"
variable-speed = false
{points}
[line]
valve-above-supply = "1 m"
inlet-above-supply = "3 m"
pipe-before-valve = "{bore * 1000:.3f} mm"
pipe-after-valve = "{bore * 1000:.3f} mm"

[[line.part]]
name = "discharge pipe"
side = "before"
drop = "{rng.uniform(10, 40):.4f} kPa"
drop-at = "{flow(rng, full_kg_s)}"

[[line.part]]
name = "economiser"
side = "after"
drop = "{rng.uniform(10, 60):.4f} kPa"
drop-at = "{flow(rng, full_kg_s)}"

[valve]
style = "{rng.choice(('globe-contoured-flow-opens', 'globe-cage', 'angle-contoured-flow-opens'))}"
characteristic = "{rng.choice(('linear', 'equal-percentage'))}"
rangeability = 50
leakage-class = "IV"
{sizes}
[actuator]
kind = "linear"
rated-force = "5 kN"
packing-friction = "300 N"
balanced = true
flow = "opens"

[station]
bypass = "hand"
isolating-valves = true
replaces-on-off = false
"""


def write(folder: Path, count: int, seed: int, feed=True):
    """Writes `count` files and returns their paths."""
    rng = random.Random(seed)
    paths = []
    for number in range(1, count + 1):
        state = rng.random()
        if state < 0.8:
            text = boiler(rng, number)
            if feed:
                full = kg_s_of(text)
                text += feed_side(rng, full, gauge_of(text))
        else:
            text = tank(rng, number)
        path = folder / f"loop-{number:03}.toml"
        path.write_text(text)
        paths.append(path)
    return paths


def quantity_after(text, key):
    for line in text.splitlines():
        if line.startswith(f'{key} = "'):
            number, unit = line.split('"')[1].split(" ")
            return float(number), unit
    raise ValueError(f"no {key}")


def kg_s_of(text):
    number, unit = quantity_after(text, "outflow")
    return number / {"kg/s": 1.0, "t/h": 3.6, "lb/h": 3600 / 0.45359237}[unit]


def gauge_of(text):
    number, unit = quantity_after(text, "normal")
    return number * {"bar(g)": 1e5, "psi(g)": PA_PER_PSI, "kPa(g)": 1e3}[unit]
