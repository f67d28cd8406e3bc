"""The curve of u in use beside that of the calibration alone.

Expected: tests/oracle/full-1/expected-uncertainty.csv (computed at 90 digits; README there), cases c and
c': the user's own R(TPW) in the calibration's cell, or in another. A measured temperature of that set
lies within 4 uK of tin, where the curve has a point; u changes by less than 1e-6 relative over that.
"""
import csv
import math
import os
import shutil
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

SET = os.path.join(HERE, "..", "oracle", "full-1")
TIN_K = 505.078


def with_use(where, job, use):
    for name in os.listdir(SET):
        if name.endswith(".csv"):
            shutil.copy(os.path.join(SET, name), where)
    with open(os.path.join(SET, job), encoding="utf-8") as file:
        text = file.read()
    return write(where, job, text + f"\nuse: {use}\n")


def at(result, subrange, t90_K):
    curve = next(c for c in result["curves"] if c["subrange"] == subrange)
    return min(curve["points"], key=lambda point: abs(point["t90_K"] - t90_K))


def main():
    tap = Tap()
    with open(os.path.join(SET, "expected-uncertainty.csv"), encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    for job, column in (("job-c.yaml", "u_c_mK"), ("job-c-prime.yaml", "u_c_prime_mK")):
        for name in ("H2O_Zn", "H2O_Al"):
            row = next(r for r in rows if r["seq"] == "25" and r["subrange"] == name)
            with folder() as where, tap.case(f"{job}, {name} at tin: {column}"):
                run = firn("reduce", with_use(where, job, "{tpw: use}"), "--json")
                tap.status(run, 0)
                point = at(run.json(), name, TIN_K)
                want = float(row[column]) * 1e-3
                tap.near("u in use", point["u_in_use_K"], want, 1e-6 * want)
                tap.true("and not that of the calibration",
                         abs(point["u_calibration_K"] - want) > 1e-5 * want, point)
    with folder() as where, tap.case("drift and immersion add in squares"):
        plain = firn("reduce", with_use(where, "job-c.yaml", "{tpw: use}"), "--json").json()
        more = firn("reduce", with_use(where, "job-c.yaml",
                                       "{tpw: use, u_drift_mK: 0.3, u_immersion_mK: 0.4}"), "--json").json()
        for t90_K in (300.0, 500.0):
            a, b = at(plain, "H2O_Al", t90_K), at(more, "H2O_Al", t90_K)
            want = math.hypot(a["u_in_use_K"], 0.5e-3)
            tap.near("u", b["u_in_use_K"], want, 1e-12 * want)
            tap.equal("calibration unchanged", a["u_calibration_K"], b["u_calibration_K"])
    with tap.case("without use there is no such curve"):
        result = firn("reduce", os.path.join(SET, "job-c.yaml"), "--json").json()
        tap.true("all null", all(p["u_in_use_K"] is None for c in result["curves"] for p in c["points"]))
    for use, word in (("{tpw: 2}", "not to the triple point of water"), ("{tpw: nine}", "no visit"),
                      ("{u_drift_mK: 1}", "no tpw"), ("{tpw: use, u_drift_mK: -1}", "0 to 10000"),
                      ("{tpw: use, drift: 1}", "u_drift_mK")):
        with folder() as where, tap.case(f"refused: use: {use}"):
            run = firn("reduce", with_use(where, "job-c.yaml", use))
            tap.status(run, 2)
            tap.true(word, word in run.err, run.err)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
