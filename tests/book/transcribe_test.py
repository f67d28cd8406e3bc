#!/usr/bin/python3
"""Readings of old files: the map says what they mean, nothing is guessed, two entries must agree."""
import json
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

MAP = """kind: map of old readings
separator: semicolon
decimal: comma
date_order: day month year
zone: "+01:00"
columns: {date: Datum, time: Uhrzeit, current: I, ratio: X, bath: Bad, flag: Bemerkung}
units: {current: A}
"""
OLD = """Datum;Uhrzeit;I;X;Bad;Bemerkung
24.3.2019;9:30:00;0,001;0,255010123;23,01;
24.3.2019;9:30:10;0,001;0,255010125;23,02;set aside: door
24.3.2019;09:30;0,001414;0,25501;23;
"""
# what is changed in map or file, and what is said of it
WRONG = (
    ("map", "decimal: comma", "", "the map has no decimal; point or comma"),
    ("map", "decimal: comma", "decimal: point", "a number with a decimal point"),
    ("map", 'zone: "+01:00"', "zone: Paris", "zone is no offset from UTC"),
    ("map", "units: {current: A}", "units: {}", "current"),
    ("map", "ratio: X", "ratio: Y", 'no column "Y"'),
    ("map", "day month year", "month day year", "3/24/2019"),
    ("map", "columns:", "colums:", "did you mean columns?"),
    ("old", "0,255010123", "0.255010123", "2:25: ratio is"),
    ("old", "24.3.2019;9:30:00", "31.4.2019;9:30:00", "2:1: this is no date and time"),
    ("old", "0,001414", "", "no current"),
)


def main():
    tap = Tap()
    with folder() as where:
        place = str(pathlib.Path(where) / "book.firn")

        def book(action, *arguments):
            return firn("book", action, *arguments, "--book", place, "--as", "ada")

        firn("book", "init", place, "--laboratory", "L", "--address", "A", "--as", "ada", "--name", "Ada",
             "--simulated")

        def put(kind, name, body):
            return book("put", kind, name, write(where, "r.json", json.dumps(body)))

        put("thermometer", "T1", {"job": {"nominal_ohm": 25.5}, "state": "in service"})

        def new_visit(name):
            return put("visit", name, {"thermometer": "T1", "job": {}, "provenance": "transcribed",
                                       "state": "open"})

        rules, old = write(where, "map.yaml", MAP), write(where, "old.csv", OLD)
        with tap.case("an old file comes in as its map says"):
            tap.status(new_visit("V1"), 0)
            tap.status(book("transcribe", "V1", old, "--map", rules), 0)
            tap.status(book("transcribe", "V1", old, "--map", rules), 2)  # closed
            out = pathlib.Path(where) / "out"
            tap.status(firn("book", "export", out, "--book", place), 0)
            tap.equal("readings", (out / "readings" / "V1.csv").read_text(encoding="utf-8"),
                      "time,visit,current_mA,ratio,resistance_ohm,bath_C,flag\n"
                      "2019-03-24T08:30:00Z,V1,1,0.255010123,,23.01,\n"
                      "2019-03-24T08:30:10Z,V1,1,0.255010125,,23.02,set aside: door\n"
                      "2019-03-24T08:30:00Z,V1,1.414,0.25501,,23,\n")
        with tap.case("what is wrong or not said is told with its place"):
            tap.status(new_visit("V2"), 0)
            for which, a, b, words in WRONG:
                text = (MAP if which == "map" else OLD).replace(a, b, 1)
                changed = write(where, f"wrong-{which}", text)
                run = book("transcribe", "V2", changed if which == "old" else old, "--map",
                           changed if which == "map" else rules)
                tap.status(run, 2)
                tap.true(f"{a} -> {b}", words in run.err, run.err)
        with tap.case("two entries that differ are told line by line, and nothing is written"):
            second = write(where, "second.csv", OLD.replace("255010125", "255010152"))
            bo = {"name": "Bo", "state": "active", "authorisations": [
                {"act": "operate", "from": "2020-01-01"}]}
            tap.status(put("person", "bo", bo), 0)
            run = book("transcribe", "V2", old, "--map", rules, "--again", second, "--again-by", "bo")
            tap.status(run, 2)
            tap.true("where", "second.csv:3: is not what line 3 of" in run.err, run.err)
        with tap.case("a second entry is somebody else's, and a file of its own"):
            same = write(where, "same.csv", OLD)
            for options, words in ((["--again", same], "give both (--again, --again-by)"),
                                   (["--again-by", "bo"], "give both (--again, --again-by)"),
                                   (["--again", same, "--again-by", "ada"], "by somebody else"),
                                   (["--again", same, "--again-by", "zed"], "is not in the book"),
                                   (["--again", old, "--again-by", "bo"], "the same file twice")):
                run = book("transcribe", "V2", old, "--map", rules, *options)
                tap.equal(words, (run.status, words in run.err), (2, True))
            run = book("transcribe", "V2", old, "--map", rules, "--again", same, "--again-by", "bo")
            tap.equal("both agree", (run.status, run.err), (0, ""))
            body = firn("book", "show", "visit", "V2", "--body", "--book", place).json()
            tap.equal("kept", (body["second_by"], body["second_source"] == body["source"],
                               body["state"]), ("bo", True, "closed"))
        with tap.case("only into a visit that says its readings come from elsewhere"):
            put("visit", "V3", {"thermometer": "T1", "job": {}, "provenance": "recorded",
                                "state": "open"})
            run = book("transcribe", "V3", old, "--map", rules)
            tap.equal("recorded", (run.status, "not of readings from elsewhere" in run.err), (2, True))
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
