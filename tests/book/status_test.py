#!/usr/bin/python3
"""What a laboratory looks at first: what is alive, open, due, and waiting for whom. On SQLite; on
PostgreSQL too where FIRN_BOOK_SERVER names a server (tests/support/book_server.py).
"""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, person, staff  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"
DAY = "2031-06-01"  # of every act, at noon


def status(book, *options, day=DAY):
    return firn("book", "status", "--book", book.place, "--json", "--at", day, *options).json()


def text(book, *options, day=DAY):
    """The sections of the text: title -> lines, the headings left out."""
    out = firn("book", "status", "--book", book.place, "--at", day, *options).out
    parts = [part.strip("\n").split("\n") for part in out.split("\n\n")[1:]]
    return {part[0]: [re.split("  +", line.strip()) for line in part[2:]] for part in parts}


def empty(tap, book):
    with tap.case("a book in which nothing stands"):
        tap.equal("begun", book.begin("--at", f"{DAY}T08:00:00Z").status, 0)
        run = firn("book", "status", "--book", book.place)  # of its last record's day
        tap.equal("told", run.out, f"Hollowmere Thermometry on {DAY}\n"
                                   "nothing is alive, waiting, due or open\n")
        tap.equal("staff", staff(book), [])


def calibration(tap, book):
    with tap.case("a calibration waits for one step after the other, and tells for whom"):
        tap.equal("job", book.say("job", JOB, "31-001", who="bo").status, 0)

        def next_step():
            one, = status(book)["waiting"]
            return one["state"], one["next"], one["persons"], one["by"]
        tap.equal("measured", next_step(), ("measuring", "reduce", ["ada", "bo"], "bo"))
        book.put("person", "fen", person("Fen", "operate", "check", "issue"))
        tap.equal("reduced", book.say("reduce", "31-001", who="fen").status, 0)
        tap.equal("whoever measured or reduced may not", next_step(),
                  ("reduced", "agree", ["dee"], "fen"))
        tap.equal("told", text(book)["Waiting"], [["31-001", "S-114", "reduced", DAY, "fen",
                                                   "agree: dee"]])
        book.put("person", "dee", {**person("Dee", "check"), "state": "left"})
        tap.equal("nobody is left", text(book)["Waiting"][0][-1], "agree: NOBODY who may")
        book.put("person", "dee", person("Dee", "check"))
        tap.equal("rights count on the day", status(book, day="2019-12-31")["waiting"][0]["persons"],
                  [])
        book.say("agree", "31-001", who="dee")
        tap.equal("checked", next_step(), ("checked", "issue", ["cy"], "dee"))
    with tap.case("what holds it back is told with it"):
        book.put("nonconformity", "N1", {"about": ["R-100-3"], "opened": f"{DAY}T10:00:00Z",
                                         "person": "ada", "what": "knocked over", "state": "open"})
        book.put("nonconformity", "N2", {"about": ["R-9"], "opened": f"{DAY}T10:00:00Z",
                                         "person": "ada", "what": "lost", "state": "open"})
        tap.equal("refused, there is no R-9", [n["nonconformity"] for n in
                                               status(book)["nonconformities"]], ["N1"])
        tap.equal("held", text(book)["Waiting"][0][-1], "issue: cy; held by N1")
        tap.equal("and of its own", text(book)["Open nonconformities"],
                  [["N1", DAY, "R-100-3", "knocked over"]])
        book.change("nonconformity", "N1", state="closed", decision="value unchanged")
    with tap.case("once issued it waits for nobody"):
        tap.equal("issued", book.say("issue", "31-001", "C-1", who="cy").status, 0)
        tap.equal("waiting", status(book)["waiting"], [])


def mantles(tap, book):
    with tap.case("a mantle is alive until it ends, with its age and what was last seen"):
        book.put("realisation", "M1", {"cell": "W3", "method": "dry ice", "person": "bo",
                                       "begun": "2031-05-20T12:00:00Z", "state": "usable"})
        for name, time, seen in (("I2", "2031-05-30T08:00:00Z", "turns freely"),
                                 ("I1", "2031-05-29T08:00:00Z", "stuck")):
            book.put("inspection", name, {"realisation": "M1", "time": time, "person": "bo",
                                          "found": seen, "free": seen != "stuck"})
        one, = status(book)["alive"]
        tap.equal("one", (one["realisation"], one["cell"], one["point"], one["found"]),
                  ("M1", "W3", "H2O", "turns freely"))
        tap.near("days", one["age_days"], 12.0, 0)
        tap.equal("told", text(book)["Alive"], [["M1", "W3", "H2O", "dry ice", "usable", "12",
                                                 "2031-05-30", "turns freely"]])
        tap.equal("not yet", status(book, day="2031-05-19")["alive"], [])
        book.change("realisation", "M1", state="ended", ended=f"{DAY}T09:00:00Z")
        tap.equal("ended", status(book)["alive"], [])
    with tap.case("an open visit tells how many readings it has"):
        book.put("visit", "V-1", {"thermometer": "S-114", "job": {"cell": "W3"}, "state": "open",
                                  "provenance": "simulated"})
        path = book.folder / "night.csv"
        path.write_text("time,current_mA,ratio\n2031-06-01T10:00:00Z,1,0.25\n"
                        "2031-06-01T10:00:10Z,1,0.25\n", encoding="utf-8")
        run = book.say("readings", "V-1", path)
        tap.equal("added", (run.status, run.err), (0, ""))
        tap.equal("open", status(book)["visits"], [{"visit": "V-1", "thermometer": "S-114",
                                                    "cell": "W3", "readings": 2}])


def dates(tap, book):
    with tap.case("equipment is due by the latest of its certificates, and named where it has none"):
        for number, due in (("E1", "2030-06-01"), ("E2", "2031-06-11")):
            tap.equal(number, book.put("equipment certificate", number, {
                "equipment": "R-100-3", "number": number, "issuer": "Institute", "due": due,
                "route": "national institute", "date": "2030-06-01", "quantity": "resistance",
                "value": 100, "U": 1e-5, "k": 2, "unit": "ohm"}).status, 0)

        def days(**how):
            return {one["id"]: one["days"] for one in status(book, **how)["due"]}
        tap.equal("ten days", days()["R-100-3"], 10)
        tap.equal("without", days()["B2"], None)
        tap.equal("over", days(day="2031-06-12")["R-100-3"], -1)
        tap.equal("not within five", "R-100-3" in {
            one["id"] for one in status(book, "--days", "5")["due"]}, False)
        told = text(book)["Due within 60 days, or without a certificate"]
        tap.true("as text", ["bridge B2", "no certificate"] in told and
                 told[-1] == ["resistor R-100-3", "2031-06-11", "in 10 days"], str(told))
        told = text(book, day="2031-06-12")["Due within 60 days, or without a certificate"]
        tap.equal("over", told[-1], ["resistor R-100-3", "2031-06-11", "1 day OVER"])
        book.change("resistor", "R-100-3", state="out of service")
        tap.equal("out of service", "R-100-3" in days(), False)
        book.change("resistor", "R-100-3", state="in service")


def orders(tap, book):
    with tap.case("an order is open until each of its thermometers has a certificate"):
        book.put("customer", "K1", {"name": "Tarn Valley Waterworks", "address": "Weir House"})
        tap.equal("order", book.put("order", "O-1", {
            "customer": "K1", "thermometers": ["S-114"], "date": "2031-05-01", "low_C": 0,
            "high_C": 400, "promised": "2031-06-01", "state": "open"}).status, 0)
        tap.equal("told", text(book)["Open orders"], [["O-1", "K1", DAY, "today", "S-114"]])
        book.put("calibration", "31-002", {"thermometer": "S-114", "order": "O-1", "state": "planned",
                                           "job": {}})
        tap.equal("of its own calibrations only", status(book)["orders"][0]["open"], ["S-114"])
        book.change("calibration", "31-001", order="O-1")
        tap.equal("told", text(book)["Open orders"][0][-1], "none: it can be closed")
        book.change("order", "O-1", state="done")
        tap.equal("closed", status(book)["orders"], [])


def options(tap, book):
    with tap.case("a day that is none, and days that are no number"):
        for wrong in (["--at", "soon"], ["--days", "-1"], ["--days", "x"]):
            tap.equal(wrong[1], firn("book", "status", "--book", book.place, *wrong).status, 2)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        empty(tap, book)
        calibration(tap, book)
        mantles(tap, book)
        dates(tap, book)
        orders(tap, book)
        options(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
