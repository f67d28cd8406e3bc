#!/usr/bin/python3
"""A book goes from a file to a server and back, by `move` and by `export` and `import`, and stays the
same to the byte of its export; every certificate is computed again at each place. Needs the server
that FIRN_BOOK_SERVER names (tests/support/book_server.py). docs/book.md tells people the same steps.
"""
import filecmp
import pathlib
import shutil
import sqlite3
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import new_place, staff  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402
from calibration_test import EXAMPLES, Book  # noqa: E402

JOBS = ("long-stem-25-ohm", "capsule-25-ohm")


class File(Book):
    """A book in a file, whatever server there is."""

    def __init__(self, where):
        super().__init__(where)
        self.place = where / "lab.firn"


def at(place, *words):
    return firn("book", *words, "--book", place, timeout=300)


def issued(tap, book):
    """Certificates of two examples, and readings as rows and in blocks."""
    with tap.case("two certificates are issued"):
        tap.equal("people", (book.begin().status, staff(book)), (0, []))
        for number, name in enumerate(JOBS, 1):
            for who, words in (("bo", ("job", EXAMPLES / name / "job.yaml", f"31-{number}")),
                               ("bo", ("reduce", f"31-{number}")), ("dee", ("agree", f"31-{number}")),
                               ("cy", ("issue", f"31-{number}", f"C-{number}"))):
                run = book.say(*words, who=who)
                tap.equal(" ".join(map(str, words)), (run.status, run.err), (0, ""))
    with tap.case("and a visit has readings without a certificate"):
        book.put("thermometer", "T1", {"job": {"nominal_ohm": 25.5}, "state": "in service"})
        book.put("visit", "V1", {"thermometer": "T1", "job": {}, "provenance": "recorded",
                                 "state": "open"})
        lines = book.folder / "lines.csv"
        lines.write_text("current_mA,ratio\n" + "".join(
            f"1,0.8611{i % 97:02}\n" for i in range(20_000)), encoding="utf-8")
        tap.equal("readings", book.say("readings", "V1", lines).status, 0)


def holds(tap, place, like, where):
    """Sound, computed again, and exported to the same bytes as the first export."""
    run = at(place, "check")
    tap.equal("check", (run.status, run.out), (0, "the book is sound\n"))
    run = at(place, "recompute", "--all")
    tap.equal("recompute", (run.status, run.out.splitlines()[-1]), (0, "2 of 2 certificates hold"))
    shutil.rmtree(where, ignore_errors=True)
    tap.equal("export", at(place, "export", where).status, 0)
    if like is not None:
        sums = [folder / "SHA256SUMS" for folder in (where, like)]
        tap.true("the same bytes", filecmp.cmp(*sums, shallow=False),
                 "\n".join(path.read_text("utf-8") for path in sums))


def there_and_back(tap, book):
    first, out = book.folder / "first", book.folder / "out"
    server, back = new_place(book.folder, "moved"), book.folder / "back.firn"
    with tap.case("in its file"):
        holds(tap, book.place, None, first)
    for what, source, place in (("on a server", book.place, server),
                                ("in a file again", server, back)):
        with tap.case(f"moved, {what}"):
            run = at(source, "move", place)
            tap.equal("move", (run.status, run.out, run.err), (0, f"the book is in {place} now\n", ""))
            holds(tap, place, first, out)
            tap.equal("never over a book", at(source, "move", place).status, 2)
    for what, place in (("on a server", new_place(book.folder, "imported")),
                        ("in a file", book.folder / "imported.firn")):
        with tap.case(f"exported and imported, {what}"):
            tap.equal("import", firn("book", "import", first, place, timeout=300).status, 0)
            holds(tap, place, first, out)
    return server


def backed_up(tap, book, server):
    copy, restored = book.folder / "copy.firn", new_place(book.folder, "restored")
    with tap.case("a backup of the server's book is a file, and goes back to a server"):
        tap.equal("backup", at(server, "backup", copy).status, 0)
        tap.equal("restore", at(copy, "move", restored).status, 0)
        holds(tap, restored, book.folder / "first", book.folder / "out")


def changed(book, name, script):
    """A copy of the book, changed behind the program's back."""
    path = book.folder / name
    shutil.copy(book.place, path)
    with sqlite3.connect(path) as sql:
        sql.executescript(script)
    return path


def refused(tap, book):
    """A book that breaks its rules is not taken, and the database is as empty as before."""
    server = new_place(book.folder, "torn")
    torn = changed(book, "torn.firn",
                   "DROP TRIGGER block_kept; DELETE FROM block WHERE visit = 'V1' AND number = 1")
    nobody = changed(book, "nobody.firn", "DROP TRIGGER identity_kept; DELETE FROM identity")
    with tap.case("a damaged book is refused, and nothing of it is left there"):
        run = at(torn, "move", server)
        tap.equal("torn", (run.status, "does not follow" in run.err), (2, True))
        run = at(book.place, "move", server)
        tap.equal("the whole one", (run.status, run.err), (0, ""))
    with tap.case("nor is one that is nobody's"):
        for words in (("move", book.folder / "moved.firn"), ("check",), ("export", book.folder / "no")):
            run = at(nobody, *words)
            tap.equal(words[0], (run.status, "doesn't say whose it is" in run.err), (2, True))


def main():
    tap = Tap()
    with folder() as where:
        book = File(pathlib.Path(where))
        issued(tap, book)
        server = there_and_back(tap, book)
        backed_up(tap, book, server)
        refused(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
