#!/usr/bin/python3
"""A book on a full disk, and one that can't be written: the message says what to do, nothing is lost.

A small disk needs a name space of its own (unshare), and somebody who may not write needs not to be
root; where there is neither, the case says so.
"""
import os
import pathlib
import resource
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, person, staff  # noqa: E402
from firn_run import Tap, firn, folder, program, write  # noqa: E402

JOB = HERE.parent.parent / "examples" / "hundred-ohm" / "job.yaml"
SMALL, LARGE = "500k", "20m"
NOBODY = 65534


def sound(tap, book):
    run = book.say("check", who=None)
    tap.equal("check", (run.status, run.out, run.err), (0, "the book is sound\n", ""))


def listed(book, kind):
    return [record["id"] for record in book.say("list", kind, "--json", who=None).json()["records"]]


# ---- a full disk ----

def mount(where, *options):
    subprocess.run(["mount", *options, "-t", "tmpfs", "none", where], check=True)


def fill(book):
    """Calibrations until there is no room; the number of the first that didn't fit, and what was
    said."""
    for number in range(100):
        run = book.say("job", JOB, f"K{number}")
        if run.status != 0:
            return number, run
    raise AssertionError("the disk was never full")


def full(tap, where):
    small = where / "small"
    small.mkdir()
    mount(small, "-o", f"size={SMALL}")
    book = Book(where, "full")
    book.place = small / "book.firn"
    with tap.case("a disk that becomes full"):
        tap.status(book.begin(), 0)
        tap.equal("staff", staff(book), [])
        number, run = fill(book)
        tap.status(run, 3)
        tap.true("says what to do", "make room on the disk and repeat the command" in run.err, run.err)
        tap.equal("those that were acknowledged", listed(book, "calibration"),
                  [f"K{n}" for n in range(number)])
        sound(tap, book)
    for action in ("backup", "export"):
        with tap.case(f"a full disk for a copy: {action}"):
            before = sorted(small.iterdir())
            run = book.say(action, small / "copy", who=None)
            tap.status(run, 3)
            tap.true("says why", "full" in run.err or "No space" in run.err, run.err)
            tap.equal("what lies there", sorted(small.iterdir()), before)
    with tap.case("once there is room, the same command"):
        mount(small, "-o", f"remount,size={LARGE}")
        tap.status(book.say("job", JOB, f"K{number}"), 0)
        for action in ("backup", "export"):
            tap.status(book.say(action, small / f"copy-{action}", who=None), 0)
        sound(tap, book)
    subprocess.run(["umount", small], check=True)


def on_small_disk():
    """What this script prints when it runs as FULL in a name space of its own; None: there is none."""
    done = subprocess.run(["unshare", "-rm", sys.executable, __file__], capture_output=True, text=True,
                          env=dict(os.environ, FIRN_SMALL_DISK="yes"), check=False)
    return None if done.returncode and "unshare" in done.stderr else done.stdout + done.stderr


# ---- a file that may not grow ----

def no_growth(tap, where):
    """By the limit of the process: every write beyond it fails with another error than a full disk."""
    book = Book(where, "grown")
    with tap.case("a file that may not grow"):
        tap.status(book.begin(), 0)
        record = write(where, "eve.json", '{"name": "Eve", "state": "active", "authorisations": []}')
        for size in (0, 4096, 12000, 20000):
            done = subprocess.run(
                [program(), "book", "put", "person", "eve", record, *map(str, book.options())],
                capture_output=True, text=True, check=False, restore_signals=False,
                preexec_fn=lambda size=size: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size)))
            tap.equal(f"{size}: {done.stderr}", done.returncode, 3)
            tap.true("says what to do", "see to it" in done.stderr, done.stderr)
            tap.equal("people", listed(book, "person"), ["ada"])
            sound(tap, book)
        tap.status(book.say("put", "person", "eve", record), 0)


# ---- what may not be written ----

def as_nobody(book, *arguments):
    user = {"user": NOBODY, "group": NOBODY, "extra_groups": []} if os.geteuid() == 0 else {}
    done = subprocess.run([program(), "book", *map(str, arguments), "--book", str(book.place)],
                          capture_output=True, text=True, check=False, cwd="/", **user)
    return done.returncode, done.stdout, done.stderr


def read_only(tap, where, name, file_mode, folder_mode):
    place = where / name.replace(" ", "-")
    place.mkdir()
    os.chmod(where, 0o755)
    book = Book(where, "unused")
    book.place = place / "book.firn"
    record = write(where, "eve.json", '{"name": "Eve", "state": "active", "authorisations": []}')
    with tap.case(f"read only: {name}"):
        tap.status(book.begin(), 0)
        if os.geteuid() == 0:
            for path in (place, book.place):
                os.chown(path, NOBODY, NOBODY)
        os.chmod(book.place, file_mode)
        os.chmod(place, folder_mode)
        status, _, said = as_nobody(book, "put", "person", "eve", record, "--as", "ada")
        tap.equal("status", status, 2)
        tap.true("says what to do", "can't be written by you: check their permissions" in said, said)
        tap.equal("read", as_nobody(book, "check"), (0, "the book is sound\n", ""))
        tap.equal("beside it", os.listdir(place), ["book.firn"])
        os.chmod(place, 0o755)
        os.chmod(book.place, 0o644)
        status, _, said = as_nobody(book, "put", "person", "eve", record, "--as", "ada")
        tap.equal("allowed again", (status, said), (0, ""))
        sound(tap, book)


def main():
    tap = Tap()
    with folder() as name:
        where = pathlib.Path(name)
        if "FIRN_SMALL_DISK" in os.environ:
            full(tap, where)
            return tap.done()
        told = on_small_disk()
        if told is None:
            tap.skip("a full disk", "no name space of one's own")
        else:
            with tap.case("a full disk"):
                tap.true("all of its cases", "1..4" in told and told.startswith("ok 1") and "not ok" not in told, told)
        no_growth(tap, where)
        read_only(tap, where, "file", 0o444, 0o755)
        read_only(tap, where, "folder", 0o644, 0o555)
        read_only(tap, where, "file and folder", 0o444, 0o555)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
