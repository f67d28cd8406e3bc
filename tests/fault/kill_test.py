#!/usr/bin/python3
"""kill -9 at random moments of recording and of issuing, on SQLite; with --postgres on a PostgreSQL
whose every process is killed with the client.

    kill_test.py RECORDER [--postgres] [--kills N] [--seed N]

After each kill the book opens and is sound, every reading that was acknowledged is there with the same
bits, and a calibration has taken its step whole or not at all: no certificate without its calibration
issued, none replaced without the one that replaces it.
"""
import argparse
import os
import pathlib
import random
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, open_visit, staff  # noqa: E402
from book_server import Server  # noqa: E402
from firn_run import Tap, firn, folder, program  # noqa: E402

JOB = HERE.parent.parent / "examples" / "hundred-ohm" / "job.yaml"
ISSUED = "2031-12-01T12:00:00Z"  # after the last reading of the job
KILLS_OF_A_BOOK = 50  # then a new one: each check reads the whole book

# What is done to a calibration in a state, and by whom.
STEPS = {"": ("job", "ada"), "measuring": ("reduce", "bo"), "reduced": ("agree", "dee"),
         "checked": ("issue", "cy")}
AFTER = {"": "measuring", "measuring": "reduced", "reduced": "checked", "checked": "issued"}


class Machine:
    """What loses its power: a client, and the server when there is one."""

    def __init__(self, rng, server):
        self.rng, self.server = rng, server

    def run_and_kill(self, command, longest, lines=0):
        """Starts a command and kills it within `longest` seconds after it has written so many lines;
        what it had written."""
        process = subprocess.Popen([str(part) for part in command], stdout=subprocess.PIPE,
                                   stderr=subprocess.DEVNULL)
        first = [process.stdout.readline() for _ in range(lines)]
        time.sleep(self.rng.uniform(0, longest))
        if self.server:
            self.server.kill()
        process.kill()
        written = b"".join(first) + process.communicate()[0]
        if self.server:
            self.server.start()
        return written.decode()


def sound(tap, book):
    run = book.say("check", who=None)
    tap.equal("check", (run.status, run.out, run.err), (0, "the book is sound\n", ""))


# ---- recording ----

def kill_recording(tap, machine, book, recorder, number):
    """Returns how many readings had been acknowledged when the power went."""
    visit = f"v{number}"
    tap.equal(visit, open_visit(book, visit), [])
    # One in five while the book is opened; the others counted from what is acknowledged, as a slow
    # machine would not have begun by any time that is set here.
    behind = max(0, machine.rng.randrange(-10, 40))
    lines = machine.run_and_kill([recorder, "record", book.place, visit, machine.rng.getrandbits(32)],
                                 0.01 if behind else 0.12, behind).splitlines()
    least = int(lines[-1]) if lines else 0
    done = subprocess.run([recorder, "verify", str(book.place), visit, str(least)],
                          capture_output=True, text=True, check=False)
    tap.equal(f"visit {visit}, {least} acknowledged", (done.returncode, done.stderr), (0, ""))
    return least


# ---- issuing ----

class Work:
    """One calibration after the other on its way to a certificate that replaces the one before."""

    def __init__(self, book):
        self.book, self.number = book, 1
        self.longest = {state: self.time_of(state) for state in STEPS}  # that the power may hold
        self.number = 2

    @property
    def calibration(self):
        return f"31-{self.number}"

    @property
    def certificate(self):
        return f"C-{self.number}"

    def state(self, kind="calibration", name=None):
        run = self.book.say("show", kind, name or self.calibration, "--body", who=None)
        return run.json()["state"] if run.status == 0 else ""

    def command(self, state):
        action, who = STEPS[state]
        arguments = {"job": [JOB, self.calibration], "issue": [self.calibration, self.certificate]}.get(
            action, [self.calibration])
        if action == "issue" and self.number > 1:
            arguments += ["--replaces", f"C-{self.number - 1}"]
        return [program(), "book", action, *arguments,
                *self.book.options(who, "a new one", ISSUED)]

    def time_of(self, state):
        """Of a step of the first calibration, which nobody kills."""
        started = time.monotonic()
        subprocess.run([str(part) for part in self.command(state)], check=True,
                       stdout=subprocess.DEVNULL)
        return time.monotonic() - started


def kill_work(tap, machine, work):
    """Kills one step of the work, and holds what is there afterwards to before or after. Returns the
    state that it came to, "" when it did not."""
    before = work.state()
    machine.run_and_kill(work.command(before), work.longest[before])
    sound(tap, work.book)
    after = work.state()
    work.longest[before] *= 1.5 if after == before else 0.8  # two in three come too late
    tap.true(f"{work.calibration} {before or 'new'}", after in (before, AFTER[before]), after)
    issued = after == "issued"
    tap.equal("its certificate", work.state("certificate", work.certificate),
              "issued" if issued else "")
    tap.equal("the one before", work.state("certificate", f"C-{work.number - 1}"),
              "replaced" if issued else "issued")
    if issued:
        run = firn("book", "recompute", work.certificate, "--book", work.book.place)
        tap.equal("recomputed", (run.status, "the same bytes" in run.out), (0, True))
        work.number += 1
    return after if after != before else ""


def kill_all(tap, machine, recorder, kills):
    acknowledged, steps, done = 0, [], 0
    while done < kills:
        n = min(kills - done, KILLS_OF_A_BOOK)
        with tap.case(f"kills {done + 1} to {done + n}"), folder() as where:
            os.chmod(where, 0o755)
            book = Book(pathlib.Path(where), f"kill{done}")
            tap.equal("init", book.begin().status, 0)
            tap.equal("staff", staff(book), [])
            work = Work(book)
            for i in range(n):
                if i % 2 == 0:
                    acknowledged += kill_recording(tap, machine, book, recorder, i)
                else:
                    steps.append(kill_work(tap, machine, work))
        done += n
    with tap.case("the kills struck while something was done"):
        taken, issued = len(list(filter(None, steps))), steps.count("issued")
        tap.true("readings acknowledged", acknowledged >= 4 * kills, acknowledged)
        tap.true("steps taken", taken > 0 or kills < 20, steps)
        tap.true("steps not taken", taken < len(steps), steps)
        tap.true("certificates issued", issued > 0 or kills < 40, steps)
    print(f"# {kills} kills: {acknowledged} readings acknowledged, {taken} of {len(steps)} steps taken, "
          f"{issued} certificates issued")


def options():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("recorder")
    parser.add_argument("--postgres", action="store_true")
    parser.add_argument("--kills", type=int)
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


def main():
    tap = Tap()
    o = options()
    if os.access("/dev/shm", os.W_OK):  # a killed process loses nothing that waits for the disk
        tempfile.tempdir = "/dev/shm"
    server = Server() if o.postgres else None
    os.environ.pop("FIRN_BOOK_SERVER", None)
    try:
        if server:
            server.start()
            os.environ["FIRN_BOOK_SERVER"] = server.address
        kill_all(tap, Machine(random.Random(o.seed), server), o.recorder,
                 o.kills or (40 if server else 100))
    finally:
        if server:
            server.remove()
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
