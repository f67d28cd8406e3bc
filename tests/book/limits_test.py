#!/usr/bin/python3
"""Named limits of the book: defaults with their sources, and the laboratory's own by their day."""
import csv
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
sys.path.insert(0, str(HERE))
from calibration_test import Book, begin  # noqa: E402
from firn_run import Tap, folder  # noqa: E402

TABLE = HERE.parent.parent / "data" / "limits.csv"


def table():
    with open(TABLE, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def limits_on(book, day):
    """Name -> (value, the text behind it in one line)."""
    run = book.say("limits", "--at", day, who=None)
    found = {}
    for part in re.split(r"\n  (?=[a-z])", run.out)[1:]:
        first, *rest = part.split("\n")
        name, value = first.split()[:2]
        found[name] = (value, " ".join(" ".join(rest).split()))
    return found


def one(value, source="quality manual 7.3", name="anneal_change_mK", unit="mK"):
    return {"name": name, "value": value, "unit": unit, "source": source}


def test_defaults(tap, book):
    with tap.case("without limits of its own a laboratory has those of the table, with their sources"):
        got = limits_on(book, "2031-06-01")
        rows = table()
        tap.equal("names", list(got), [row["name"] for row in rows])
        for row in rows:
            value, text = got[row["name"]]
            tap.equal(row["name"], value, row["value"] or "none")
            tap.true("its source", row["source"] in text, text)
    with tap.case("figures as the sources have them"):
        # CCT Guide, ch. 5 (2018), 4.2 and 4.4.1; Minor and Strouse (2005), abstract
        for name, want in (("anneal_change_mK", "0.5"), ("r_tpw_change_long_stem_mK", "0.2"),
                           ("r_tpw_change_high_temperature_mK", "0.8"), ("anneal_cycles", "5")):
            tap.equal(name, limits_on(book, "2031-06-01")[name][0], want)


def test_days(tap, book):
    def state(name, day, *limits):
        tap.equal(f"{name} from {day}", book.put("limits", name, {"from": day, "limits": limits})
                  .status, 0)

    def on(day, name="anneal_change_mK"):
        return limits_on(book, day)[name][0]

    with tap.case("the record valid on the day wins over the default, the later over the earlier"):
        state("L1", "2031-01-01", one(0.4), one(7, name="anneal_cycles", unit="1"))
        state("L2", "2031-03-01", one(0.3, source="audit of February"))
        for day, want in (("2030-12-31", "0.5"), ("2031-01-01", "0.4"), ("2031-02-28", "0.4"),
                          ("2031-03-01", "0.3"), ("2033-01-01", "0.3")):
            tap.equal(day, on(day), want)
        tap.equal("what only the earlier states stays", on("2033-01-01", "anneal_cycles"), "7")
        tap.true("whence", "audit of February (limits L2 from 2031-03-01)" in
                 limits_on(book, "2031-03-01")["anneal_change_mK"][1])
    with tap.case("a new version of a record leaves the days before its own as they were"):
        run = book.change("limits", "L2", **{"from": "2031-05-01", "limits": [one(0.2)]})
        tap.equal("changed", (run.status, run.err), (0, ""))
        for day, want in (("2031-02-28", "0.4"), ("2031-04-30", "0.3"), ("2031-05-01", "0.2")):
            tap.equal(day, on(day), want)
        run = book.change("limits", "L2", **{"from": "2031-05-01", "limits": [one(0.25)]})
        tap.equal("corrected", (run.status, on("2031-05-01")), (0, "0.25"))


def test_refused(tap, book):
    with tap.case("limits that nothing asks for, or in another unit, are refused"):
        for limit, words in (
                (one(1, name="aneal_change_mK"), "(aneal_change_mK) is no limit that anything asks "
                 "for; did you mean anneal_change_mK?"),
                (one(1, name="colour"), "firn book limits lists"),
                (one(500, unit="uK"), "has the unit uK; state it in mK"),
                (one(-1), "is negative"),
                ({"name": "anneal_cycles", "value": 3, "unit": "1"}, "limits.1.source is missing")):
            run = book.put("limits", "L9", {"from": "2031-01-01", "limits": [limit]})
            tap.equal(words, (run.status, words in run.err), (2, True))
        tap.equal("no day", book.say("limits", "--at", "2031-13-01", who=None).status, 2)
        tap.equal("who may not manage", book.put("limits", "L9", {
            "from": "2031-01-01", "limits": [one(1)]}, who="bo").status, 2)


def test_verdict(tap, book):
    with tap.case("the verdict of a check of equipment is what its numbers say"):
        book.put("bridge", "B1", {"job": {"u_linearity": 1e-8}, "state": "in service"})
        check = {"equipment": "B1", "check": "ratio one", "time": "2031-02-01T09:00:00Z",
                 "found": 1 + 2e-7, "expected": 1, "u": 1e-8, "unit": "1", "verdict": "passed",
                 "limit": 1e-7, "limit_source": "its manual"}
        run = book.put("equipment check", "K1", check)
        tap.equal("beyond the limit", (run.status, "it has failed" in run.err), (2, True))
        tap.equal("failed", book.put("equipment check", "K1", dict(check, verdict="failed")).status, 0)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        test_defaults(tap, book)
        test_days(tap, book)
        test_refused(tap, book)
        test_verdict(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
