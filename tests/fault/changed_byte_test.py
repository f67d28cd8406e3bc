#!/usr/bin/python3
"""A copy of a book in which one byte was changed behind the program's back: `firn book check` tells of
it, with the place.

    changed_byte_test.py RECORDER [--each N] [--seed N]

N cells of each column that holds entries, readings, blocks or files are changed, one at a time: a bit
of a number, a byte of a text or of bytes. On SQLite in copies, with the triggers dropped, and in the
bytes of the file itself; with FIRN_BOOK_SERVER on PostgreSQL, by a superuser for whom no trigger fires,
and put back. There are sealed readings and such that are rows.
"""
import argparse
import contextlib
import os
import pathlib
import random
import re
import shutil
import sqlite3
import struct
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, open_visit, staff  # noqa: E402
from firn_run import Tap, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "hundred-ohm" / "job.yaml"
ISSUED = "2031-12-01T12:00:00Z"  # after the last reading of the job

# Of each table: what names a row, what is changed, and the place that must be told.
TABLES = {
    "entry": (("seq",), ("seq", "time_us", "who", "action", "why", "kind", "id", "version", "body",
                         "previous", "hash"), r"entry {seq} \("),
    "reading": (("visit", "number"), ("number", "time_us", "current_mA", "value", "bath_C", "quantity",
                                      "flag", "digest"), "reading {number} of visit {visit}:"),
    "block": (("visit", "number"), ("first", "n", "time_first_us", "time_last_us", "low", "high", "mean",
                                    "numbers", "previous", "hash"), "block {number} of visit {visit} "),
    "block_bytes": (("visit", "number"), ("summary", "readings"), "block {number} of visit {visit} "),
    "file": (("sha256",), ("bytes",), "file {sha256}:"),
}
# What names a row is changed itself: whatever is told of its neighbours counts.
NAMES = {("entry", "seq"): r"entry \d+ \(", ("reading", "number"): r"reading \d+ of visit {visit}:"}


def changed(rng, value):
    """The value with one bit of its number, or one byte of its bytes, another. Of integers a bit so
    high that no other row has the number."""
    if isinstance(value, int):
        return value ^ (1 << rng.randrange(10, 13))
    if isinstance(value, float):
        bits = struct.unpack("<q", struct.pack("<d", value))[0] ^ (1 << rng.randrange(40))
        return struct.unpack("<d", struct.pack("<q", bits))[0]
    at = rng.randrange(len(value))
    if isinstance(value, str):
        return value[:at] + rng.choice([c for c in "0a7" if c != value[at]]) + value[at + 1:]
    return value[:at] + bytes([value[at] ^ (1 << rng.randrange(8))]) + value[at + 1:]


# ---- copies ----

class SQLite:
    def __init__(self, book, where):
        self.book, self.where = book.place, where

    def put_back(self, *_what):
        """It was a copy."""

    def copy(self):
        place = self.where / "copy.firn"
        shutil.copy(self.book, place)
        return place

    def query(self, place, text, *values):
        with contextlib.closing(sqlite3.connect(place)) as connection:
            return connection.execute(text, values).fetchall()

    def update(self, place, table, column, value, names):
        rule = " AND ".join(f"{name} = ?" for name in names)
        with contextlib.closing(sqlite3.connect(place)) as connection:
            for (trigger,) in connection.execute("SELECT name FROM sqlite_schema"
                                                 " WHERE type = 'trigger'").fetchall():
                connection.execute(f"DROP TRIGGER {trigger}")
            connection.execute(f"UPDATE {table} SET {column} = ? WHERE {rule}",
                               (value, *names.values()))
            connection.commit()


class PostgreSQL:
    def __init__(self, book, _where):
        self.book = book.place

    def sql(self, place, text):
        return subprocess.run(["psql", "-qAt", "-F", "\x1f", "-R", "\x1e", place, "-c", text], check=True,
                              capture_output=True, text=True).stdout

    def copy(self):
        return self.book  # a copy takes long: what was changed is put back

    def query(self, place, text):
        """Values as Python has them, by their types in the first row."""
        kinds = [line.split("\x1f")[1] for line in self.sql(
            place, "SET client_min_messages = error; CREATE TEMP VIEW q AS " + text +
            "; SELECT attname, format_type(atttypid, NULL) FROM pg_attribute WHERE attrelid ="
            " 'q'::regclass AND attnum > 0 ORDER BY attnum").rstrip("\x1e\n").split("\x1e")]
        rows = self.sql(place, text).rstrip("\x1e\n")
        return [tuple(self.value(kind, field) for kind, field in zip(kinds, row.split("\x1f")))
                for row in rows.split("\x1e")] if rows else []

    @staticmethod
    def value(kind, text):
        if text == "" and kind != "text":
            return None
        return {"bigint": int, "double precision": float,
                "bytea": lambda hexed: bytes.fromhex(hexed[2:])}.get(kind, str)(text)

    @staticmethod
    def literal(value):
        if isinstance(value, bytes):
            return f"'\\x{value.hex()}'"
        return repr(value) if not isinstance(value, str) else "'" + value.replace("'", "''") + "'"

    def put_back(self, table, column, before, after, names):
        if column in names:
            names = {**names, column: after}
        self.update(self.book, table, column, before, names)

    def update(self, place, table, column, value, names):
        rule = " AND ".join(f"{name} = {self.literal(v)}" for name, v in names.items())
        script = (f"SET session_replication_role = replica;"
                  f"UPDATE {table} SET {column} = {self.literal(value)} WHERE {rule}")
        subprocess.run(["psql", "-q", place], input=script, text=True, check=True)


# ---- what is told ----

def check(book, place):
    there, book.place = book.place, place
    run = book.say("check", who=None)
    book.place = there
    return run


def is_told(tap, book, place, pattern, what):
    run = check(book, place)
    tap.true(what, run.status in (1, 3) and re.search(pattern, run.out, re.MULTILINE),
             f"want {pattern!r}: {run.status} {run.out[:400]}{run.err[:400]}")


def cells(rng, database, table, column, n):
    names = TABLES[table][0]
    rows = database.query(database.book, f"SELECT {', '.join(names)}, {column} AS it FROM {table}"
                          f" WHERE {column} IS NOT NULL")
    rows = [row for row in rows if row[-1] not in ("", b"")]
    return [(dict(zip(names, row)), row[-1]) for row in rng.sample(rows, min(n, len(rows)))]


def change_cells(tap, rng, book, database, n):
    for table, (_, columns, place) in TABLES.items():
        with tap.case(f"{table}: {', '.join(columns)}"):
            for column in columns:
                found = cells(rng, database, table, column, n)
                tap.true(f"there is a {column} to change", found)
                for names, value in found:
                    other = changed(rng, value)
                    copy = database.copy()
                    database.update(copy, table, column, other, names)
                    pattern = NAMES.get((table, column), place).format(
                        **{name: re.escape(str(v)) for name, v in names.items()})
                    is_told(tap, book, copy, "^" + pattern, f"{column} of {names}: {str(other)[:60]!r}")
                    database.put_back(table, column, value, other, names)
        tap.equal("put back", check(book, database.book).out, "the book is sound\n")


def stored(value):
    """The beginning of what stands in the file, which is in one piece."""
    if isinstance(value, float):
        return struct.pack(">d", value)
    return (value.encode() if isinstance(value, str) else value)[:200]


def change_file(tap, rng, book, database, n):
    """Bytes of the SQLite file where a value stands in it: text and bytes as they are, doubles with
    their highest byte first (SQLite's file format, section 2.1)."""
    whole = database.book.read_bytes()
    for table, column in (("entry", "body"), ("reading", "value"),
                          ("block_bytes", "readings"), ("file", "bytes")):
        place = TABLES[table][2]
        with tap.case(f"bytes of the file: {table}, {column}"):
            found = [(names, stored(value)) for names, value in cells(rng, database, table, column, 99)]
            found = [(names, raw) for names, raw in found if whole.count(raw) == 1]
            tap.true("values that stand in the file once", len(found) >= n, found)
            for names, raw in found[:n]:
                at = whole.find(raw) + rng.randrange(len(raw))
                copy = database.copy()
                copy.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1:])
                pattern = place.format(**{name: re.escape(str(v)) for name, v in names.items()})
                is_told(tap, book, copy, "^" + pattern, f"byte {at}, {column} of {names}")


def make(tap, book, recorder):
    tap.status(book.begin(), 0)
    tap.equal("staff", staff(book), [])
    for action, who, arguments in (("job", "ada", [JOB, "K"]), ("reduce", "bo", ["K"]),
                                   ("agree", "dee", ["K"]), ("issue", "cy", ["K", "C"])):
        tap.status(book.say(action, *arguments, who=who, at=ISSUED, why="for the test"), 0)
    for visit in ("sealed", "rows"):
        tap.equal(visit, open_visit(book, visit, "S-088"), [])
        subprocess.run([recorder, "record", str(book.place), visit, "1", "61",
                        *(["rows"] if visit == "rows" else [])], check=True,
                       stdout=subprocess.DEVNULL)
    tap.equal("before", check(book, book.place).out, "the book is sound\n")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("recorder")
    parser.add_argument("--each", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    o = parser.parse_args()
    tap, rng = Tap(), random.Random(o.seed)
    remote = "FIRN_BOOK_SERVER" in os.environ
    with folder() as name:
        where = pathlib.Path(name)
        book = Book(where, "changed")
        with tap.case("a book"):
            make(tap, book, o.recorder)
        database = (PostgreSQL if remote else SQLite)(book, where)
        change_cells(tap, rng, book, database, o.each)
        if not remote:
            change_file(tap, rng, book, database, o.each)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
