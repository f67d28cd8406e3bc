#!/usr/bin/python3
"""What `firn book` shows of records and takes from a keyboard: text for people, the same as JSON."""
import json
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import NOON, Book, person  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

CUSTOMER = {"name": "Tarn Valley Waterworks", "address": "Weir House"}


def piped(book, action, kind, name, body, *options, why=None):
    return firn("book", action, kind, name, "-", *options, *book.options(why=why),
                stdin=body if isinstance(body, str) else json.dumps(body))


def shows(tap, book):
    with tap.case("a record is shown readably, with its version, who, when and why"):
        tap.equal("put", piped(book, "put", "customer", "C-2", CUSTOMER).status, 0)
        tap.equal("changed", piped(book, "change", "customer", "C-2", {"note": "moved"},
                                   why="their letter of 3 May").status, 0)
        run = book.say("show", "customer", "C-2", who=None)
        head, body = run.out.split("{", 1)
        tap.equal("body", json.loads("{" + body), dict(CUSTOMER, note="moved"))
        tap.equal("in its order", re.findall(r'^  "(\w+)"', body, re.MULTILINE),
                  ["address", "name", "note"])
        for words in ("customer C-2, version 2", NOON, "change by ada: their letter of 3 May"):
            tap.true(words, words in head, head)
        old = book.say("show", "customer", "C-2", "--version", "1", "--json", who=None).json()
        tap.equal("an older version", (old["record"]["body"], old["latest"]), (CUSTOMER, 2))
        tap.equal("its hash", re.fullmatch("[0-9a-f]{64}", old["record"]["hash"]) is not None, True)
        run = book.say("show", "customer", "C-2", "--version", "3", who=None)
        tap.equal("none such", (run.status, "its latest is 2" in run.err), (2, True))
    with tap.case("numbers are exact, and what is shown can be put again"):
        cell = {"state": "in service", "job": {"point": "H2O", "u_cell_mK": 0.1 + 0.2}}
        tap.equal("put", piped(book, "put", "cell", "W1", cell).status, 0)
        run = book.say("show", "cell", "W1", "--body", who=None)
        tap.equal("exact", run.json()["job"]["u_cell_mK"], 0.30000000000000004)
        run = piped(book, "put", "cell", "W1", run.out, why="as shown")
        tap.equal("the same again is no new version",
                  (run.status, "in version 1; nothing is written" in run.err), (2, True))


def lists(tap, book):
    with tap.case("a list has state and what a record is, numbers in ids by their value"):
        for i in (10, 9, 100):
            tap.equal("put", piped(book, "put", "cell", f"W-{i}",
                                   {"state": "in service", "job": {"point": "Ga"}}).status, 0)
        run = book.say("list", "cell", who=None)
        rows = [re.split(r"  +", line.strip()) for line in run.out.splitlines()]
        tap.equal("head", rows[0], ["id", "state", "what", "version", "when", "by"])
        tap.equal("order", [row[0] for row in rows[1:]], ["W-9", "W-10", "W-100", "W1"])
        tap.equal("a row", rows[1], ["W-9", "in service", "Ga", "1", NOON, "ada"])
        told = book.say("list", "cell", "--json", who=None).json()
        tap.equal("the same as JSON", [[r["id"], r["state"], r["what"], str(r["version"]), r["time"],
                                        r["who"]] for r in told["records"]], rows[1:])
        tap.equal("none", book.say("list", "order", who=None).out, "there is no order in the book\n")
    with tap.case("a kind that isn't one is refused, with the nearest; hyphens stand for blanks"):
        for action in (["list", "vist"], ["show", "vist", "1"], ["kinds", "vist"]):
            run = book.say(*action, who=None) if action[0] != "kinds" else firn("book", *action)
            tap.equal(action[0], (run.status, "did you mean visit?" in run.err), (2, True))
        tap.equal("hyphen", book.say("list", "heat-treatment", who=None).status, 0)


def kinds(tap):
    with tap.case("a kind tells all that a record of it may say, down to the last member"):
        told = firn("book", "kinds", "person", "--json").json()["kinds"]
        tap.equal("one", [kind["name"] for kind in told], ["person"])
        acts = next(f for f in told[0]["fields"] if f["name"] == "authorisations")["fields"][0]
        tap.equal("choices", acts["of"], ["operate", "check", "issue", "manage"])
        tap.equal("states", told[0]["states"], {"active": ["left"], "left": ["active"]})
        out = firn("book", "kinds", "person").out
        tap.true("as text", "one of operate, check, issue, manage" in out and "active --> left" in out,
                 out)
        every = firn("book", "kinds", "--json").json()["kinds"]
        tap.equal("all have fields", [k["name"] for k in every if not k["fields"]], [])
        tap.true("numbers have their range", "number from 0 to 1100" in
                 firn("book", "kinds", "heat-treatment").out)


def refusals(tap, book):
    with tap.case("two who write one record don't lose each other's work"):
        run = piped(book, "change", "customer", "C-2", {"note": None}, "--seen", "1", why="tidy")
        tap.equal("stale", (run.status, "ada changed it" in run.err), (2, True))
        tap.true("with what was and is", 'after you had read version 1: note was nothing and is "moved"'
                 in run.err, run.err)
        run = piped(book, "change", "customer", "C-2", {"note": None}, "--seen", "2", "--json",
                    why="tidy")
        tap.equal("fresh", run.json()["record"], {"kind": "customer", "id": "C-2", "version": 3})
        tap.equal("gone", "note" in book.show("customer", "C-2"), False)
    with tap.case("what is missing is named, and what is no record refused"):
        for arguments, words in ((["put"], "KIND, ID and FILE are missing"),
                                 (["show", "cell"], "ID is missing"),
                                 (["list", "cell", "W1"], "'W1' is too much")):
            run = book.say(*arguments)
            tap.equal(words, (run.status, words in run.err), (2, True))
        for body, words in (("[1]", "in braces"), ('{"a":', "stdin:1"), ("", "in braces"),
                            ('{"a": 1, "a": 2}', "stdin:1")):
            run = piped(book, "put", "customer", "C-9", body)
            tap.equal(body, (run.status, words in run.err), (2, True))
    with tap.case("who only reads isn't asked who it is"):
        out = book.say("list", "--help", who=None).out
        tap.equal("options", re.findall(r"--(as|why|at|book)\b", out), ["book"])
        tap.equal("but may say it", book.say("list", "cell").status, 0)
        tap.true("who writes is", "--why" in book.say("put", "--help", who=None).out)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        with tap.case("a book for it"):
            tap.equal("begun", book.begin().status, 0)
            tap.equal("bo", book.put("person", "bo", person("Bo", "operate")).status, 0)
        shows(tap, book)
        lists(tap, book)
        kinds(tap)
        refusals(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
