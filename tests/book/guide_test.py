#!/usr/bin/python3
"""Guided work in the book: no step with a caution is done before it was shown to whoever does it."""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, person  # noqa: E402
from firn_run import Tap, firn, folder, write  # noqa: E402

CHANGE = """kind: procedure change
procedure: tpw-dry-ice
source: quality manual 7.3
cautions: {wet-floor: {hazard: Wet floor, caution: Wipe it., source: own}}
steps: {cool-first: {cautions: [wet-floor]}}
"""


def steps_of(name, *options):
    return firn("cell", "procedure", name, "--json", *options).json()["steps"]


def refused(tap, run, *words):
    tap.equal("status", run.status, 2)
    for word in words:
        tap.true(word, word in run.err, run.err)


def test_order(tap, book):
    with tap.case("a procedure begins, and keeps its words"):
        run = book.say("guide", "G-1", "tpw-supercooling", "--about", "W1")
        tap.equal("begun", (run.status, run.err), (0, ""))
        tap.equal("again", book.say("guide", "G-1", "tpw-supercooling").status, 2)
        refused(tap, book.say("guide", "G-2", "tpw-supercoling"), "did you mean tpw-supercooling?")
        refused(tap, book.say("guide", "G-2", "tpw-dry-ice", "--about", "W9"), "W9")
    with tap.case("a step isn't done before its caution was shown"):
        run = book.say("done", "G-1", "look", "--found", "clicks, no bubble")
        refused(tap, run, "glass-under-vacuum", "firn book next G-1")
        tap.equal("nothing is recorded", book.show("guided work", "G-1")["done"], [])
    with tap.case("shown to one, done by another: refused"):
        run = book.say("next", "G-1")
        caution, does = run.out.index("CAUTION, Glass under vacuum"), run.out.index("Look at the cell")
        tap.true("caution first", caution < does)
        tap.equal("kept", [(x["step"], x["caution"], x["person"])
                           for x in book.show("guided work", "G-1")["shown"]],
                  [("look", "glass-under-vacuum", "ada")])
        refused(tap, book.say("done", "G-1", "look", "--found", "clicks", who="bo"),
                "bo has not been shown")
    with tap.case("what is to be written down is asked for; the order is kept"):
        refused(tap, book.say("done", "G-1", "look"), "click; largest size of the bubble", "--found")
        refused(tap, book.say("done", "G-1", "shake", "--found", "x"), "step look next")
        refused(tap, book.say("done", "G-1", "shak", "--found", "x"), "has no step shak")
        tap.equal("done", book.say("done", "G-1", "look", "--found", "clicks").status, 0)
    with tap.case("a step without cautions needs no showing"):
        tap.equal("done", book.say("done", "G-1", "cool-first", "--found", "09:00", who="bo").status, 0)


def test_to_the_end(tap, book):
    with tap.case("to the end, and each caution stands before its step in the record"):
        names = list(steps_of("tpw-supercooling"))
        for name in names[2:]:
            tap.equal(f"shown {name}", book.say("next", "G-1", who="bo").status, 0)
            tap.equal(f"done {name}", book.say("done", "G-1", name, "--found", "as it should be",
                                               who="bo").status, 0)
        got = book.show("guided work", "G-1")
        tap.equal("state", got["state"], "finished")
        tap.equal("steps", [x["step"] for x in got["done"]], names)
        for name, step in steps_of("tpw-supercooling").items():
            for caution in step["cautions"]:
                shown = [x for x in got["shown"] if (x["step"], x["caution"]) == (name, caution)]
                tap.true(f"{name}, {caution}", len(shown) == 1)
        refused(tap, book.say("next", "G-1"), "finished")
        refused(tap, book.say("done", "G-1", "read", "--found", "x"), "finished")
    with tap.case("the log shows the caution before the step: two entries of their own"):
        run = book.say("timeline", "W1", who=None)
        acts = re.findall(r" (\w+) guided work G-1", run.out)
        tap.equal("first acts", acts[:4], ["begin", "show", "do", "do"])


def test_by_hand(tap, book):
    with tap.case("nobody writes a showing or a step by hand"):
        tap.equal("begun", book.say("guide", "G-3", "ga-melt").status, 0)
        body = book.show("guided work", "G-3")
        body["shown"] = [{"step": "freeze", "caution": "gallium-expands", "person": "ada",
                          "time": "2031-06-01T12:00:00Z"}]
        refused(tap, book.put("guided work", "G-3", body), "guide`, `next` and `done` alone")
        refused(tap, book.put("guided work", "G-4", body), "guide`, `next` and `done` alone")
        body = {**book.show("guided work", "G-3"), "state": "finished"}
        refused(tap, book.put("guided work", "G-3", body), "alone")
    with tap.case("but it may be given up"):
        tap.equal("changed", book.change("guided work", "G-3", state="given up").status, 0)
        refused(tap, book.say("next", "G-3"), "given up")


def test_changes(tap, book, where):
    with tap.case("the laboratory's own cautions are shown and asked for like the program's"):
        path = write(where, "ours.yaml", CHANGE)
        tap.equal("begun", book.say("guide", "G-5", "tpw-dry-ice", "--with", path).status, 0)
        book.say("next", "G-5")
        tap.equal("look", book.say("done", "G-5", "look", "--found", "sound").status, 0)
        refused(tap, book.say("done", "G-5", "cool-first", "--found", "09:00"), "wet-floor")
        tap.true("shown", "Wet floor. Wipe it." in book.say("next", "G-5").out)
        tap.equal("done", book.say("done", "G-5", "cool-first", "--found", "09:00").status, 0)
    with tap.case("a step that isn't done is passed over with its reason"):
        tap.equal("dry", book.say("done", "G-5", "dry", "--not-done", "dry since yesterday").status, 0)
        tap.equal("kept", book.show("guided work", "G-5")["done"][-1]["not_done"],
                  "dry since yesterday")
    with tap.case("what can't be shown isn't recorded as shown"):
        before = book.show("guided work", "G-5")
        with open("/dev/full", "w", encoding="utf-8") as full:
            run = firn("book", "next", "G-5", *book.options(), stdout=full)
        tap.true("refused", run.status in (2, 3), run.describe())
        tap.equal("as before", book.show("guided work", "G-5"), before)
    with tap.case("the words are kept as they were"):
        tap.equal("checked", book.say("check", who=None).status, 0)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        with tap.case("a book"):
            tap.equal("init", book.begin().status, 0)
            tap.equal("bo", book.put("person", "bo", person("Bo", "operate")).status, 0)
            ada = book.show("person", "ada")
            ada["authorisations"].append({"act": "operate", "from": "2020-01-01"})
            tap.equal("ada", book.put("person", "ada", ada).status, 0)
            cell = {"job": {"point": "H2O", "u_cell_mK": 0.04}, "state": "in service"}
            run = book.put("cell", "W1", cell)
            tap.equal("W1", (run.status, run.err), (0, ""))
        test_order(tap, book)
        test_to_the_end(tap, book)
        test_by_hand(tap, book)
        test_changes(tap, book, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
