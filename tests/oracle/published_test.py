#!/usr/bin/python3
"""`firn reduce` on relations printed in the CCT Guide to the Realization of the ITS-90, ch. 5 (2018)."""
import csv
import os
import sys
from fractions import Fraction

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn  # noqa: E402


def reduce(tap, folder):
    run = firn("reduce", "--json", os.path.join(HERE, folder, "job.yaml"))
    tap.true("computed, whether accepted or not", run.status in (0, 1), run.describe())
    return run.json()


def zero_power(tap):
    """5.3.3: R0 = R1 + R3 - R2 at i2/i1 = sqrt 2. The current is the double next to sqrt 2, which
    moves R0 by less than 1e-19 of it."""
    with open(os.path.join(HERE, "published-zero-power", "readings.csv"), encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    with tap.case("zero power at the current ratio sqrt 2: R1 + R3 - R2"):
        for visit in reduce(tap, "published-zero-power")["visits"]:
            r = [Fraction(x["resistance_ohm"]) for x in rows if x["visit"] == visit["id"]]
            # Each of three readings is rounded by 1.8e-15, the formula's products likewise: 30 ohm.
            tap.near(f"R0 of visit {visit['id']}", visit["r0_ohm"]["value"],
                     float(r[0] + r[2] - r[1]), 2.5e-14)


def gallium(tap):
    """Equation (16): a = (Wr_Ga - W_Ga)/(1 - W_Ga) in the subrange to the gallium point."""
    for name in ("full-2", "published-zero-power"):
        with tap.case(f"{name}: coefficient of the subrange H2O_Ga"):
            result = reduce(tap, name)
            visit = next(v for v in result["visits"] if v["point"] == "Ga")
            a = next(s for s in result["subranges"] if s["name"] == "H2O_Ga")["coefficients"]["a"]
            w, wr = Fraction(visit["w"]["value"]), Fraction(visit["wr"])
            want = float((wr - w) / (1 - w))
            # W is used as printed; W - Wr keeps 1.1e-16 of rounding, divided by 0.118.
            tap.near("a", a["value"], want, 2e-15)


def main():
    tap = Tap()
    zero_power(tap)
    gallium(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
