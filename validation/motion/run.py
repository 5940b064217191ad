"""Solves the drum boiler's balances with scipy's stiff solvers and holds the program's trajectories against them.

    python run.py TRAJECTORIES.json

The file is what `cargo run --package halfglass-core --example trajectories` prints.
"""

import json
import sys
import time

import numpy
from scipy.integrate import solve_ivp

from drum import Drum

# Largest difference allowed. Pressures and states: relative; level: metres.
FLOORS = {"water": 1e-7, "pressure": 1e-7, "quality": 5e-7, "steam under the surface": 1e-6, "mixture level, m": 5e-7}
# Instants that must have been compared in each case.
LEAST = 40
METHODS = ("BDF", "Radau", "LSODA")


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = json.load(file)
    worst = dict.fromkeys(FLOORS, (0.0, "nowhere"))
    started = time.perf_counter()
    for index, case in enumerate(cases):
        drum = Drum(case["sizes"])
        rows = numpy.array(case["samples"])
        if len(rows) < LEAST:
            sys.exit(f"motion: {case['name']} has {len(rows)} instants, fewer than {LEAST}")
        method = METHODS[index % len(METHODS)]
        start = rows[0, 1:5]
        scales = numpy.abs(start)
        # In units of the start, so that one tolerance fits all four.
        solved = solve_ivp(
            lambda t, z, drum=drum, case=case, scales=scales: drum.rates(t, z * scales, case["boundary"]) / scales,
            (0.0, rows[-1, 0]),
            start / scales,
            method=method,
            t_eval=rows[:, 0],
            rtol=1e-9,
            atol=1e-11,
        )
        if not solved.success:
            sys.exit(f"motion: {case['name']}, {method}: {solved.message}")
        if abs(rows[-1, 2] / rows[0, 2] - 1.0) < case["moves"]:
            sys.exit(f"motion: {case['name']}: nothing moved")
        for row, z in zip(rows, solved.y.T):
            y = z * scales
            where = f"{case['name']}, {method}, {row[0]:g} s"
            found = [abs(a / b - 1.0) for a, b in zip(row[1:5], y)] + [abs(row[5] - drum.mixture_level_m(y))]
            for what, value in zip(FLOORS, found):
                if not value <= worst[what][0]:
                    worst[what] = (value, where)
    failed = 0
    for what, (value, where) in worst.items():
        good = value <= FLOORS[what]
        failed += not good
        print(f"{'ok  ' if good else 'FAIL'} {what:<26} worst {value:.2e} (floor {FLOORS[what]:.0e}) at {where}")
    print(f"motion: {len(cases)} cases in {time.perf_counter() - started:.1f} s")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
