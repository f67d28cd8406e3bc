"""What an assessor waits for: answers of a book of three years, each a process of its own."""
import pathlib
import subprocess
import sys

from measure import Launched, take_turns

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests" / "support"), str(ROOT / "tools")]
from book_server import Server  # noqa: E402
from hollowmere.book import make_file  # noqa: E402

ASKED = (  # and how long it may take at most, in seconds
    (1.0, "trace", "C-29-013", "visit.4.W"),
    (1.0, "recompute", "C-29-013"),
    (1.0, "impact", "bridge", "B2", "--ppm", "0.02"),  # 25 of the 32 certificates
    (None, "timeline", "W4"),
    (None, "history", "K-1", "H2O"),
)


def _measure(table, build, where, place):
    launch, firn = build / "benchmarks" / "bench-launch", build / "firn"
    seconds = take_turns([Launched(launch, [firn, "book", *asked, "--book", place]).wall
                          for _, *asked in ASKED])
    for (most, name, *_), took in zip(ASKED, seconds):
        table.row(f"{name} on three years, {where}", took, None, took, most=most)


def rows(table, build, folder):
    path = folder / "hollowmere.firn"
    make_file(build / "firn", path)
    _measure(table, build, "SQLite", path)
    server = Server()
    try:
        server.start()
        subprocess.run([build / "firn", "book", "move", server.address, "--book", path], check=True,
                       stdout=subprocess.DEVNULL)
        _measure(table, build, "PostgreSQL", server.address)
    finally:
        server.remove()
