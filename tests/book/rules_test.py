#!/usr/bin/python3
"""Rules that hold for every record, in a book of a real laboratory: what changes has a reason, and
nothing simulated comes in. On SQLite; on PostgreSQL too where FIRN_BOOK_SERVER names a server
(tests/support/book_server.py).
"""
import json
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "capsule-25-ohm" / "job.yaml"
REASON = "is in the book already and changes only with a reason"


class RealBook(Book):
    """Its clock tells the time."""

    def options(self, who="ada", why=None, at=None):
        return super().options(who, why)[:2] + (["--as", who] if who else []) + (
            ["--why", why] if why else [])

    def begin(self):
        return firn("book", "init", self.place, "--laboratory", "Hollowmere Thermometry",
                    "--address", "1 Mere Lane", "--as", "ada", "--name", "Ada Quill")


def reasons(tap, book):
    customer = {"name": "Tarn Valley Waterworks", "address": "Weir House"}
    with tap.case("a new record needs no reason, a change of one does, by whichever way"):
        tap.equal("new", book.put("customer", "C-1", customer, why=None).status, 0)
        for why in (None, " "):
            run = book.put("customer", "C-1", {**customer, "note": "moved"}, why=why)
            tap.equal("put", (run.status, REASON in run.err), (2, True))
        patch = book.folder / "patch.json"
        patch.write_text('{"note": "moved"}', encoding="utf-8")
        run = book.say("change", "customer", "C-1", patch)
        tap.equal("change", (run.status, REASON in run.err), (2, True))
        acts = book.folder / "acts.jsonl"
        acts.write_text(json.dumps({"do": "change", "kind": "customer", "id": "C-1",
                                    "body": {"note": "moved"}}) + "\n", encoding="utf-8")
        run = book.say("load", acts)
        tap.equal("load", (run.status, REASON in run.err), (2, True))
        tap.equal("nothing was written", book.show("customer", "C-1"), customer)
        run = book.say("change", "customer", "C-1", patch, why="their letter of 3 May")
        tap.equal("with a reason", (run.status, run.err), (0, ""))
        tap.true("it is kept", "their letter of 3 May" in
                 book.say("timeline", "C-1", who=None).out)


def overdue(tap, book):
    with tap.case("a certificate that has ended is told, and is no fault of the book"):
        book.put("resistor", "R-1", {"state": "in service", "job": {"ohm": 100, "u_ohm": 1e-5}})
        tap.equal("put", book.put("equipment certificate", "E-1", {
            "equipment": "R-1", "number": "20-1", "issuer": "Institute", "date": "2019-06-01",
            "route": "national institute", "due": "2020-06-01", "quantity": "resistance",
            "value": 100, "U": 2e-5, "k": 2, "unit": "ohm"}).status, 0)
        run = book.say("check", who=None)
        tap.equal("told", (run.status, run.out), (0, "the book is sound\nresistor R-1: its latest "
                                                     "certificate ended on 2020-06-01\n"))


def simulated(tap, book):
    with tap.case("a real book refuses what was simulated"):
        job = book.folder / "job.yaml"
        text = JOB.read_text(encoding="utf-8")
        job.write_text(text.replace("readings.csv", str(JOB.parent / "readings.csv")) +
                       "\nsimulated: true\n", encoding="utf-8")
        run = book.say("job", job, "31-001")
        tap.equal("a job", (run.status, "simulated, and a real book refuses it" in run.err), (2, True))
        tap.true("where it says so", f"job.yaml:{len(text.splitlines()) + 2}:" in run.err, run.err)
        book.put("thermometer", "T-1", {"state": "in service", "job": {
            "sensor": "long stem", "nominal_ohm": 25.5}})
        book.put("cell", "W1", {"state": "in service", "job": {"point": "H2O"}})
        run = book.put("visit", "V-1", {"thermometer": "T-1", "job": {"cell": "W1"},
                                        "provenance": "simulated", "state": "open"})
        tap.equal("a visit", (run.status, "simulated readings" in run.err), (2, True))
        run = book.put("calibration", "31-001", {"thermometer": "T-1", "state": "planned",
                                                 "job": {"simulated": True}})
        tap.equal("a calibration", (run.status, "is simulated" in run.err), (2, True))
        tap.equal("none came in", [book.say("list", kind, "--json", who=None).json()["records"]
                                   for kind in ("visit", "calibration")], [[], []])
    with tap.case("nobody chooses the time of an act"):
        run = firn("book", "reduce", "31-001", "--book", book.place, "--as", "ada", "--at",
                   "2020-01-01T00:00:00Z")
        tap.equal("refused", (run.status, "the clock tells the time" in run.err), (2, True))


def main():
    tap = Tap()
    with folder() as where:
        book = RealBook(pathlib.Path(where))
        with tap.case("a book of a real laboratory"):
            run = book.begin()
            tap.equal("begun", (run.status, run.err), (0, ""))
        reasons(tap, book)
        overdue(tap, book)
        simulated(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
