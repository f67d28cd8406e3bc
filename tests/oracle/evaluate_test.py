#!/usr/bin/python3
"""`firn evaluate` on worked examples: evaluate/*.yaml against evaluate/expected.csv."""
import csv
import glob
import os
import sys
from decimal import Decimal

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn  # noqa: E402

FOLDER = os.path.join(HERE, "evaluate")


def half_digit(text):
    """Half the last printed digit, and what rounding 0.5 to binary takes."""
    return 0.5 * float(Decimal(1).scaleb(Decimal(text).as_tuple().exponent)) * (1 + 1e-9)


def correlation(result, a, b):
    for pair in result["correlations"]:
        if sorted(pair["between"]) == sorted([a, b]):
            return pair["r"]
    raise KeyError(f"no correlation of {a} and {b}")


def budget_line(output, name):
    return next((line for line in output["budget"] if line["input"] == name), None)


def whole(dof):
    return None if dof is None else float(int(dof))


def quantity(result, output, name):
    """A number of the result; see the head of expected.csv."""
    mine = result["outputs"][output]
    key, _, other = name.partition(":")
    if name in ("value", "u", "k", "U"):
        return mine[name]
    if key in ("u", "sensitivity", "contribution") and other:
        line = budget_line(mine, other)
        return line[key] if line is not None else 0.0
    if key == "r":
        return correlation(result, output, other)
    if key == "k_times":
        return mine["k"] * float(other)
    return {"dof_whole": lambda: whole(mine["dof"]),
            "low": lambda: mine["value"] - mine["U"],
            "high": lambda: mine["value"] + mine["U"]}[key]()


def main():
    tap = Tap()
    with open(os.path.join(FOLDER, "expected.csv"), encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    models = sorted(os.path.splitext(os.path.basename(path))[0]
                    for path in glob.glob(os.path.join(FOLDER, "*.yaml")))
    with tap.case("every model has expected values, and the other way round"):
        tap.equal("models", sorted({r["model"] for r in rows}), models)
    for model in models:
        with tap.case(model):
            run = firn("evaluate", "--json", os.path.join(FOLDER, model + ".yaml"))
            tap.status(run, 0)
            result = run.json()
            for r in (r for r in rows if r["model"] == model):
                tolerance = float(r["tolerance"]) if r["tolerance"] else half_digit(r["want"])
                what = f"{r['output']} {r['quantity']}" + (f" ({r['note']})" if r["note"] else "")
                tap.near(what, quantity(result, r["output"], r["quantity"]), float(r["want"]),
                         tolerance)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
