#!/usr/bin/python3
"""Three years of the invented laboratory, from its generator into a book: everything in it holds, on
SQLite, after export and import, and where FIRN_BOOK_SERVER names a server, after moving there.

--first-year takes the acts of 2028 alone: for builds with sanitizers, which are many times as slow. So does
a run under a decimal comma.
"""
import collections
import hashlib
import json
import os
import pathlib
import re
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(HERE.parent / "support"), str(ROOT / "tools")]
from firn_run import Tap, firn, folder  # noqa: E402
from hollowmere import book as making  # noqa: E402
import hollowmere_guide  # noqa: E402
import hollowmere_truth  # noqa: E402

SERVER = os.environ.get("FIRN_BOOK_SERVER")
SHORT = "--first-year" in sys.argv or "FIRN_TEST_LOCALE" in os.environ
# The schedule of tools/hollowmere/calibrations.py, counted by hand.
STATES = {"issued": 12} if SHORT else {"issued": 30, "replaced": 2, "cancelled": 3, "checked": 1,
                                       "reduced": 1, "measuring": 1, "planned": 2}
CERTIFICATES = 12 if SHORT else 32


def generate(into, *options):

    subprocess.run([sys.executable, ROOT / "tools" / "make_hollowmere.py", *options, into],
                   check=True)
    acts = into / "history.jsonl"
    if SHORT:
        lines = [line for line in acts.read_text(encoding="utf-8").splitlines(keepends=True)
                 if json.loads(line)["when"] < "2029"]
        acts.write_text("".join(lines), encoding="utf-8")
    return acts


def contents(folder_made):
    """Of every file, by its SHA-256."""
    return {str(path.relative_to(folder_made)): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in folder_made.rglob("*") if path.is_file()}


class Book:
    def __init__(self, place):
        self.place = place

    def say(self, action, *arguments):
        return firn("book", action, *arguments, "--book", self.place, timeout=600)

    def states(self):
        """Of the calibrations: how many stand where."""
        return collections.Counter(record["state"] for record in self.calibrations())

    def calibrations(self):
        return self.say("list", "calibration", "--json").json()["records"]

    def bodies(self, kind):
        """Of all records of a kind, by id, as the export has them."""
        lines = (json.loads(line) for line in
                 (self.exported / "log.jsonl").read_text(encoding="utf-8").splitlines())
        return {line["id"]: line["body"] for line in lines if line["kind"] == kind}

    def show(self, kind, name):
        return self.say("show", kind, name, "--body").json()

    def file(self, number, which, text=False):
        """Of a certificate."""
        path = self.place.parent / "file"
        self.say("certificate", number, f"--{which}", path)
        content = path.read_text(encoding="utf-8")
        return content if text else json.loads(content)


def load(tap, book, where):
    with tap.case("three years become a book by the program's own use cases"):
        acts = generate(where / "made")
        run = firn(*making.initial(book.place))
        tap.equal("init", (run.status, run.err), (0, ""))
        started = time.monotonic()
        run = firn("book", "load", acts, "--book", book.place, "--as", "edda", timeout=600)
        print(f"# loaded in {time.monotonic() - started:.1f} s")
        tap.equal("load", run.status, 0)
        # One closed gate, and who let the calibration through.
        tap.equal("told", [line for line in run.err.splitlines() if "let through by" not in line], [])
        tap.equal("how many", len(run.err.splitlines()), 0 if SHORT else 1)
        n = len(acts.read_text(encoding="utf-8").splitlines())
        tap.equal("all of it", run.out, f"{n} acts are in the book\n")
        tap.equal("where the calibrations stand", dict(book.states()), STATES)
    with tap.case("the same seed makes the same history, another one another"):
        again, other = generate(where / "again"), generate(where / "other", "--seed", "10")
        tap.equal("same", contents(again.parent), contents(acts.parent))
        tap.true("another", other.read_bytes() != acts.read_bytes())


def holds(tap, book, what):
    """The book is sound, and every certificate comes out again."""
    with tap.case(f"{what}: the book is sound, and every certificate comes out again"):
        tap.equal("check", book.say("check").out, "the book is sound\n")
        run = book.say("recompute", "--all")
        tap.equal("recompute", (run.status, run.err), (0, ""))
        lines = run.out.splitlines()
        tap.equal("how many", lines[-1], f"{CERTIFICATES} of {CERTIFICATES} certificates hold")
        tap.equal("with the same bytes", run.out.count("same bytes"), CERTIFICATES)
        tap.true("from the book's readings", "not the" not in run.out)


def years(tap, book):
    """What happened in the later years, as the book tells it."""
    with tap.case("what blocks a release blocks it"):
        (name,) = [record["id"] for record in book.calibrations() if record["state"] == "checked"]
        run = firn("book", "issue", name, "C-X", "--book", book.place, "--as", "edda", "--at",
                   "2030-12-19T12:00:00Z")
        tap.equal("refused", (run.status, "nonconformity N-30-1 about bridge B3" in run.err),
                  (2, True))
        gates = book.say("gates", name, "--at", "2030-12-19T12:00:00Z").out
        tap.true("and is told beside the gates", "nonconformity N-30-1 about bridge B3" in gates)
        tap.equal("which are open", len(re.findall("(?m)^  [a-z ]+: closed", gates)), 1)
        tap.true("check thermometers among them", gates.count("check thermometers: passed") > 10)
    with tap.case("what was replaced says by what and why"):
        old, new = book.show("certificate", "C-29-007"), book.show("certificate", "C-29-007R")
        tap.equal("old", (old["state"], old["replaced_by"]), ("replaced", "C-29-007R"))
        tap.equal("new", (new["state"], new["replaces"]), ("issued", "C-29-007"))
        tap.true("why", "W4" in new["reason"])
    with tap.case("timelines tell of the broken cell and the thermometer damaged in transport"):
        for thing, words in (("W6", "cracked"), ("S-137", "damaged in transport"),
                             ("R-100-4", "more than the last one")):
            run = book.say("timeline", thing)
            tap.true(thing, run.status == 0 and words in run.out, run.out[-400:])
        tap.equal("cell", book.show("cell", "W6")["state"], "broken")
        lines = book.say("timeline", "S-137").out.splitlines()
        tap.equal("the visits of a job are one line", [line[22:] for line in lines if
                  line.startswith("2028-04-21T18:30:00Z") and " visit " in line],
                  ["tam  import visit 28-005/1 to 28-005/7, closed: W3, Al2, Zn1, Sn2"])
        acts = book.say("timeline", "S-137", "--json").json()["acts"]
        tap.equal("for programs each is named", [act["records"] for act in acts if act["kind"] ==
                  "visit"][0], [f"28-005/{n}" for n in range(1, 8)])
        tap.equal("thermometer", book.show("thermometer", "S-137")["state"], "returned")
    with tap.case("who left may not act, nor who was not allowed yet"):
        for who, day in (("odo", "2029-07-02"), ("wren", "2029-05-01")):
            path = book.place.parent / "customer.json"
            path.write_text('{"name": "N", "address": "A"}', encoding="utf-8")
            run = firn("book", "put", "customer", "K", path, "--book", book.place, "--as", who,
                       "--at", f"{day}T12:00:00Z")
            tap.equal(who, (run.status, f"person {who}" in run.err), (2, True))


def exported(tap, book, where):
    book.exported = where / "out"
    with tap.case("all of it goes out into plain files"):
        run = book.say("export", book.exported)
        tap.equal("export", (run.status, run.err), (0, ""))


def elsewhere(tap, book, where):
    """Into another file by way of the plain ones; to a server."""
    lists = [book.say("list", kind).out for kind in ("calibration", "certificate", "cell")]
    places = [("after export and import", "import", where / "again.firn")]
    if SERVER:
        name = f"hollowmere_{os.getpid()}"
        subprocess.run(["psql", "-q", SERVER, "-c", f"CREATE DATABASE {name}"], check=True)
        places.append(("on PostgreSQL", "move", SERVER.replace("/postgres?", f"/{name}?")))
    for what, how, place in places:
        with tap.case(f"{what}: the same book"):
            if how == "import":
                run = firn("book", "import", book.exported, place, timeout=600)
            else:
                run = book.say("move", place)
            tap.equal(how, (run.status, run.err), (0, ""))
            tap.equal("lists", [Book(place).say("list", kind).out for kind in
                                ("calibration", "certificate", "cell")], lists)
        holds(tap, Book(place), what)


def main():
    tap = Tap()
    with folder() as name:
        where = pathlib.Path(name)
        book = Book(where / "hollowmere.firn")
        load(tap, book, where)
        holds(tap, book, "on SQLite")
        exported(tap, book, where)
        if not SHORT:
            years(tap, book)
            hollowmere_truth.hold(tap, book)
            hollowmere_guide.hold(tap, book)
        elsewhere(tap, book, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
