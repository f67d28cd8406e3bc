#!/usr/bin/python3
"""Writes a header with the SHA-256 of the tables of data/: make_constants.py OUTPUT TABLE..."""
import hashlib
import pathlib
import sys


def main():
    digest = hashlib.sha256()
    for path in sorted(map(pathlib.Path, sys.argv[2:]), key=lambda path: path.name):
        content = path.read_bytes()
        digest.update(f"{path.name} {len(content)}\n".encode() + content)
    pathlib.Path(sys.argv[1]).write_text(
        "/* Made by tools/make_constants.py. */\n"
        f'#define DATA_CONSTANTS_SHA256 "{digest.hexdigest()}"\n', encoding="utf-8")


if __name__ == "__main__":
    main()
