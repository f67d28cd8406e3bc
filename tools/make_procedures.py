#!/usr/bin/python3
"""Puts cautions and procedures into the program:
make_procedures.py CAUTIONS.h PROCEDURES.h CAUTIONS.csv PROCEDURE.yaml...

What a procedure says is read by the program itself, in the words of the file; here is seen only that
each caution is complete, and that each is shown somewhere.
"""
import csv
import json
import pathlib
import re
import sys

import make_schemas

COLUMNS = ["id", "hazard", "caution", "figures", "source"]


def cautions(path):
    """Each row, checked."""
    with open(path, encoding="utf-8", newline="") as file:
        table = csv.reader(line for line in file if not line.startswith("#"))
        if next(table) != COLUMNS:
            sys.exit(f"{path}: the header must be {','.join(COLUMNS)}")
        rows = list(table)
    for row in rows:
        if len(row) != len(COLUMNS) or not re.fullmatch(r"[a-z]+(-[a-z]+)*", row[0]):
            sys.exit(f"{path}: {row[0]!r} has {len(row)} fields, or is no name in small letters")
        if not (row[1] and row[2] and row[4]):
            sys.exit(f"{path}: {row[0]} lacks its hazard, its words or its source")
    if len({row[0] for row in rows}) != len(rows):
        sys.exit(f"{path}: an id stands there twice")
    return rows


def c_text(text):
    return json.dumps(text, ensure_ascii=False) if text else "NULL"


def main():
    cautions_h, procedures_h = map(pathlib.Path, sys.argv[1:3])
    rows = cautions(sys.argv[3])
    files = [pathlib.Path(name) for name in sys.argv[4:]]
    said = [text for path in files
            for text in re.findall(r"cautions: \[(.*)\]", path.read_text(encoding="utf-8"))]
    shown = {name for text in said for name in re.split(r", *", text)}
    for name in shown.symmetric_difference(row[0] for row in rows):
        sys.exit(f"{sys.argv[3]}: {name} is in no procedure, or in one and not in the table")
    cautions_h.write_text(
        "/* Made from cautions.csv by tools/make_procedures.py. */\n"
        "const struct lab_caution lab_cautions[] = {\n"
        + "".join("\t{ " + ",\n\t  ".join(map(c_text, row)) + " },\n" for row in rows)
        + "\t{ NULL, NULL, NULL, NULL, NULL },\n};\n", encoding="utf-8")
    arrays, table = [], []
    for path in files:
        name = path.stem.replace("-", "_")
        text = path.read_text(encoding="utf-8")
        arrays.append(make_schemas.array(name, text))
        table.append(f'\t{{ "{path.stem}", {name}, sizeof {name} - 1 }},\n')
    procedures_h.write_text(
        "/* Made from data/procedures by tools/make_procedures.py. */\n" + "\n".join(arrays)
        + "\nstatic const struct built_in built_ins[] = {\n" + "".join(table) + "};\n"
        "static const char *const built_in_names[] = {\n"
        + "".join(f'\t"{path.stem}",\n' for path in files) + "\tNULL,\n};\n",
        encoding="utf-8")


if __name__ == "__main__":
    main()
