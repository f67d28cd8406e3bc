#!/usr/bin/python3
"""`firn cell keep --book`: a mantle's history from the book. On SQLite; on PostgreSQL too where
FIRN_BOOK_SERVER names a server (tests/support/book_server.py)."""
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, staff  # noqa: E402
from firn_run import Tap, firn, folder, write  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"
CELL = """kind: cell
thermometer:
  nominal_ohm: 25.5
  sheath: {material: fused silica, outer_mm: 7.5, inner_mm: 5.5}
  leads: {material: platinum, diameter_mm: 0.3, circle_mm: 3}
  element: {length_mm: 40, diameter_mm: 4.6}
  filling: air
  heat_capacity_J_per_K: 20
cell:
  id: W3
  point: H2O
  well: {material: borosilicate, bore_mm: 12, wall_mm: 1.25}
  level_mm: 200
  envelope: {material: borosilicate, bore_mm: 55, wall_mm: 2.5}
contact: {fluid: water}
surroundings: {kept_in: bath, offset_mK: {value: 10, u: 2}, ambient_C: 21, film_W_per_m2K: 500}
preparation: {way: dry ice, ice_mm: {value: 9, u: 1}}
wanted: {from_C: 20.01}
"""
# The same history in the file.
IN_FILE = """mantle:
  way: dry ice
  frozen: 2031-05-20T12:00:00Z
  ice_mm: {value: 9, u: 1}
  looks:
    - {time: 2031-05-25T08:00:00Z, ice_mm: 8, free: true}
    - {time: 2031-05-30T08:00:00Z, ice_mm: 7.5, free: false, bridge: false}
  insertions: [{time: 2031-05-28T09:00:00Z, from_C: 20.01}]
"""


def keep(book, path, *options):
    return firn("cell", "keep", "--json", "--book", book.place, *options, path)


def history(book):
    """A mantle that has ended, the one that is alive, two looks out of order, one visit to it."""
    runs = [book.put("realisation", name, {"cell": cell, "method": method, "person": "bo",
                                           "begun": begun, "state": state})
            for name, cell, method, begun, state in (
                ("M0", "W3", "heat pipe", "2031-05-01T12:00:00Z", "usable"),
                ("M1", "W3", "dry ice", "2031-05-20T12:00:00Z", "usable"))]
    runs.append(book.change("realisation", "M0", state="ended", ended="2031-05-19T12:00:00Z"))
    runs += [book.put("inspection", name, {"realisation": mantle, "time": time, "person": "bo",
                                           "found": "looked", **seen})
             for name, mantle, time, seen in (
                 ("I2", "M1", "2031-05-30T08:00:00Z", {"ice_mm": 7.5, "free": False, "bridge": False}),
                 ("I1", "M1", "2031-05-25T08:00:00Z", {"ice_mm": 8, "free": True}),
                 ("I0", "M0", "2031-05-09T08:00:00Z", {"ice_mm": 1, "bridge": True}))]
    visit = {"thermometer": "S-114", "job": {"cell": "W3"}, "state": "open", "provenance": "simulated"}
    runs.append(book.put("visit", "V-1", {**visit, "realisation": "M1"}, at="2031-05-28T09:00:00Z"))
    runs.append(book.put("visit", "V-2", visit, at="2031-05-29T09:00:00Z"))
    return [run.describe() for run in runs if run.status != 0]


def main():
    tap = Tap()
    with folder() as where:
        where = pathlib.Path(where)
        book = Book(where)
        path = write(where, "cell.yaml", CELL)
        with tap.case("before there is a mantle"):
            tap.equal("begun", book.begin("--at", "2031-05-01T08:00:00Z").status, 0)
            tap.equal("staff", staff(book), [])
            tap.equal("job", book.say("job", JOB, "31-001", who="bo",
                                      at="2031-05-01T09:00:00Z").status, 0)
            run = keep(book, path)
            tap.status(run, 2)
            tap.true("said", "no mantle of cell W3" in run.err, run.err)
        with tap.case("the book's history is that of a file"):
            tap.equal("written", history(book), [])
            run = keep(book, path)
            tap.status(run, 1)  # it was last seen not free
            found, want = run.json(), firn("cell", "keep", "--json", write(
                where, "own.yaml", CELL + IN_FILE)).json()
            for name in ("at", "age_s", "looks_used", "rate", "now", "left_s", "insertions", "looks",
                         "warnings", "age_bound_K"):
                tap.equal(name, found[name], want[name])
            tap.equal("one look more than the first", found["looks_used"], 2)
            tap.near("1.2 g", 1e3 * found["insertions"][0]["ice_kg"]["value"], 1.2, 0.01)
        with tap.case("without a thermometer the visit isn't counted, and that is said"):
            text = CELL[:CELL.index("thermometer:")] + CELL[CELL.index("cell:\n"):]
            run = keep(book, write(where, "bare.yaml", text))
            tap.status(run, 1)
            tap.equal("none", run.json()["insertions"], [])
            tap.true("said", any("V-1" in m["text"] for m in run.messages()), run.err)
        with tap.case("the first look stands for a thickness that nobody wrote down"):
            text = CELL.replace("preparation: {way: dry ice, ice_mm: {value: 9, u: 1}}\n", "")
            first = keep(book, write(where, "first.yaml", text)).json()["forecast"][0]
            tap.true("about 8 mm", 7e-3 < first["ice_m"] < 10e-3, str(first))
        for name, file, word in (("a mantle in both", CELL + IN_FILE, "leave it out"),
                                 ("no id", CELL.replace("  id: W3\n", ""), "no id")):
            with tap.case(f"refused: {name}"):
                run = keep(book, write(where, "bad.yaml", file))
                tap.status(run, 2)
                tap.true(word, word in run.err, run.err)
        with tap.case("only keep reads a book"):
            run = firn("cell", "fit", "--book", book.place, path)
            tap.status(run, 2)
            tap.true("said", "reads no book" in run.err, run.err)
        with tap.case("a book that isn't there"):
            run = firn("cell", "keep", "--book", where / "none.firn", path)
            tap.true("refused", run.status in (2, 3) and run.out == "", run.describe())
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
