#!/usr/bin/python3
"""Readings set aside in the book: who, why, and what it changes, beside the same readings flagged in a
file. On SQLite; on PostgreSQL too where FIRN_BOOK_SERVER names a server
(tests/support/book_server.py).
"""
import csv
import io
import json
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, staff  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

EXAMPLE = HERE.parent.parent / "examples" / "long-stem-25-ohm"
FIRST, N = 5, 7


def flagged(where, visit):
    """The example with readings FIRST to FIRST + N - 1 of the visit flagged in its file."""
    rows = list(csv.reader(io.StringIO((EXAMPLE / "readings.csv").read_text(encoding="utf-8"))))
    of_visit = [row for row in rows[1:] if row[1] == visit]
    for row in of_visit[FIRST:FIRST + N]:
        row[5] = "set aside: lamp"
    with open(where / "readings.csv", "w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    (where / "job.yaml").write_bytes((EXAMPLE / "job.yaml").read_bytes())
    return where / "job.yaml"


def of_visit(job, visit):
    told = firn("reduce", job, "--json").json()
    return next(v for v in told["visits"] if v["id"] == visit)


def exclude(book, *arguments, who="bo", why="a lamp was lit over the cell"):
    return book.say("exclude", *arguments, "--json", who=who, why=why)


def effects(tap, book):
    with tap.case("what it changes is what the same readings flagged in a file change"):
        for visit, what, path, near in (("2", "W", "w", 1e-11), ("3", "R(TPW)", "r_ohm", 1e-8)):
            run = exclude(book, f"31-001/{visit}", str(FIRST), str(N))
            tap.equal("status", (run.status, run.err), (0, "[]\n" if run.err == "[]\n" else ""))
            one, = run.json()["effects"]
            tap.equal("of", (one["calibration"], one["state"], one["what"]),
                      ("31-001", "measuring", what))
            was = of_visit(EXAMPLE / "job.yaml", visit)[path]
            alone = book.folder / visit
            alone.mkdir()
            now = of_visit(flagged(alone, visit), visit)[path]
            tap.near("was", one["was"], was["value"], near if visit == "2" else 1e-9)
            if visit == "2":  # divided by visit 3, which is as it was
                tap.near("is", one["is"], now["value"], 1e-15)
                # dWr/dT at the aluminium point, 3.20e-3/K: ITS-90 (10a)
                tap.near("in mK", one["change_mK"], 1e3 * (now["value"] - was["value"]) / 3.205e-3,
                         abs(one["change_mK"]) * 0.01)
            else:
                tap.near("is", one["is"], now["value"], 1e-12)
                tap.near("in mK", one["change_mK"],
                         1e3 * (now["value"] / was["value"] - 1) / 3.98853e-3,
                         abs(one["change_mK"]) * 0.01 + 1e-9)
            tap.true("something changed", one["was"] != one["is"])
    with tap.case("it is an entry with reason and person, and the readings stay"):
        visit = book.show("visit", "31-001/2")
        tap.equal("kept", visit["exclusions"], [{"first": FIRST, "n": N, "person": "bo",
                                                 "reason": "a lamp was lit over the cell"}])
        run = book.say("reduce", "31-001", who="bo")
        tap.equal("reduced", run.status, 0)
        told = json.loads(json.dumps(book.show("calibration", "31-001")))["state"]
        tap.equal("state", told, "reduced")
        out = book.folder / "out"
        book.say("export", out, who=None)
        rows = (out / "readings" / "31-001+2.csv").read_text(encoding="utf-8").splitlines()
        tap.equal("all of them", len(rows) - 1, 60)


def refusals(tap, book):
    with tap.case("what can't be set aside is said"):
        for arguments, words in (
                (("31-001/2", "8", "2"), "set aside already"),
                (("31-001/2", "11", "1"), "set aside already"),
                (("31-001/2", "55", "6"), "has 60 readings, from 0 to 59"),
                (("31-001/99", "0", "1"), "there is no visit"),
                (("31-001/2", "0", "0"), "N")):
            run = exclude(book, *arguments)
            tap.equal(" ".join(arguments), (run.status, words in run.err), (2, True))
        run = exclude(book, "31-001/2", "0", "1", why=None)
        tap.equal("no reason", (run.status, "with a reason only" in run.err), (2, True))
        run = exclude(book, "31-001/2", "0", "1", who="cy")
        tap.equal("no right", run.status, 2)
        tap.equal("nothing was written", len(book.show("visit", "31-001/2")["exclusions"]), 1)
        tap.equal("beside it one may", exclude(book, "31-001/2", "12", "1").status, 0)


def issued(tap, book):
    with tap.case("behind a certificate it is said which one, and recomputing tells it"):
        for action, who in ((("reduce", "31-001"), "bo"), (("agree", "31-001"), "dee"),
                            (("issue", "31-001", "C-1"), "cy")):
            tap.equal(action[0], book.say(*action, who=who).status, 0)
        run = exclude(book, "31-001/4", "0", "2")
        tap.equal("said", (run.status, "certificate C-1 was issued with these readings" in run.err),
                  (0, True))
        run = book.say("recompute", "C-1", who=None)
        tap.true("recomputed", run.status == 1 and re.search("not those that the book gives now", run.out)
                 and "the same bytes" in run.out, run.out)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        with tap.case("a calibration is in the book"):
            tap.equal("begun", book.begin().status, 0)
            tap.equal("staff", staff(book), [])
            tap.equal("job", book.say("job", EXAMPLE / "job.yaml", "31-001", who="bo").status, 0)
        effects(tap, book)
        refusals(tap, book)
        issued(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
