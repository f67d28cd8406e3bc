#!/usr/bin/python3
"""A long file of readings goes to a visit as it is, or not at all. On SQLite; on PostgreSQL too where
FIRN_BOOK_SERVER names a server (tests/support/book_server.py).
"""
import os
import pathlib
import random
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book  # noqa: E402
from firn_run import Tap, folder, program, write  # noqa: E402

HEADER = "time,current_mA,ratio,bath_C,flag\n"
BLOCK = 8192  # readings in a block: what is wrong must be found behind several of them too


def lines(first, n):
    """Readings from number `first` on, one every half second; now and then a flag, or nothing
    known but the reading."""
    made = []
    for i in range(first, first + n):
        draw = random.Random(i)
        seconds = i // 2
        time = (f"2031-03-04T{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
                f"{'.5' if i % 2 else ''}Z")
        flag = 'set aside: "door", wind' if i % 1000 == 7 else "note" if i % 100 == 3 else ""
        made.append((time, draw.choice(("1", "1.4142")), f"0.8611{draw.randrange(10, 10**5)}".rstrip("0"),
                     "" if i % 50 == 9 else f"23.0{draw.randrange(1, 10)}", flag))
    return made


def text(rows, end="\n"):
    return HEADER + "".join(
        ",".join(row[:4]) + "," + ('"%s"' % row[4].replace('"', '""') if "," in row[4] else row[4]) + end
        for row in rows)


def exported(book, visit):
    """What the export has of a visit, in the columns of HEADER."""
    out = book.folder / f"out-{len(list(book.folder.glob('out-*')))}"
    run = book.say("export", out, who=None)
    if run.status != 0:
        raise RuntimeError(run.describe())
    file = out / "readings" / f"{visit}.csv"
    if not file.exists():
        return HEADER
    rows = []
    for line in file.read_text(encoding="utf-8").splitlines()[1:]:
        time, _, current, ratio, ohm, rest = line.split(",", 5)
        rows.append(",".join((time, current, ratio + ohm, rest)))
    return HEADER + "".join(row + "\n" for row in rows)


def new_visit(book, name, **more):
    return book.put("visit", name, dict({"thermometer": "T1", "job": {}, "provenance": "recorded",
                                         "state": "open"}, **more)).status


# name, what stands in the place of row 20,000 (line 20,001), what is said of it
WRONG = (
    ("decimal comma", '2031-03-05T00:00:00Z,1,"0,8611",,', '20001:24: ratio is "0,8611"; decimals have'),
    ("no current", "2031-03-05T00:00:00Z,,0.8611,,", "20001:22: current_mA is empty"),
    ("amperes", "2031-03-05T00:00:00Z,0.001,0.8611,,", "20001:22: current_mA is 0.001; this looks"),
    ("no number", "2031-03-05T00:00:00Z,1,NaN,,", "20001:24: ratio is NaN"),
    ("no offset", "2031-03-05T00:00:00,1,0.8611,,", '20001:1: time "2031-03-05T00:00:00" has no offset'),
    ("back in time", "2031-03-03T00:00:00Z,1,0.8611,,", "20001:1: time is before that of the reading"),
    ("fields", "2031-03-05T00:00:00Z,1,0.8611,", "20001:1: the row has 4 fields and the header 5"),
    ("quote", '2031-03-05T00:00:00Z,1,0.8611,,"open', "20001:32: a quote opens here and is never"),
    ("bath", "2031-03-05T00:00:00Z,1,0.8611,296.15,", "20001:31: bath_C is 296.15; the temperature"),
    ("invisible", "2031-03-05T00:00:00Z,1,0.8611,,a\u200bb", "20001:33: a character that can't be seen"),
)
# name, file, what is said of it
WRONG_FILES = (
    ("empty", "", "1:1: the file has no header; it starts with time,current_mA,ratio"),
    ("comments", "# room 3\n# morning\n", "3:1: the file has no header"),
    ("header", "# room 3\n" + HEADER, "the file has a header and no readings"),
    ("visit", "time,visit,current_mA,ratio\n,V1,1,0.8611\n", "1:6: the column visit has no place here"),
    ("misspelt", "time,current_mA,ratoi\n", 'there is no column "ratoi"; did you mean ratio?'),
    ("units", HEADER + ",mA,,degC,\n", "2:1: this row holds units or words"),
    ("no text", "%PDF-", "this is a PDF, not text"),
)


def goes_in(tap, book):
    rows = lines(0, 3 * BLOCK + 5)
    with tap.case("what goes in comes out, to the last digit, in several files"):
        tap.equal("V1", new_visit(book, "V1"), 0)
        first = write(book.folder, "first.csv", "# room 3\n" + text(rows[:2 * BLOCK + 100]))
        second = write(book.folder, "second.csv", text(rows[2 * BLOCK + 100:], "\r\n").rstrip())
        run = book.say("readings", "V1", first, why="from the bridge")
        tap.equal("told", (run.status, run.out), (0, "16484 readings were added to visit V1\n"))
        run = book.say("readings", "V1", second)
        tap.equal("told", (run.status, run.out), (0, "8097 readings were added to visit V1\n"))
        tap.equal("readings", exported(book, "V1"), text(rows))
        history = book.say("timeline", "V1", who=None)
        tap.true("who and why", "from the bridge" in history.out, history.out)
        tap.equal("check", book.say("check", who=None).out, "the book is sound\n")
    with tap.case("a later file can't begin before the last reading"):
        again = write(book.folder, "again.csv", text(rows[:3]))
        run = book.say("readings", "V1", again)
        tap.equal("refused", (run.status, "again.csv:2:1: time is before" in run.err), (2, True))
    with tap.case("resistances, without time and bath"):
        tap.equal("V2", new_visit(book, "V2"), 0)
        few = write(book.folder, "few.csv", "resistance_ohm,current_mA\n25.5000124,1\n25.5000131,1.4142\n")
        tap.status(book.say("readings", "V2", few), 0)
        tap.equal("readings", exported(book, "V2"), HEADER + ",1,25.5000124,,\n,1.4142,25.5000131,,\n")


def wrong(tap, book):
    rows = text(lines(0, 20005)).splitlines(keepends=True)
    before = exported(book, "V3") if new_visit(book, "V3") == 0 else None
    with tap.case("what is wrong is told with its place, and nothing is written"):
        for name, line, words in WRONG:
            file = write(book.folder, "wrong.csv", "".join([*rows[:20000], line + "\n", *rows[20001:]]))
            run = book.say("readings", "V3", file)
            tap.equal(name, run.status, 2)
            tap.true(name, "wrong.csv:" + words in run.err, run.err)
        for name, whole, words in WRONG_FILES:
            run = book.say("readings", "V3", write(book.folder, "wrong.csv", whole))
            tap.equal(name, run.status, 2)
            tap.true(name, words in run.err, run.err)
        tap.equal("nothing", exported(book, "V3"), before)
    with tap.case("many mistakes of a kind are counted, not told one by one"):
        file = write(book.folder, "wrong.csv", HEADER + ",1,x,,\n" * 30000)
        run = book.say("readings", "V3", file)
        tap.equal("status", run.status, 2)
        tap.true("few", len(run.err.splitlines()) < 25, run.err)
        tap.true("the rest", "and 29980 more overloads from here on" in run.err, run.err)
    with tap.case("a closed visit, none, no file, somebody who may not"):
        good = write(book.folder, "good.csv", text(lines(0, 3)))
        tap.equal("V4", new_visit(book, "V4", state="closed"), 0)
        for visit, file, who, words in (("V4", good, "ada", "visit V4: is closed"),
                                        ("V5", good, "ada", "no visit V5 in the book"),
                                        ("V3", book.folder / "none.csv", "ada", "there is no such file"),
                                        ("V3", book.folder, "ada", "this is a directory"),
                                        ("V3", good, "zed", "person zed")):
            run = book.say("readings", visit, file, who=who)
            tap.equal(words, (run.status, words in run.err), (2, True))
        tap.equal("nothing", exported(book, "V3"), before)


def memory(tap, book):
    """A file five times as long takes no more of it. The measured program is started by an
    interpreter of its own, which knows how large its one child became."""
    script = ("import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True,"
              " stdout=subprocess.DEVNULL);"
              " print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)")
    # a sanitizer keeps what was freed for a while, 256 MB of it unless told otherwise
    environment = dict(os.environ, ASAN_OPTIONS=os.environ.get("ASAN_OPTIONS", "")
                       + ":quarantine_size_mb=1:thread_local_quarantine_size_kb=64")
    sizes = []
    for name, n in (("V6", 60_000), ("V7", 300_000)):
        new_visit(book, name)
        file = write(book.folder, "long.csv", HEADER + "".join(
            f",1,0.8611{i % 9973:05},23.01,note {i}\n" for i in range(n)))
        sizes.append(int(subprocess.run(
            [sys.executable, "-c", script, program(), "book", "readings", name, file,
             *map(str, book.options())], check=True, capture_output=True, text=True,
            env=environment).stdout))
    with tap.case("memory doesn't grow with the file"):
        # 13 MB of CSV, 7 MB in the book; SQLite fills its 2 MB of pages with the first file
        tap.true("kilobytes", sizes[1] < sizes[0] + 4000, str(sizes))


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        book.begin()
        thermometer = {"job": {"nominal_ohm": 25.5}, "state": "in service"}
        book.put("thermometer", "T1", thermometer)
        goes_in(tap, book)
        wrong(tap, book)
        memory(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
