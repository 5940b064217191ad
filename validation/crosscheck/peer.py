"""The peer of the whole-process bench: what an engineer's script does for one boiler with iapws and fluids.

It computes the hot range, the bench range and the valve coefficients of three duties; nothing else of the sheets.
"""

from fluids.control_valve import size_control_valve_l
from iapws import IAPWS97

PSI = 6894.757293168
INCH = 0.0254
pressure_pa = 125 * PSI + 98_960.0
saturated = [IAPWS97(P=pressure_pa / 1e6, x=x) for x in (0, 1)]
rl, rv = (state.rho for state in saturated)
leg = IAPWS97(T=322.04, P=pressure_pa / 1e6).rho
working = IAPWS97(T=319.26, P=pressure_pa / 1e6).rho
cold = IAPWS97(T=293.15, P=0.09896).rho
lip, below, gravity = 30.5 * INCH, 48 * INCH, 9.8026


def differential(h, rl, rv, working, leg):
    return gravity * (rl * h + rv * (lip - h) + working * below - leg * lip - leg * below)


print("hot", *(round(differential(h, rl, rv, working, leg), 2) for h in (0.0, 30 * INCH)))
print("bench", *(round(differential(h, cold, 0.0, cold, cold), 2) for h in (0.0, 30 * INCH)))
for name, flow_kg_s, drop_pa in (("maximum", 1.31, 2.0e5), ("normal", 0.83, 4.1e5), ("low fire", 0.33, 5.2e5)):
    water = IAPWS97(T=366.48, P=1.4)
    kv = size_control_valve_l(
        rho=water.rho, Psat=IAPWS97(T=366.48, x=0).P * 1e6, Pc=22.064e6, mu=water.mu, P1=1.4e6, P2=1.4e6 - drop_pa,
        Q=flow_kg_s / water.rho, D1=0.0409, D2=0.0409, d=0.0254, FL=0.9, Fd=0.46,
    )
    print(name, round(kv, 4))
