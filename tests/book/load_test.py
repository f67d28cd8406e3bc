#!/usr/bin/python3
"""Many acts from one file: all of them or none, each by the rules of its use case; what can't be written
by hand; and the whole book moved. On SQLite; on PostgreSQL too where FIRN_BOOK_SERVER names a server.
"""
import json
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from firn_run import Tap, firn, folder  # noqa: E402
from book import NO_CERTIFICATES  # noqa: E402
from calibration_test import EXAMPLES, Book, person  # noqa: E402

DAY = "2031-06-{:02}T12:00:00Z"


def put(kind, name, body, **more):
    return {"do": "put", "kind": kind, "id": name, "body": body, **more}


PEOPLE = [put("person", name, person(name.title(), *acts)) for name, acts in
          (("bo", ["operate", "check"]), ("cy", ["check", "issue"]), ("dee", ["issue"]))]
NONE_ASKED = put("limits", "L0", NO_CERTIFICATES)
SCOPE = {"do": "change", "kind": "laboratory", "id": "laboratory",
         "body": {"scope": [{"low_C": -190, "high_C": 661, "U_mK": 0.01}]}}
# As the job file has it, where 1e-5 stands for 0.00001.
RESISTOR = put("resistor", "R-100-3", {"state": "in service", "job": {
    "ohm": 100.000512, "u_ohm": 0.00001, "at_C": 23.0, "per_K": 3.1e-6, "u_per_K": 2e-7,
    "u_bath_K": 0.004, "certificate": "30-2277, 3 November 2030"}})
JOB = {"do": "job", "id": "31-001", "who": "bo",
       "file": str(EXAMPLES / "long-stem-25-ohm" / "job.yaml")}
WORK = [dict(JOB, when=DAY.format(2)),
        {"do": "reduce", "id": "31-001", "who": "bo", "when": DAY.format(3)},
        {"do": "agree", "id": "31-001", "who": "cy", "when": DAY.format(4)},
        {"do": "issue", "id": "31-001", "number": "C-1", "who": "dee", "when": DAY.format(5)}]


def load(book, *acts, why="as the test wants it", **how):
    path = book.folder / "acts.jsonl"
    path.write_text("".join((a if isinstance(a, str) else json.dumps(a)) + "\n" for a in acts),
                    encoding="utf-8")
    return book.say("load", path, why=why, **how)


def begin(tap, book):
    with tap.case("a simulated book begins when it is said to"):
        tap.equal("init", firn("book", "init", book.place, "--laboratory", "Hollowmere Thermometry",
                               "--address", "1 Mere Lane", "--as", "ada", "--name", "Ada Quill",
                               "--simulated", "--at", "2031-05-01T08:00:00Z").status, 0)
        tap.equal("manages since", book.show("person", "ada")["authorisations"][0]["from"],
                  "2031-05-01")


def loaded(tap, book):
    with tap.case("a calibration from first to last in one file"):
        run = load(book, *PEOPLE, "", NONE_ASKED, SCOPE, RESISTOR, *WORK)
        tap.equal("status", (run.status, run.err), (0, ""))
        tap.equal("told", run.out, "10 acts are in the book\n")
        tap.equal("state", book.show("calibration", "31-001")["state"], "issued")
        tap.equal("when", book.show("certificate", "C-1")["date"], "2031-06-05")
        tap.equal("what the change left alone", book.show("laboratory", "laboratory")["name"],
                  "Hollowmere Thermometry")
        tap.equal("computed again", book.say("recompute", "C-1", who=None).status, 0)
        for words in ("issue by dee", "check by cy", "reduce by bo"):
            tap.true(words, words in book.say("trace", "C-1", who=None).out)
        run = book.say("recompute", "--all", who=None)
        tap.equal("all of them", (run.status, run.out.splitlines()[-1]),
                  (0, "1 of 1 certificates hold"))
        tap.equal("one or all", book.say("recompute", who=None).status, 2)
        told = book.say("list", "calibration", "--json", who=None).json()["records"]
        tap.equal("the list tells states", [(r["id"], r["state"]) for r in told],
                  [("31-001", "issued")])
    with tap.case("a trace tells the equipment of the day of issue, not of today"):
        later = {"do": "change", "kind": "resistor", "id": "R-100-3", "when": DAY.format(7),
                 "body": {"note": "moved to room 4"}}
        paper = put("equipment certificate", "E1", {
            "equipment": "R-100-3", "number": "31-1", "issuer": "Institute", "date": "2031-06-07",
            "route": "national institute", "due": "2033-06-07", "quantity": "resistance", "U": 2e-5,
            "value": 100.0005, "k": 2, "unit": "ohm"}, when=DAY.format(7))
        tap.equal("later", load(book, later, paper).status, 0)
        out = book.say("trace", "C-1", who=None).out
        tap.equal("version", "resistor R-100-3, version 1" in out, True)
        tap.equal("no later paper", "31-1" in out.replace("31-001", ""), False)


VISIT = {"thermometer": "S-114", "job": {"resistor": "R-100-3", "depth_m": 0.2},
         "provenance": "simulated", "state": "open"}


def filled(tap, book):
    """A visit without a job file: opened, filled, closed."""
    clock = "time,current_mA,ratio\n" + "".join(
        f"2031-06-06T08:{minute:02}:00Z,1,0.2500{minute:02}\n" for minute in range(1, 9))
    (book.folder / "visit.csv").write_text(clock, encoding="utf-8")
    acts = [put("visit", "V-1", VISIT, who="bo", when=DAY.format(6)),
            {"do": "readings", "id": "V-1", "file": "visit.csv", "who": "bo", "when": DAY.format(6)},
            {"do": "change", "id": "V-1", "kind": "visit", "body": {"state": "closed"}, "who": "bo",
             "when": DAY.format(6)}]
    with tap.case("a visit is opened, filled and closed in one file"):
        run = load(book, *acts)
        tap.equal("status", (run.status, run.err), (0, ""))
        tap.equal("state", book.show("visit", "V-1")["state"], "closed")
        tap.equal("export", book.say("export", book.folder / "out", who=None).status, 0)
        kept = "".join(path.read_text(encoding="utf-8") for path in
                       (book.folder / "out").rglob("*.csv") if "V-1" in str(path))
        tap.equal("readings", kept.count("0.2500"), 8)
    with tap.case("readings that don't fit leave nothing of the visit"):
        opened = dict(acts[0], id="V-2")
        (book.folder / "visit.csv").write_text(clock + "2031-06-06T09:00:00Z,1,x\n",
                                               encoding="utf-8")
        run = load(book, opened, dict(acts[1], id="V-2"))
        tap.equal("refused", (run.status, "visit.csv:10:" in run.err,
                              "acts.jsonl:2" in run.err), (2, True, True))
        tap.equal("no visit", book.say("show", "visit", "V-2", who=None).status, 2)
        run = load(book, dict(acts[1]))
        tap.equal("nor into a closed one", (run.status, "is closed" in run.err), (2, True))


def refused(tap, book):
    """Every refusal leaves the book as it was, whatever stood before it in the file."""
    before = book.say("list", "customer", who=None).out
    first = put("customer", "K1", {"name": "N", "address": "A"}, when=DAY.format(9))
    second = dict(first, id="K2")
    wrong = (
        ("no JSON", "{", 2, "one JSON object"),
        ("no object", "[1]", 2, "no JSON object"),
        ("what to do", dict(second, do="pot"), 2, "probably put"),
        ("nothing to do", {"id": "K2"}, 2, '"do" must be'),
        ("a key too many", dict(second, note="x"), 2, '"note" is nothing that put takes'),
        ("a key too few", {"do": "put", "id": "K2", "kind": "customer"}, 2, '"body" is missing'),
        ("of another type", dict(second, body=[]), 2, "takes an object in braces"),
        ("time", dict(second, when="noon"), 2, '"when"'),
        ("order", dict(second, when=DAY.format(8)), 2, "before that of an earlier line"),
        ("nobody", dict(second, who="init"), 2, "nobody's id"),
        ("rights", put("person", "eve", person("Eve", "manage"), who="bo"), 2, "not authorised"),
        ("record", put("customer", "K2", {"name": "N"}), 2, "address is missing"),
        ("job", dict(JOB, id="31-002", file="nowhere.yaml"), 2, "nowhere.yaml"),
        ("own work", {"do": "agree", "id": "31-001", "who": "bo"}, 2, "must be reduced first"),
    )
    other = {"do": "change", "id": "R-100-3", "kind": "resistor", "body": {
        "job": {**RESISTOR["body"]["job"], "u_ohm": 0.00002}}}
    with tap.case("equipment that says something else in the book than in a job"):
        run = load(book, other, dict(JOB, id="31-002"))
        tap.equal("refused", (run.status, "resistor R-100-3: says something else" in run.err),
                  (2, True))
    with tap.case("what is refused is told with its line, and nothing of the file is kept"):
        for name, act, status, words in wrong:
            run = load(book, first, act)
            tap.equal(name, (run.status, words in run.err), (status, True))
            tap.true(f"{name}: its line", "acts.jsonl:2" in run.err, run.err)
        tap.equal("as before", book.say("list", "customer", who=None).out, before)
        tap.equal("no file", book.say("load", book.folder / "none.jsonl").status, 2)


def by_hand(tap, book):
    """States that a use case makes, and what it leaves behind, are nobody's to write."""
    with tap.case("what reducing, checking and issuing make can't be written by hand"):
        c = book.show("calibration", "31-001")
        new = {k: c[k] for k in ("thermometer", "visits", "job")}
        tap.equal("measuring again", book.put("calibration", "31-003", {
            **new, "state": "measuring"}).status, 0)
        tap.equal("but not checked", book.put("calibration", "31-004", {
            **new, "state": "checked"}).status, 2)
        run = book.change("calibration", "31-001", checked_by="dee")
        tap.equal("nor by another", (run.status, "firn book" in run.err), (2, True))
        tap.equal("a note may", book.change("calibration", "31-001", note="seen").status, 0)
        paper = book.show("certificate", "C-1")
        tap.equal("no certificate", book.put("certificate", "C-2", paper, who="dee").status, 2)
        tap.equal("no other date", book.put("certificate", "C-1", dict(paper, date="2031-06-06"),
                                            who="dee").status, 2)
        gone = dict(paper, state="withdrawn", reason="on demand")
        run = book.put("certificate", "C-1", gone, who="bo")
        tap.equal("withdrawn by who may not", (run.status, "not authorised" in run.err), (2, True))
        run = book.put("certificate", "C-1", gone, who="dee")
        tap.equal("withdrawn", (run.status, run.err), (0, ""))


def moved(tap, book):
    """To a file from wherever it is: of a server, and back again."""
    place = book.folder / "moved.firn"
    with tap.case("moved, it is the same book"):
        run = book.say("move", place, who=None)
        tap.equal("status", (run.status, run.err), (0, ""))
        tap.equal("not over another", book.say("move", place, who=None).status, 2)
        tap.equal("sound", firn("book", "check", "--book", place).out, "the book is sound\n")
        tap.equal("recompute", firn("book", "recompute", "C-1", "--book", place).status, 0)


def real(tap, where):
    """In a book of real work the clock tells the time."""
    with tap.case("a real book takes no times from a file"):
        place = where / "real.firn"
        tap.equal("init", firn("book", "init", place, "--laboratory", "L", "--address", "A",
                               "--as", "ada", "--name", "Ada").status, 0)
        path = where / "acts.jsonl"
        for words, how in ((0, {}), (2, {"when": DAY.format(1)})):
            path.write_text(json.dumps(put("customer", "K", {"name": "N", "address": "A"}, **how)),
                            encoding="utf-8")
            tap.equal(f"status {words}", firn("book", "load", path, "--book", place, "--as",
                                              "ada").status, words)
        tap.equal("nor a beginning", firn("book", "init", where / "r.firn", "--laboratory", "L",
                                          "--address", "A", "--as", "a", "--name", "A", "--at",
                                          DAY.format(1)).status, 2)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        loaded(tap, book)
        filled(tap, book)
        refused(tap, book)
        by_hand(tap, book)
        moved(tap, book)
        real(tap, pathlib.Path(where))
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
