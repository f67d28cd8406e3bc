#!/usr/bin/python3
"""Turns tables of constants (CSV: name, value, u, unit, source; lines with # are remarks) into C.

make_realisation_tables.py OUT.c OUT.h TABLE.csv...
"""

import csv
import re
import sys
from decimal import Decimal, InvalidOperation

COLUMNS = ["name", "value", "u", "unit", "source"]


def read(path):
    """Rows of one table, each checked."""
    with open(path, encoding="utf-8", newline="") as file:
        lines = [(n, line) for n, line in enumerate(file, 1) if not line.startswith("#")]
    reader = csv.reader(line for _, line in lines)
    rows = list(zip((n for n, _ in lines), reader, strict=True))
    if not rows or rows[0][1] != COLUMNS:
        sys.exit(f"{path}: the header must be {','.join(COLUMNS)}")
    for number, row in rows[1:]:
        where = f"{path}:{number}"
        if len(row) != len(COLUMNS):
            sys.exit(f"{where}: {len(row)} fields; there must be {len(COLUMNS)}")
        name, value, u, _, source = row
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name):
            sys.exit(f"{where}: {name!r} can't be a name in C")
        if not source:
            sys.exit(f"{where}: {name} has no source")
        for text in [value] + ([u] if u else []):
            try:
                finite = Decimal(text).is_finite()
            except InvalidOperation:
                finite = False
            if not finite:
                sys.exit(f"{where}: {text!r} is not a number")
        yield where, row


def quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def main():
    out_c, out_h, *tables = sys.argv[1:]
    seen = {}
    declarations, definitions = [], []
    for table in tables:
        for where, (name, value, u, unit, source) in read(table):
            if name in seen:
                sys.exit(f"{where}: {name} stands already in {seen[name]}")
            seen[name] = where
            declarations.append(f"extern const struct realisation_constant constant_{name};")
            definitions.append(
                f"const struct realisation_constant constant_{name} = {{\n"
                f"\t.value = {float(value)!r}, .u = {float(u) if u else 0.0!r},\n"
                f"\t.unit = {quoted(unit)}, .source = {quoted(source)},\n}};"
            )
    with open(out_h, "w", encoding="utf-8") as file:
        file.write("/* Made by tools/make_realisation_tables.py from data/. */\n"
                   "#ifndef LIB_REALISE_CONSTANTS_H\n#define LIB_REALISE_CONSTANTS_H\n\n"
                   "struct realisation_constant {\n"
                   "\tdouble value, u; /* u: standard uncertainty, 0 where none is stated */\n"
                   "\tconst char *unit, *source;\n};\n\n"
                   + "\n".join(declarations) + "\n\n#endif\n")
    with open(out_c, "w", encoding="utf-8") as file:
        file.write("/* Made by tools/make_realisation_tables.py from data/. */\n"
                   '#include "lib/realise/constants.h"\n\n' + "\n".join(definitions) + "\n")


if __name__ == "__main__":
    main()
