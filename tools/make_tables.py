#!/usr/bin/python3
"""Turns the tables of data/ into C headers: make_tables.py OUTPUT_FOLDER FILE.csv...

Numbers go through as the decimal text that stands in the file, so that the compiler rounds them,
once; a column in mK becomes kelvin by a shift of the decimal point.
"""
import csv
import decimal
import pathlib
import re
import sys

POINTS = ["e-H2", "e-H2-vapour", "Ne", "O2", "Ar", "Hg", "H2O", "Ga", "In", "Sn", "Zn", "Al", "Ag"]
KINDS = {"triple": "FIRN_TRIPLE_POINT", "melting": "FIRN_MELTING_POINT",
         "freezing": "FIRN_FREEZING_POINT", "vapour": "FIRN_VAPOUR_PRESSURE_POINT"}
TERMS = [
    (re.compile(r"W - 1"), "FIRN_TERM_POWER"),
    (re.compile(r"\(W - 1\)\^(\d)"), "FIRN_TERM_POWER"),
    (re.compile(r"ln\(W\)"), "FIRN_TERM_LOGARITHM"),
    (re.compile(r"ln\(W\)\^(\d)"), "FIRN_TERM_LOGARITHM"),
    (re.compile(r"\(W - 1\)\*ln\(W\)"), "FIRN_TERM_PRODUCT"),
    (re.compile(r"max\(W - W_Al, 0\)\^(2)"), "FIRN_TERM_ABOVE_AL"),
]


def number(text, scale="1"):
    """A C constant; an empty field is no number."""
    if text == "":
        return "(double)NAN"
    value = decimal.Decimal(text)
    if scale == "1":
        return f"{text}.0" if re.fullmatch(r"-?\d+", text) else text
    return f"{value * decimal.Decimal(scale):e}"


def twofold(text):
    """The nearest double, and what it leaves of the decimal number."""
    if text == "":
        return "{ (double)NAN, 0.0 }"
    high = float(text)
    rest = float(decimal.Decimal(text) - decimal.Decimal(high))
    return f"{{ {high!r}, {rest!r} }}"


def constant(name):
    """FIRN_E_H2_VAPOUR of e-H2-vapour."""
    return "FIRN_" + name.upper().replace("-", "_")


def truth(text):
    return {"yes": "true", "no": "false"}[text]


def array(kind, name, rows, size=""):
    lines = "".join(f"\t{row},\n" for row in rows)
    return f"static const {kind} {name}[{size}] = {{\n{lines}}};\n"


def indexed(rows, symbol, name):
    chosen = [row for row in rows if row["symbol"] == symbol]
    if [int(row["index"]) for row in chosen] != list(range(len(chosen))):
        raise ValueError(f"the constants {symbol} are not numbered from 0 on")
    return array("double", name, [number(row["value"]) for row in chosen])


def reference(tables):
    rows = tables["reference-functions"]
    return "".join(indexed(rows, symbol, "its90_" + symbol.lower()) for symbol in "ABCD")


def points(tables):
    rows = tables["fixed-points"]
    if [row["name"] for row in rows] != POINTS:
        raise ValueError("fixed-points.csv: the points are not those of enum firn_point")
    text = array("struct firn_fixed_point", "fixed_points", [
        f'[{constant(row["name"])}] = {{ "{row["name"]}", {KINDS[row["kind"]]}, '
        f'{number(row["T90_K"])}, {number(row["Wr_Table1"])}, '
        f'{number(row["dT_dp_K_per_Pa"] or "0")}, '
        f'{number(row["dT_dl_K_per_m"] or "0")}, {truth(row["gas_pressure"])}, '
        f'{number(row["triple_K"])}, {number(row["u_comparison_mK"], "1e-3")}, '
        f'{number(row["u_best_mK"], "1e-3")} }}' for row in rows], "FIRN_POINTS")
    text += array("struct point_wr", "points_wr", [
        f'[{constant(row["name"])}] = {{ {twofold(row["Wr_Table1"])}, '
        f'{twofold(row["Wr_equation"])} }}' for row in rows], "FIRN_POINTS")
    return text + array("struct vapour_point", "vapour_points", [
        f'{{ {number(row["T0_K"])}, {number(row["p0_kPa"], "1e3")}, '
        f'{number(row["slope_kPa_per_K"], "1e3")}, {number(row["low_K"])}, '
        f'{number(row["high_K"])} }}'
        for row in tables["vapour-pressure"]])


def term(text):
    for pattern, kind in TERMS:
        found = pattern.fullmatch(text)
        if found:
            power = found.group(1) if pattern.groups else "1"
            return f'{{ {kind}, {power}, "{text}" }}'
    raise ValueError(f"subranges.csv: no kind of term is written {text!r}")


def subrange(row):
    coefficients, terms = row["coefficients"].split(), row["terms"].split("; ")
    if len(coefficients) != len(terms) or len(row["points"].split()) != len(terms):
        raise ValueError(f"subranges.csv: {row['name']}: not one term and point a coefficient")
    with_w_al = any("W_Al" in text for text in terms)
    formula = " + ".join(f"{c}*({t})" if t == "W - 1" else f"{c}*{t}"
                         for c, t in zip(coefficients, terms))
    names = ", ".join(coefficients + ["W"] + ["W_Al"] * with_w_al)
    listed = ", ".join(f'"{c}"' for c in coefficients)
    used = ", ".join(constant(point) for point in row["points"].split())
    return (f'[{constant(row["name"])}] = {{ "{row["name"]}", "{row["section"]}", '
            f'{number(row["low_K"])}, {number(row["high_K"])}, {truth(row["from_zero"])}, '
            f'{len(coefficients)}, {{ {listed} }}, '
            f'{len(terms)}, {{ {used} }},\n\t  "deltaW = {formula}", "{names}",\n\t  {{ '
            + ", ".join(term(t) for t in terms) + " } }")


def subranges(tables):
    rows = [subrange(row) for row in tables["subranges"]]
    return array("struct firn_subrange", "subranges", rows, "FIRN_SUBRANGES")


def uncertainty(tables):
    text = array("struct non_uniqueness", "non_uniqueness", [
        f'{{ {"true" if row["family"] == "above" else "false"}, '
        + ", ".join(number(row[key]) for key in ("low_K", "high_K", "factor", "p", "q")) + " }"
        for row in tables["non-uniqueness"]])
    return text + array("struct inconsistency", "inconsistency", [
        f'{{ {constant(row["subrange"])}, {number(row["low_K"])}, {number(row["high_K"])}, {{ 0.0, '
        + ", ".join(number(row[f"A{j}"]) for j in range(1, 6)) + " } }"
        for row in tables["subrange-inconsistency"]])


def difference(tables):
    rows = tables["t-minus-t90-functions"]
    return (indexed(rows, "b", "difference_b") + indexed(rows, "c", "difference_c")
            + array("struct difference_u", "difference_u", [
                f'{{ {number(row["T90_K"])}, {number(row["u_mK"], "1e-3")} }}'
                for row in tables["t-minus-t90"]]))


HEADERS = {"scale_reference.h": reference, "scale_points.h": points, "scale_subranges.h": subranges,
           "scale_uncertainty.h": uncertainty, "scale_difference.h": difference}


def read(path):
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def main():
    folder, files = pathlib.Path(sys.argv[1]), [pathlib.Path(name) for name in sys.argv[2:]]
    tables = {path.stem: read(path) for path in files}
    for name, make in HEADERS.items():
        guard = name.upper().replace(".", "_")
        text = make(tables)
        (folder / name).write_text(
            "/* Made from data/ by tools/make_tables.py; sources stand there. */\n"
            f"#ifndef {guard}\n#define {guard}\n\n{text}\n#endif\n", encoding="utf-8")


if __name__ == "__main__":
    main()
