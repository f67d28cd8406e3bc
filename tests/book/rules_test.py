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


def checks(tap, book):
    """Figures by hand: 0.99999998 - 1; 0.8 x 1.25000001 - 1; 1.00000003 - (0.25 + 0.75)."""
    def put(check, off, *ratios, **members):
        return book.put("equipment check", f"K-{check[:4]}", {
            "equipment": "B-1", "check": check, "time": "2026-10-01T08:00:00Z", "found": off,
            "expected": 0, "u": 5e-9, "unit": "1", "limit": 1e-7, "limit_source": "quality manual",
            "verdict": "passed", "ratios": [{"of": "R-1 : R-2", "ratio": r} for r in ratios],
            **members})
    with tap.case("what a check of a bridge found is what its ratios give"):
        book.put("bridge", "B-1", {"state": "in service", "job": {}})
        right = (("ratio one", -2e-8, 0.99999998), ("complement", 8e-9, 0.8, 1.25000001),
                 ("combination", 3e-8, 0.25, 0.75, 1.00000003))
        for check, off, *ratios in right:
            run = put(check, off, *ratios)
            tap.equal(check, (run.status, run.err), (0, ""))
            tap.equal("with the whole ratio", put(check, 1 + off, *ratios, expected=1).status, 0)
            run = put(check, off + 1e-10, *ratios)
            tap.equal("another figure", (run.status, "one of them is wrong" in run.err), (2, True))
            run = put(check, off, ratios[0], 1.0) if check != "complement" else put(check, off, 1.0)
            tap.equal("another number of them",
                      (run.status, "are one for ratio one, two for" in run.err), (2, True))
        run = put("value", 0, 1.0)
        tap.equal("no ratios of a value", (run.status, "no other check has them" in run.err), (2, True))
        run = put("ratio one", -0.02, 0.99999998, unit="ppm", limit=1)
        tap.equal("in another unit", (run.status, "are in unit 1" in run.err), (2, True))
    with tap.case("a resistor's value has its uncertainty"):
        run = book.put("resistor", "R-9", {"state": "in service", "job": {"ohm": 100}})
        tap.equal("without", (run.status, "job.u_ohm is missing" in run.err), (2, True))


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
        checks(tap, book)
        overdue(tap, book)
        simulated(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
