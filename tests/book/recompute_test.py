#!/usr/bin/python3
"""A certificate computed again where the environment is another one: every printed digit, and every
number within 1e-12 relative; what differs is listed. The book is changed behind its back, as nothing
else makes a certificate of another program."""
import hashlib
import json
import pathlib
import sqlite3
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, staff  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"


def issue(book):
    book.begin()
    staff(book)
    book.say("job", JOB, "31-001")
    book.say("reduce", "31-001", who="bo")
    book.say("agree", "31-001", who="dee")
    return book.say("issue", "31-001", "C-1", who="cy")


class Forged:
    """A copy of the book in which the certificate was issued with other constants, and its data file
    is what `change` makes of it."""

    def __init__(self, book, name, change=None, constants="0" * 64):
        self.place = book.folder / f"{name}.firn"
        self.place.write_bytes((book.folder / "copy.firn").read_bytes())
        database = sqlite3.connect(self.place)
        database.execute("DROP TRIGGER entry_unchanged")
        seq, body = database.execute(
            "SELECT seq, body FROM entry WHERE kind = 'certificate' AND id = 'C-1'").fetchone()
        body = json.loads(body)
        if constants is not None:
            body["environment"]["constants"] = constants
        bytes_, = database.execute("SELECT bytes FROM file WHERE sha256 = ?",
                                   (body["result"],)).fetchone()
        if change is not None:
            result = json.loads(bytes_)
            change(result)
            bytes_ = json.dumps(result).encode()
            body["result"] = hashlib.sha256(bytes_).hexdigest()
            database.execute("INSERT INTO file VALUES (?, ?)", (body["result"], bytes_))
        database.execute("UPDATE entry SET body = ? WHERE seq = ?", (json.dumps(body), seq))
        database.commit()
        database.close()

    def recompute(self, *options):
        return firn("book", "recompute", "C-1", *options, "--book", self.place)

    def told(self):
        run = self.recompute("--json")
        return run.status, run.json()["certificates"][0]


def scaled(factor):
    """W of the second visit, aluminium: the certificate prints eight decimals of it."""
    def change(result):
        result["visits"][1]["w"]["value"] *= factor
    return change


def same_environment(tap, book):
    with tap.case("where it was issued it comes out with the same bytes, and everything is compared"):
        run = book.say("recompute", "C-1", "--json", who=None)
        one = run.json()["certificates"][0]
        tap.equal("status", (run.status, run.json()["held"]), (0, 1))
        tap.equal("same", [one[f"same_{what}"] for what in ("bytes", "environment", "constants",
                                                            "readings")], [True] * 4)
        tap.equal("nothing differs", (one["unequal"], one["differing"], one["print"]["differing"]),
                  (0, 0, 0))
        tap.true("numbers and texts", one["numbers"] > 300 and one["print"]["texts"] > 300,
                 f"{one['numbers']}, {one['print']['texts']}")
    with tap.case("there a single other byte is a difference"):
        status, one = Forged(book, "space", lambda result: None, None).told()
        tap.equal("holds", (status, one["holds"], one["same_bytes"]), (1, False, False))


def other_environment(tap, book):
    with tap.case("elsewhere the last digits of doubles may differ, and what is printed may not"):
        forged = Forged(book, "last", scaled(1 + 1e-13))
        status, one = forged.told()
        tap.equal("holds", (status, one["holds"], one["same_bytes"]), (0, True, False))
        tap.equal("counted", (one["unequal"], one["differing"]), (1, 0))
        tap.near("how far", one["largest_relative_difference"], 1e-13, 3e-16)
        tap.true("the constants of the day are named",
                 "0" * 12 + "..." in forged.recompute().out, forged.recompute().out)
    with tap.case("beyond 1e-12 a number is listed, printed or not"):
        status, one = Forged(book, "number", scaled(1 + 1e-11)).told()
        tap.equal("holds", (status, one["holds"]), (1, False))
        tap.equal("listed", [d["path"] for d in one["differences"]], ["/visits/1/w/value"])
        tap.equal("print", one["print"]["differing"], 0)
    with tap.case("a printed digit that differs is listed as it stands on the page"):
        forged = Forged(book, "print", scaled(1 + 2e-6))
        status, one = forged.told()
        tap.equal("holds", (status, one["holds"]), (1, False))
        tap.true("print", one["print"]["differing"] > 0 and all(
            d["was"] != d["is"] for d in one["print"]["differences"]), str(one["print"]))
        text = forged.recompute().out
        tap.true("told", "DOES NOT HOLD" in text and "printed texts differ" in text, text)
    with tap.case("of all certificates each has a line"):
        run = firn("book", "recompute", "--all", "--book", book.folder / "print.firn")
        tap.equal("status", run.status, 1)
        tap.true("told", "0 of 1 certificates hold" in run.out and "other constants" in run.out,
                 run.out)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        with tap.case("a certificate is issued"):
            tap.equal("status", issue(book).status, 0)
            tap.equal("copied", book.say("backup", book.folder / "copy.firn", who=None).status, 0)
        same_environment(tap, book)
        other_environment(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
