#!/usr/bin/python3
"""Puts the published checks into the program: make_validation.py OUTPUT.h DATA... MODEL.yaml...

DATA: data/validation.csv, data/fixed-points.csv, tests/oracle/data/scale-forward.csv and
scale-inverse.csv. A model that validation.csv names and that is not given, and one that is given and
not named, are errors.
"""
import json
import pathlib
import re
import sys

from make_schemas import array
from make_tables import number, read

KINDS = ["wr", "wr_from_zero", "approximate_below", "approximate_above", "factor", "model", "trials"]


def text(words):
    return json.dumps(words) if words else "NULL"


def checks(rows):
    lines = []
    for row in rows:
        if row["kind"] not in KINDS:
            raise ValueError(f"validation.csv: there is no kind {row['kind']}")
        lines.append(
            f'\t{{ VALIDATE_{row["kind"].upper()}, {number(row["at"])}, {text(row["model"])}, '
            f'{text(row["output"])}, {text(row["quantity"])}, {number(row["want"])}, '
            f'{number(row["tolerance"])}, {text(row["source"])} }},\n')
    return "static const struct validate_row validate_rows[] = {\n" + "".join(lines) + "};\n"


def points(rows):
    return "static const struct validate_point validate_table_1[] = {\n" + "".join(
        f'\t{{ "{row["name"]}", {number(row["T90_K"])}, {number(row["Wr_Table1"])} }},\n'
        for row in rows if row["Wr_Table1"]) + "};\n"


def pairs(name, rows, x, y, above):
    return f"static const struct validate_pair {name}[] = {{\n" + "".join(
        f"\t{{ {row[x]}, {row[y]}, {'true' if above(row) else 'false'} }},\n"
        for row in rows) + "};\n"


def models(paths, rows):
    named = {row["model"] for row in rows if row["model"]}
    given = {path.stem for path in paths}
    if named != given:
        raise ValueError(f"validation.csv names the models {sorted(named)}, given {sorted(given)}")
    names = {path: "model_" + re.sub(r"\W", "_", path.stem) for path in paths}
    return "".join(array(names[path], path.read_text(encoding="utf-8")) for path in paths) + (
        "static const struct validate_model validate_models[] = {\n" + "".join(
            f'\t{{ "{path.stem}", {names[path]}, sizeof({names[path]}) - 1 }},\n'
            for path in paths) + "};\n")


def main():
    output, files = pathlib.Path(sys.argv[1]), [pathlib.Path(name) for name in sys.argv[2:]]
    tables = {path.stem: read(path) for path in files if path.suffix == ".csv"}
    rows = tables["validation"]
    output.write_text(
        "/* Made from data/ and tests/oracle by tools/make_validation.py; sources stand there. */\n"
        "#ifndef VALIDATION_TABLES_H\n#define VALIDATION_TABLES_H\n\n" + checks(rows)
        + points(tables["fixed-points"])
        + pairs("validate_forward_40", tables["scale-forward"], "T90_K", "Wr",
                lambda row: row["equation"] == "10a")
        + pairs("validate_inverse_40", tables["scale-inverse"], "Wr", "T90_exact_K", lambda row: False)
        + models([path for path in files if path.suffix == ".yaml"], rows) + "\n#endif\n",
        encoding="utf-8")


if __name__ == "__main__":
    main()
