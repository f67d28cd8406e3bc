#!/usr/bin/python3
"""Turns data/materials.csv into a table of C: make_materials.py OUTPUT.h TABLE.csv"""
import csv
import json
import math
import pathlib
import re
import sys

COLUMNS = ["material", "property", "t_degC", "value", "u", "unit", "low_degC", "high_degC", "mark",
           "source"]
# Property -> its name in include/firn/material.h, its unit.
PROPERTIES = {
    "conductivity": ("FIRN_CONDUCTIVITY", "W/(m K)"),
    "density": ("FIRN_DENSITY", "kg/m3"),
    "heat_capacity": ("FIRN_HEAT_CAPACITY", "J/(kg K)"),
    "latent_heat": ("FIRN_LATENT_HEAT", "J/kg"),
}


def number(where, text):
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        sys.exit(f"{where}: {text!r} is not a number")
    return value


def rows(path):
    """Each row, checked, its numbers as numbers."""
    with open(path, encoding="utf-8", newline="") as file:
        lines = [(n, line) for n, line in enumerate(file, 1) if not line.startswith("#")]
    table = zip((n for n, _ in lines), csv.reader(line for _, line in lines), strict=True)
    if next(table)[1] != COLUMNS:
        sys.exit(f"{path}: the header must be {','.join(COLUMNS)}")
    for line, row in table:
        where = f"{path}:{line}"
        if len(row) != len(COLUMNS):
            sys.exit(f"{where}: {len(row)} fields; there must be {len(COLUMNS)}")
        material, prop, *_, mark, source = row
        if not re.fullmatch(r"[a-z][a-z0-9_]*", material) or not source:
            sys.exit(f"{where}: {material!r} is no name of a material, or has no source")
        if prop not in PROPERTIES or row[5] != PROPERTIES[prop][1]:
            sys.exit(f"{where}: {prop} in {row[5]}; known are "
                     + ", ".join(f"{p} in {unit}" for p, (_, unit) in PROPERTIES.items()))
        if mark not in ("R", "C", "M"):
            sys.exit(f"{where}: {mark!r} is no mark")
        t, value, u, low, high = (number(where, row[i]) for i in (2, 3, 4, 6, 7))
        if not (value > 0 and u > 0 and low < high and low <= t <= high):
            sys.exit(f"{where}: value and u above 0, low_degC below high_degC, t_degC between them")
        yield where, material, prop, (t, value, u, low, high), mark, source


def grouped(path):
    """(material, property) -> (its range, its rows by temperature)."""
    groups = {}
    for where, material, prop, (t, value, u, low, high), mark, source in rows(path):
        span, values = groups.setdefault((material, prop), ((low, high), []))
        if span != (low, high):
            sys.exit(f"{where}: the rows of one property have one range; there it is {span}")
        if t in (row[0] for row in values):
            sys.exit(f"{where}: {material}, {prop} stands already at {t} degC")
        values.append((t, value, u, mark, source))
    return {key: (span, sorted(values)) for key, (span, values) in groups.items()}


def main():
    output, table = sys.argv[1:]
    lines = []
    for (material, prop), ((low, high), values) in sorted(grouped(table).items()):
        for t, value, u, mark, source in values:
            lines.append(
                f"\t{{ {json.dumps(material)}, {PROPERTIES[prop][0]}, {t!r}, {low!r}, {high!r},\n"
                f"\t  {{ {value!r}, {u!r}, {json.dumps(PROPERTIES[prop][1])}, '{mark}', "
                f"{json.dumps(source)} }} }},")
    pathlib.Path(output).write_text(
        f"/* Made from {pathlib.Path(table).name} by tools/make_materials.py: by material, property "
        "and temperature. */\nstatic const struct material_row material_rows[] = {\n"
        + "\n".join(lines) + "\n};\n", encoding="utf-8")


if __name__ == "__main__":
    main()
