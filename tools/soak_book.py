#!/usr/bin/python3
"""The book killed, cut off from its power and refused what it asks for, at length; its record in
docs/soak.md.

    tools/soak_book.py                     all of it; some twenty minutes
    tools/soak_book.py --seed 2 --only "power cuts"
    tools/soak_book.py --part 100 --no-record      one in a hundred of it

Exit status 1 when something fails; then nothing is recorded.
"""
import argparse
import datetime
import os
import re
import subprocess
import sys
import time

from soak import ROOT, commit, put_section

PYTHON = "/usr/bin/python3"
FAULT = os.path.join(ROOT, "tests", "fault")
ONE_CALL_OF = 10  # all of them take more than an hour; another seed takes others
HEAD = """# The book, killed and cut off

Written by `tools/soak_book.py` on {day}, commit {commit}, seed {seed}. After each kill and each cut the book
opens and is sound, what was acknowledged is there, and every act is done or not begun.

| what | how often | seconds | seen |
| --- | --- | --- | --- |
"""


def runs(build, seed, part):
    """(what, how often, command) of each run."""
    kill = [PYTHON, os.path.join(FAULT, "kill_test.py"),
            os.path.join(build, "tests", "fault", "book_recorder"), "--seed", str(seed), "--kills"]
    power = os.path.join(build, "tests", "fault", "test_fault_power")
    calls = os.path.join(build, "tests", "fault", "test_fault_calls")
    server = os.path.join(ROOT, "tests", "support", "book_server.py")
    often = [max(10, n // part) for n in (1000, 400, 1000)]
    one_of = str(ONE_CALL_OF * part)
    return [
        ("kill -9, SQLite", often[0], [*kill, str(often[0])]),
        ("kill -9 of client and server, PostgreSQL", often[1], [*kill, str(often[1]), "--postgres"]),
        ("power cuts, SQLite", often[2], [power, str(often[2]), str(seed)]),
        ("calls that fail, SQLite", f"1 of {one_of}", [calls, one_of, str(seed)]),
        ("calls that fail, PostgreSQL", f"1 of {one_of}", [PYTHON, server, calls, one_of, str(seed)]),
    ]


def seen(output):
    """What a test says of itself beside its cases."""
    lines = re.findall(r"^# (?!(?:not )?ok)(.*)$", output, re.M)
    failed = [int(n) for n in re.findall(r": (\d+) calls of [a-z ]+ failed$", "\n".join(lines), re.M)]
    if failed:
        return f"{sum(failed)} calls failed"
    return re.sub(r"^\d+ (kills:|cuts,) ", "", lines[-1]) if lines else ""


def run(what, times, command, build):
    """The row of one run; None when it fails."""
    environment = {**os.environ, "FIRN_PROGRAM": os.path.join(build, "firn"), "FIRN_SOURCE": ROOT,
                   "CMOCKA_MESSAGE_OUTPUT": "TAP"}
    began = time.monotonic()
    done = subprocess.run(["nice", *command], capture_output=True, text=True, env=environment,
                          check=False)
    took = time.monotonic() - began
    print(f"{what}, {times}: {'ok' if done.returncode == 0 else 'FAILED'}, {took:.0f} s", flush=True)
    if done.returncode != 0:
        print(done.stdout[-4000:] + done.stderr[-4000:])
        return None
    return f"| {what} | {times} | {took:.0f} | {seen(done.stdout)} |\n"


def options():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--build", default=os.path.join(ROOT, "build"))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--part", type=int, default=1, help="one in so many of the usual number")
    parser.add_argument("--only", help="one of the runs, by its beginning")
    parser.add_argument("--no-record", action="store_true", help="leave docs/soak.md as it is")
    return parser.parse_args()


def main():
    o = options()
    chosen = [r for r in runs(o.build, o.seed, o.part) if not o.only or r[0].startswith(o.only)]
    rows = [run(*r, o.build) for r in chosen]
    if not rows or None in rows:
        return 1
    if not o.no_record and not o.only:
        day = datetime.date.today().isoformat()
        put_section(HEAD.format(day=day, commit=commit(), seed=o.seed) + "".join(rows))
    return 0


if __name__ == "__main__":
    sys.exit(main())
