#!/usr/bin/python3
"""Turns data/limits.csv into a table of C: make_limits.py OUTPUT.h TABLE.csv"""
import csv
import json
import math
import pathlib
import re
import sys

COLUMNS = ["name", "value", "unit", "source", "mark", "what"]


def rows(path):
    """Each row, checked."""
    with open(path, encoding="utf-8", newline="") as file:
        lines = [(n, line) for n, line in enumerate(file, 1) if not line.startswith("#")]
    table = zip((n for n, _ in lines), csv.reader(line for _, line in lines), strict=True)
    if next(table)[1] != COLUMNS:
        sys.exit(f"{path}: the header must be {','.join(COLUMNS)}")
    names = set()
    for number, row in table:
        where = f"{path}:{number}"
        if len(row) != len(COLUMNS):
            sys.exit(f"{where}: {len(row)} fields; there must be {len(COLUMNS)}")
        name, value, unit, source, mark, what = row
        if not re.fullmatch(r"[a-z][A-Za-z0-9_]*", name) or name in names:
            sys.exit(f"{where}: {name!r} is no new name")
        if value and not (re.fullmatch(r"[0-9.e+-]+", value) and math.isfinite(float(value))):
            sys.exit(f"{where}: {value!r} is not a number")
        if name.endswith("_mK") != (unit == "mK") or not source or not what:
            sys.exit(f"{where}: {name} lacks its unit, source or meaning")
        if mark not in ("R", "P", "A", "M", "C"):
            sys.exit(f"{where}: {mark!r} is no mark")
        names.add(name)
        yield row


def main():
    output, table = sys.argv[1:]
    lines = []
    for name, value, unit, source, mark, what in rows(table):
        texts = [json.dumps(text) for text in (name, unit, source, what)]
        lines.append(f"\t{{ {texts[0]}, {value or '(double)NAN'}, {texts[1]}, {texts[2]}, '{mark}',\n"
                     f"\t  {texts[3]} }},")
    pathlib.Path(output).write_text(
        f"/* Made from {pathlib.Path(table).name} by tools/make_limits.py. */\n"
        "const struct lab_criterion lab_criteria[] = {\n" + "\n".join(lines)
        + "\n\t{ NULL, 0, NULL, NULL, 0, NULL },\n};\n", encoding="utf-8")


if __name__ == "__main__":
    main()
