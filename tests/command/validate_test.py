#!/usr/bin/python3
"""`firn validate`: the record and its sources. That checks can say no: app/validate/validate_test.c.

Nothing published is repeated here: what the checks compare with stands in data/validation.csv, and
that their figures are the published ones is for a reader of the sources. This holds the record
together: every row of the tables is there, every verdict follows from the numbers beside it.
"""
import pathlib
import re
import sys

import jsonschema

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path.insert(0, str(HERE.parent / "support"))
from firn_run import Tap, firn  # noqa: E402

sys.path.insert(0, str(ROOT / "tools"))
from make_tables import read  # noqa: E402


def the_record(tap, record):
    with tap.case("the record follows its schema"):
        schema = firn("schema", "validation record").json()
        validator = jsonschema.Draft202012Validator(schema)
        tap.equal("faults", [e.message[:200] for e in validator.iter_errors(record)], [])
    with tap.case("program, build, libraries and processor are named"):
        tap.equal("version", "firn " + record["program"]["version"],
                  firn("--version").out.strip())
        tap.true("libraries", {"glibc", "gsl"} <= set(record["program"]["libraries"]))
        tap.true("time", re.fullmatch(r"\d{4}-\d\d-\d\dT[\d:.]+Z", record["time"]) is not None)


def the_checks(tap, record):
    checks = record["checks"]
    with tap.case("every check of the tables is there, with what it expects and its source"):
        rows = read(ROOT / "data" / "validation.csv")
        have = [(c["expected"], c["tolerance"], c["source"]) for c in checks]
        for row in rows:
            want = (float(row["want"]), float(row["tolerance"]), row["source"])
            tap.true(f"{row['kind']} {row['at']}{row['model']} {row['quantity']}", want in have)
        points = {row["name"]: float(row["Wr_Table1"])
                  for row in read(ROOT / "data" / "fixed-points.csv") if row["Wr_Table1"]}
        found = {c["name"].removeprefix("W_r at "): c["expected"] for c in checks
                 if c["source"] == "ITS-90, Table 1"}
        tap.equal("fixed points", found, points)
        tap.equal("simulated", sum("over 200 simulated calibrations" in c["name"] for c in checks), 6)
        tap.equal("nothing else", len(checks), len(rows) + len(points) + 2 + 6)
        tap.equal("names are distinct", len({c["name"] for c in checks}), len(checks))
    with tap.case("every verdict follows from the numbers beside it"):
        for c in checks:
            good = c["found"] is not None and abs(c["found"] - c["expected"]) <= c["tolerance"]
            tap.equal(c["name"], c["passed"], good)
        tap.true("what was found is computed, and seldom what a book rounds to",
                 sum(c["found"] != c["expected"] for c in checks) > len(checks) - 5)
        tap.equal("passed", record["passed"], all(c["passed"] for c in checks))
        tap.equal("passed", record["passed"], True)


def the_same(tap, record):
    with tap.case("the same on one thread, the time apart"):
        again = firn("validate", "--json", "--threads", "1").json()
        tap.equal("checks", again["checks"], record["checks"])


def as_text(tap, record):
    with tap.case("the record as text"):
        run = firn("validate")
        tap.status(run, 0)
        tap.equal("one line a check", len(re.findall(r"^yes  ", run.out, re.M)),
                  len(record["checks"]))
        tap.true("says so", f"All {len(record['checks'])} checks say yes." in run.out, run.out[-200:])
        tap.true("processor", record["processor"] in run.out)
        tap.true("lines are not too wide",
                 all(len(line) <= 100 for line in run.out.splitlines()))


def wrong_calls(tap):
    with tap.case("it takes no file"):
        run = firn("validate", "job.yaml")
        tap.status(run, 2)
        tap.equal("stdout", run.out, "")
        tap.true("message", "job.yaml" in run.err, run.err)


def main():
    tap = Tap()
    run = firn("validate", "--json")
    with tap.case("firn validate says yes"):
        tap.status(run, 0)
    record = run.json()
    the_record(tap, record)
    the_checks(tap, record)
    the_same(tap, record)
    as_text(tap, record)
    wrong_calls(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
