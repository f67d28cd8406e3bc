#!/usr/bin/python3
"""The full simulation of docs/methods/simulation.md, and its record in docs/soak.md.

    tools/soak_simulation.py                       as the page fixes it; some ten minutes
    tools/soak_simulation.py --n 200 --halved 200 --no-record      a short look
    tools/soak_simulation.py --program build/tests/simulate/simulate-calibrations

Exit status 1 when a judgement fails; the record is written all the same, and says so.
"""
import argparse
import datetime
import os
import subprocess
import sys

from soak import ROOT, commit, put_section


def options():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--n", type=int, default=10000, help="calibrations in each laboratory")
    parser.add_argument("--halved", type=int, default=4000, help="calibrations for each halved term")
    parser.add_argument("--trials", type=int, default=2000, help="of Monte Carlo, each calibration")
    parser.add_argument("--threads", type=int, default=0, help="0: as many as processors")
    parser.add_argument("--program",
                        default=os.path.join(ROOT, "build/tests/simulate/simulate-calibrations"))
    parser.add_argument("--no-record", action="store_true", help="leave docs/soak.md as it is")
    return parser.parse_args()


def record(o, text):
    today = datetime.date.today().isoformat()
    put_section("# Simulated calibrations\n\n"
                f"Written by `tools/soak_simulation.py` on {today}, commit {commit()}: {o.n} calibrations in\n"
                f"each laboratory with {o.trials} trials each. What is judged, and why:\n"
                "[methods/simulation.md](methods/simulation.md).\n\n" + text)


def main():
    o = options()
    done = subprocess.run(["nice", o.program, str(o.n), str(o.halved), str(o.trials),
                           str(o.threads)], stdout=subprocess.PIPE, text=True, check=False)
    print(done.stdout, end="")
    if done.returncode in (0, 1) and not o.no_record:
        record(o, done.stdout)
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())
