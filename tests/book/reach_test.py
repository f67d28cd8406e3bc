#!/usr/bin/python3
"""Planned and achieved: `firn plan` against a certificate of the book, and against its data file."""
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, staff  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

EXAMPLES = HERE.parent.parent / "examples"
PLAN = EXAMPLES / "plan" / "plan.yaml"


def achieved(run):
    return {r["name"]: (r["achieved_U_K"], r["achieved_by"]) for r in run.json()["realisations"]}


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        with tap.case("a certificate is issued"):
            tap.equal("init", book.begin().status, 0)
            tap.equal("staff", staff(book), [])
            job = EXAMPLES / "long-stem-25-ohm" / "job.yaml"
            for action, arguments, who in (("job", (job, "31-001"), "ada"), ("reduce", ("31-001",), "bo"),
                                           ("agree", ("31-001",), "dee"),
                                           ("issue", ("31-001", "C-1"), "cy")):
                run = book.say(action, *arguments, who=who)
                tap.equal(action, (run.status, run.err), (0, ""))
        with tap.case("by its number and by its data file the same is found"):
            result = pathlib.Path(where) / "result.json"
            book.say("certificate", "C-1", "--result", result, who=None)
            one = firn("plan", PLAN, "--certificate", "C-1", "--book", book.place, "--json")
            two = firn("plan", PLAN, "--achieved", result, "--json")
            tap.equal("the same", achieved(one), achieved(two))
            tap.true("something", achieved(one)["large cell W-2"][0] > 0, one.describe())
        with tap.case("a certificate that isn't there, and a book that isn't"):
            run = firn("plan", PLAN, "--certificate", "C-9", "--book", book.place)
            tap.status(run, 2)
            tap.true("named", "C-9" in run.err, run.err)
            run = firn("plan", PLAN, "--certificate", "C-1", "--book", pathlib.Path(where) / "no.firn")
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
