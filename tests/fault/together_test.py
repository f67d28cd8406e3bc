#!/usr/bin/python3
"""Several who write one book at the same time: two on SQLite, sixteen on PostgreSQL with --postgres.

    together_test.py RECORDER [--postgres [CLIENTS]]

Each records and seals readings in a visit of its own, registers people, brings a calibration to its
certificate, and changes one record that all of them change. Nothing of it is lost, nobody waits for
ever, and who has looked at an older version is told who changed what.
"""
import concurrent.futures
import json
import os
import pathlib
import random
import re
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, open_visit, person, staff  # noqa: E402
from book_server import Server  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "hundred-ohm" / "job.yaml"
ISSUED = "2031-12-01T12:00:00Z"  # after the last reading of the job
TRANSACTIONS, PEOPLE = 20, 2  # of each
CHANGES = 12  # of the shared record, by all
LONGEST = 300  # s; who waits longer, waits for ever

TOLD = re.compile(r"thermometer shared: ada changed it at \S+ after you had read version \d+: serial was "
                  r"(nothing|\"\S+\") and is \"\S+\"; look at version \d+ and decide anew")


class Client:
    """One of those at work; what was refused though it should not have been stands in problems."""

    def __init__(self, book, recorder, name, changes):
        self.book, self.recorder, self.name, self.changes = book, recorder, name, changes
        self.problems, self.told, self.recorded = [], [], 0

    def say(self, action, *arguments, who="ada"):
        run = self.book.say(action, *arguments, who=who, why=f"by {self.name}", at=ISSUED)
        if run.status != 0:
            self.problems.append(run.describe())
        return run

    def file(self, body):
        path = self.book.folder / f"{self.name}.json"
        path.write_text(json.dumps(body), encoding="utf-8")
        return path

    def record(self):
        done = subprocess.run([self.recorder, "record", str(self.book.place), f"v{self.name}", "1",
                               str(TRANSACTIONS)], capture_output=True, text=True, check=False,
                              timeout=LONGEST)
        lines = done.stdout.splitlines()
        self.recorded = int(lines[-1]) if lines else 0
        if done.returncode != 0 or len(lines) != TRANSACTIONS:
            self.problems.append(f"recorded {len(lines)} times: {done.stderr}")

    def calibrate(self):
        for action, who, more in (("job", "ada", [JOB]), ("reduce", "bo", []), ("agree", "dee", []),
                                  ("issue", "cy", [f"C-{self.name}"])):
            name = f"K-{self.name}"
            self.say(action, *([*more, name] if action == "job" else [name, *more]), who=who)

    def change_shared(self):
        """Looks, changes what was looked at, and looks again when somebody else was first."""
        done = 0
        while done < self.changes:
            shown = self.book.say("show", "thermometer", "shared", "--json", who=None).json()
            run = self.book.say("change", "thermometer", "shared",
                                self.file({"serial": f"{self.name}.{done}"}), "--seen",
                                shown["record"]["version"], why=f"by {self.name}", at=ISSUED)
            if run.status == 0:
                done += 1
            else:
                self.told.append(run.err)
                time.sleep(random.uniform(0, 0.5))  # people take longer

    def work(self):
        self.record()
        for i in range(PEOPLE):
            self.say("put", "person", f"p-{self.name}-{i}", self.file(person("Pat", "operate")))
        self.change_shared()
        self.calibrate()


def listed(book, kind):
    return {record["id"]: record for record in
            book.say("list", kind, "--json", who=None).json()["records"]}


def nothing_lost(tap, book, clients, recorder):
    tap.equal("check", book.say("check", who=None).out, "the book is sound\n")
    for c in clients:
        tap.equal(f"refused to {c.name}", c.problems, [])
        done = subprocess.run([recorder, "verify", str(book.place), f"v{c.name}", str(c.recorded)],
                              capture_output=True, text=True, check=False)
        tap.equal(f"readings of {c.name}", (done.returncode, done.stderr), (0, ""))
    tap.true("people", {f"p-{c.name}-{i}" for c in clients for i in range(PEOPLE)} <=
             set(listed(book, "person")))
    tap.equal("certificates", {name: record["state"] for name, record
                               in listed(book, "certificate").items()},
              {f"C-{c.name}": "issued" for c in clients})
    for c in clients:
        run = firn("book", "recompute", f"C-{c.name}", "--book", book.place)
        tap.equal(f"C-{c.name}", (run.status, "the same bytes" in run.out), (0, True))


def told_what_changed(tap, book, clients):
    tap.equal("versions of what all changed", listed(book, "thermometer")["shared"]["version"],
              1 + sum(c.changes for c in clients))
    for said in (text for c in clients for text in c.told):
        tap.true("who, when, which version, what", TOLD.match(said), said)


def second_writer(tap, book):
    """The same where it is sure to happen."""
    path = book.folder / "second.json"
    path.write_text('{"serial": "first"}', encoding="utf-8")
    seen = listed(book, "thermometer")["shared"]["version"]
    tap.status(book.say("change", "thermometer", "shared", path, "--seen", seen, why="the first"), 0)
    path.write_text('{"serial": "second", "note": "late"}', encoding="utf-8")
    run = book.say("change", "thermometer", "shared", path, "--seen", seen, why="the second")
    tap.status(run, 2)
    tap.true("told", TOLD.match(run.err), run.err)
    tap.true("the versions", f"read version {seen}: serial was" in run.err and
             f'is "first"; look at version {seen + 1} ' in run.err, run.err)
    tap.equal("what stands", book.show("thermometer", "shared")["serial"], "first")


def together(tap, where, recorder, n):
    book = Book(where, "together")
    with tap.case("a book"):
        tap.status(book.begin(), 0)
        tap.equal("staff", staff(book), [])
        # the job's equipment is registered by whoever comes first; the others find it
        tap.status(book.put("thermometer", "shared", {"job": {"nominal_ohm": 25.5},
                                                      "state": "in service"}), 0)
        for i in range(n):
            tap.equal(f"visit of c{i}", open_visit(book, f"vc{i}", "shared"), [])
    clients = [Client(book, recorder, f"c{i}", max(1, CHANGES // n)) for i in range(n)]
    with concurrent.futures.ThreadPoolExecutor(n) as pool:
        for client in [pool.submit(c.work) for c in clients]:
            client.result()
    with tap.case(f"{n} at once: nothing is lost"):
        nothing_lost(tap, book, clients, recorder)
    with tap.case("who has seen an older version is told"):
        told_what_changed(tap, book, clients)
        second_writer(tap, book)
    print(f"# {n} clients: {sum(c.recorded for c in clients)} readings, "
          f"{sum(len(c.told) for c in clients)} changes refused and made again")


def main():
    tap = Tap()
    recorder, *options = sys.argv[1:]
    server = Server() if "--postgres" in options else None
    os.environ.pop("FIRN_BOOK_SERVER", None)
    try:
        if server:
            server.start()
            os.environ["FIRN_BOOK_SERVER"] = server.address
        with folder() as name:
            together(tap, pathlib.Path(name), recorder,
                     int(options[1]) if options[1:] else 16 if server else 2)
    finally:
        if server:
            server.remove()
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
