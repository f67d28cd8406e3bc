"""The rows of the book: readings in, readings as a curve, appends, opening, and PostgreSQL.

The readings are made up by benchmarks/book.c: two a second, the clock jittering by milliseconds and
the bridge by 0.03 ppm. PostgreSQL is a server of its own on a local socket with Debian's settings
(tests/support/book_server.py). It and the program run by turns, so that a neighbour on the machine
adds to each of their waits: what they take is the processor time of both.
"""
import json
import os
import pathlib
import statistics
import subprocess
import sys

from measure import Driver, Launched, take_turns

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests" / "support"))
from book_server import Server  # noqa: E402

MANY, MOST = 10**7, 10**8
STRETCH = 10**6
RECORDS = {
    "thermometer": ("T1", {"job": {"nominal_ohm": 25.5}, "state": "in service"}),
    "visit": ("V", {"thermometer": "T1", "job": {}, "provenance": "recorded", "state": "open"}),
}
PLAIN = "CREATE TABLE plain (time TEXT, current_mA REAL, ratio REAL, bath_C REAL)"


def remove(path):
    for name in (path, f"{path}-wal", f"{path}-shm", f"{path}-journal"):
        pathlib.Path(name).unlink(missing_ok=True)


def new_book(firn, path):
    """One that has an open visit V."""
    remove(path)
    environment = {**os.environ, "FIRN_BOOK": str(path)}

    def say(*words):
        subprocess.run([firn, "book", *map(str, words), "--as", "ada"], check=True,
                       stdout=subprocess.DEVNULL, env=environment)

    say("init", path, "--laboratory", "Hollowmere", "--address", "1 Mere Lane", "--name", "Ada")
    for kind, (name, body) in RECORDS.items():
        record = path.with_suffix(".json")
        record.write_text(json.dumps(body), encoding="utf-8")
        say("put", kind, name, record)


def readings_in(table, build, folder, driver):
    """CSV into the book, and by the sqlite3 shell into a plain table. Leaves both there."""
    launch, firn = build / "benchmarks" / "bench-launch", build / "firn"
    lines, book, plain = folder / "lines.csv", folder / "book.firn", folder / "plain.db"
    driver.ask("csv", lines, 0, MANY)
    processors = [], []

    def timed(side, *command):
        wall, processor_s = Launched(launch, command).run()
        processors[side].append(processor_s)
        return wall

    def ours():
        new_book(firn, book)
        return timed(0, firn, "book", "readings", "V", lines, "--book", book, "--as", "ada")

    def theirs():
        remove(plain)
        return timed(1, "sqlite3", plain, PLAIN, f".import --csv --skip 1 {lines} plain")

    mine, shell = take_turns([ours, theirs])
    table.row("10^7 readings from CSV, sqlite3 .import / ours", mine, shell, shell / mine, least=4,
              unit="s", scale=1)
    mine, shell = (statistics.median(seconds[1:]) for seconds in processors)
    table.row("the same, processor only", mine, shell, shell / mine, unit="s", scale=1)
    size, other = book.stat().st_size / MANY, plain.stat().st_size / MANY
    table.row("bytes a reading", size, other, size, most=26, unit="B", scale=1)
    lines.unlink()
    return book, plain


def curves(table, driver, book, plain, large):
    """To 2,000 points: of a million the worst place of five, and all of 10^8."""
    worst = None
    for first in (0, 1_234_567, 4_095_999, 7_777_777, MANY - STRETCH):
        ours, rows = take_turns([lambda at=first: driver.ask("outline", book, at, STRETCH),
                                 lambda at=first: driver.ask("rows", plain, at, STRETCH)])
        if driver.ask("wrong"):
            raise RuntimeError(f"from {first} on the curve has other extremes than the rows")
        if worst is None or rows / ours < worst[1] / worst[0]:
            worst = ours, rows
    ours, rows = worst
    table.row("10^6 readings to 2000 points, SQL over rows / ours", ours, rows, rows / ours, least=15)
    ours, = take_turns([lambda: driver.ask("outline", large, 0, MOST)])
    table.row("10^8 readings to 2000 points", ours, None, ours * 1e3, most=50)


def appends(table, driver, folder):
    """One by one by turns, so that the disk is the same for both."""
    n = 2000
    book, bare = folder / "appended.firn", folder / "bare"
    driver.ask("make", book, 0)
    ours, theirs = take_turns([lambda: driver.ask("durable", book, bare, n),
                               lambda: driver.ask("bare")])
    table.row("a durable append, rate / bare write + fdatasync", ours / n, theirs / n, theirs / ours,
              least=0.5)


def opening(table, driver, folder, large):
    """A millisecond that neighbours disturb: more rounds."""
    empty = folder / "empty.firn"
    driver.ask("make", empty, 0)
    ours, theirs = take_turns([lambda: driver.ask("open", large), lambda: driver.ask("open", empty)],
                              rounds=51)
    table.row("opening a book of 10^8 readings / an empty one", ours, theirs, ours / theirs, most=1.1)


class Database:
    """A book on a server, and what program and server together take of the processor."""

    def __init__(self, server, build):
        self.driver = Driver(build / "benchmarks" / "bench-book")
        self.server, self.processes = server, [self.driver.process.pid]
        self.where = server.address.replace("/postgres?", "/book?")
        self.sql("CREATE DATABASE book")
        self.driver.ask("make", self.where, MOST)
        self.driver.ask("read", self.where, 0, 1)  # the connection that stays
        self.processes.append(int(self.sql("SELECT pid FROM pg_stat_activity WHERE datname = 'book'"
                                           " AND backend_type = 'client backend'")))

    def sql(self, text):
        return subprocess.run(["psql", "-qAt", self.server.address, "-c", text], check=True,
                              capture_output=True, text=True).stdout.strip()

    def ask(self, *words):
        return processor(self.driver, self.processes, *words)


def processor(driver, processes, *words):
    """Processor seconds that these processes take while the driver answers."""
    def taken():
        return sum(int(pathlib.Path(f"/proc/{pid}/schedstat").read_text("ascii").split()[0])
                   for pid in processes)

    before = taken()
    driver.ask(*words)
    return (taken() - before) * 1e-9


def postgres(table, build, driver, large):
    server = Server()
    try:
        server.start()
        other = Database(server, build)
        for what, words in (("10^6 readings to 2000 points", ("outline", 1_234_567, STRETCH)),
                            ("10^8 readings to 2000 points", ("outline", 0, MOST)),
                            ("reading 10^5 readings", ("read", 77_777, 10**5))):
            ours, theirs = take_turns(
                [lambda w=words: other.ask(w[0], other.where, *w[1:]),
                 lambda w=words: processor(driver, [driver.process.pid], w[0], large, *w[1:])])
            table.row(f"PostgreSQL / SQLite, {what}", ours, theirs, ours / theirs, most=3)
        other.driver.close()
    finally:
        server.remove()


def rows(table, build, folder):
    driver = Driver(build / "benchmarks" / "bench-book")
    book, plain = readings_in(table, build, folder, driver)
    large = folder / "large.firn"
    driver.ask("make", large, MOST)
    curves(table, driver, book, plain, large)
    appends(table, driver, folder)
    opening(table, driver, folder, large)
    postgres(table, build, driver, large)
    driver.close()
