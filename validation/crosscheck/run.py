"""Recomputes the binary's sheets of some hundreds of random loops with other libraries and prints the worst differences.

    python run.py BINARY [--loops N] [--seed S]
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import checks
import loops

# Largest relative difference allowed, and the least number of comparisons that must have been made with the default number of loops.
FLOORS = {
    "saturated density, iapws": (1e-9, 400),
    "leg density, iapws": (1e-9, 400),
    "stored water density, iapws": (1e-9, 30),
    "range, iapws": (1e-8, 400),
    "range of a tank, iapws": (1e-8, 60),
    "equalised reading, iapws": (1e-6, 200),
    "saturated liquid, CoolProp": (6e-5, 200),
    "saturated vapour, CoolProp": (4e-4, 200),
    "leg density, CoolProp": (4e-5, 200),
    "air density, CoolProp": (1e-3, 30),
    "Ms, python-control": (1e-4, 400),
    "gain margin, python-control": (1e-4, 400),
    "phase margin, python-control": (1e-4, 400),
    "delay margin, python-control": (1e-4, 400),
    "volume between marks, fluids": (1e-6, 400),
    "free surface, fluids": (1e-5, 200),
    "Kv, fluids": (2e-6, 400),
    "water at the valve, iapws": (5e-4, 400),
}


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("binary")
    arguments.add_argument("--loops", type=int, default=300)
    arguments.add_argument("--seed", type=int, default=60534)
    given = arguments.parse_args()
    worst = checks.Worst()
    with tempfile.TemporaryDirectory() as folder:
        paths = loops.write(Path(folder), given.loops, given.seed)
        ran = subprocess.run(
            [given.binary, "sheet", "--json", *map(str, paths)], capture_output=True, text=True, check=False
        )
        if ran.returncode != 0:
            sys.exit(f"crosscheck: {given.binary} sheet --json ended with {ran.returncode}:\n{ran.stderr[:4000]}")
        sheets = [json.loads(line) for line in ran.stdout.splitlines()]
    if len(sheets) != given.loops:
        sys.exit(f"crosscheck: {given.loops} loops went in, {len(sheets)} sheets came out")
    for sheet in sheets:
        where = Path(sheet["file"]).name
        for check in (checks.ranging, checks.margins, checks.volumes, checks.valves):
            check(worst, where, sheet)
    failed = 0
    total = 0
    print(f"{'topic':32} {'comparisons':>11} {'worst':>9} {'allowed':>9}  where")
    for topic, (allowed, least) in FLOORS.items():
        count, difference, place = worst.seen.get(topic, (0, float("inf"), "never compared"))
        total += count
        holds = difference <= allowed and count >= least * given.loops / 300
        failed += not holds
        print(f"{topic:32} {count:11} {difference:9.1e} {allowed:9.0e}  {place}{'' if holds else '  FAILED'}")
    unknown = set(worst.seen) - set(FLOORS)
    if unknown:
        sys.exit(f"crosscheck: no floor for {sorted(unknown)}")
    print(f"crosscheck: {total} comparisons on {given.loops} random loops; {len(FLOORS) - failed} topics passed; {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
