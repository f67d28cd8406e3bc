#!/usr/bin/python3
"""Whether one may check and issue one's own work is the laboratory's rule; its version is recorded.
On SQLite; on PostgreSQL too where FIRN_BOOK_SERVER names a server (tests/support/book_server.py).
"""
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, person, staff  # noqa: E402
from firn_run import Tap, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"


def begin(tap, book):
    with tap.case("fen may do everything, and has measured and reduced"):
        tap.equal("begun", book.begin().status, 0)
        tap.equal("staff", staff(book), [])
        tap.equal("fen", book.put("person", "fen", person("Fen", "operate", "check", "issue")).status,
                  0)
        tap.equal("job", book.say("job", JOB, "31-001", who="fen").status, 0)
        tap.equal("reduce", book.say("reduce", "31-001", who="fen").status, 0)


def refused(tap, book):
    with tap.case("who measured or reduced may not check"):
        run = book.say("agree", "31-001", who="fen")
        tap.equal("fen", (run.status, "was reduced by fen" in run.err,
                          "may_check_own_work" in run.err), (2, True, True))
    with tap.case("nor after somebody else was written in for it"):
        tap.equal("written", book.change("calibration", "31-001", measured_by="bo", who="bo").status, 0)
        tap.equal("reduced", book.say("reduce", "31-001", who="bo").status, 0)
        run = book.say("agree", "31-001", who="fen")
        tap.equal("fen", (run.status, "was measured by fen" in run.err), (2, True))
    with tap.case("nor whom a visit names"):
        tap.equal("named", book.change("visit", "31-001/2", person="dee", who="bo").status, 0)
        run = book.say("agree", "31-001", who="dee")
        tap.equal("dee", (run.status, "was measured by dee" in run.err), (2, True))


def allowed(tap, book):
    with tap.case("the rule may allow one and not the other, and is a version of the laboratory's"):
        tap.equal("rule", book.change("laboratory", "laboratory", may_check_own_work=True).status, 0)
        run = book.say("agree", "31-001", who="fen")
        tap.equal("checked", (run.status, run.err), (0, ""))
        run = book.say("issue", "31-001", "C-1", who="fen")
        tap.equal("not issued", (run.status, "may_issue_own_work" in run.err), (2, True))
        tap.equal("rule", book.change("laboratory", "laboratory", may_issue_own_work=True).status, 0)
        version = len(book.say("timeline", "laboratory", who=None).out.splitlines())
        run = book.say("issue", "31-001", "C-1", who="fen")
        tap.equal("issued", (run.status, run.err), (0, ""))
        certificate = book.show("certificate", "C-1")
        tap.equal("recorded", (certificate["own_work"], certificate["rule"]), (True, {
            "laboratory_version": version, "may_check_own_work": True, "may_issue_own_work": True}))
        tap.true("traced", f"by the rule of laboratory, version {version}" in " ".join(
            book.say("trace", "C-1", who=None).out.split()))
    with tap.case("and with three people it says that too"):
        book.change("laboratory", "laboratory", may_check_own_work=False, may_issue_own_work=False)
        book.say("job", JOB, "31-002", who="bo")
        book.say("reduce", "31-002", who="bo")
        tap.equal("checked", book.say("agree", "31-002", who="dee").status, 0)
        tap.equal("issued", book.say("issue", "31-002", "C-2", who="cy").status, 0)
        certificate = book.show("certificate", "C-2")
        tap.equal("recorded", (certificate["own_work"], certificate["rule"]["may_issue_own_work"]),
                  (False, False))


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        refused(tap, book)
        allowed(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
