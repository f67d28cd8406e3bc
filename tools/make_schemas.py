#!/usr/bin/python3
"""Puts the JSON Schemas of data/schema into the program: make_schemas.py OUTPUT.c FILE.json..."""
import json
import pathlib
import sys


def array(name, text):
    """Bytes, since a compiler need not take a literal as long as a schema."""
    data = text.encode("utf-8") + b"\0"
    lines = [", ".join(str(x) for x in data[i:i + 24]) for i in range(0, len(data), 24)]
    return f"static const unsigned char {name}[] = {{\n\t" + ",\n\t".join(lines) + "\n};\n"


def main():
    output, files = pathlib.Path(sys.argv[1]), [pathlib.Path(name) for name in sys.argv[2:]]
    arrays, rows = [], []
    for path in files:
        text = path.read_text(encoding="utf-8")
        schema = json.loads(text)
        name = path.stem.replace("-", "_")
        arrays.append(array(name, text))
        said = schema.get("properties", {}).get("kind", {}).get("const")
        kind = json.dumps(said or path.stem.replace("-", " "))
        rows.append(f'\t{{ {kind}, {json.dumps(schema["title"])}, '
                    f"(const char *){name} }},")
    output.write_text(
        "/* Made from data/schema by tools/make_schemas.py. */\n"
        '#include "app/report/schema.h"\n\n' + "\n".join(arrays)
        + "\nconst struct report_schema report_schemas[] = {\n" + "\n".join(rows)
        + "\n};\nconst size_t report_n_schemas = sizeof(report_schemas) / sizeof(report_schemas[0]);\n",
        encoding="utf-8")


if __name__ == "__main__":
    main()
