"""What the demonstration tells of the book: what it holds, and what to ask it."""
import collections
import json
import time

from . import book

# What an assessor may ask, and the command that answers.
QUESTIONS = (
    ("What is alive, due, open and waiting for whom?", "status"),
    ("What lies behind a number of a certificate?", "trace", "C-29-013", "visit.4.W"),
    ("Does a replaced certificate still come out as it was issued?", "recompute", "C-29-007"),
    ("Do all of them?", "recompute", "--all"),
    ("This resistor had drifted by 0.65 ppm: what does it change?", "impact", "resistor", "R-100-4",
     "--ppm", "0.65", "--from", "2028-11-06"),
    ("And this cell, really 0.07 mK colder?", "impact", "cell", "W4", "--mK", "-0.07", "--from",
     "2029-01-01"),
    ("What happened to the cell that broke?", "timeline", "W6"),
    ("To the thermometer that was damaged?", "timeline", "S-137"),
    ("Does the laboratory repeat its water triple point?", "history", "K-1", "H2O"),
    ("What holds this calibration back?", "gates", "30-009", "--at", "2030-12-02T12:00:00Z"),
)
COUNTED = (("person", "people"), ("customer", "customers"), ("thermometer", "thermometers"),
           ("cell", "cells"), ("resistor", "resistors"), ("bridge", "bridges"),
           ("realisation", "mantles, freezes and melts"), ("inspection", "inspections"),
           ("visit", "visits"), ("equipment check", "equipment checks"),
           ("nonconformity", "nonconformities"))


class _Book:
    def __init__(self, program, path):
        self._program, self._path = program, path

    def say(self, *arguments):
        return book.say(self._program, "book", *arguments, "--book", self._path)[0]

    def records(self, kind):
        return json.loads(self.say("list", kind, "--json"))["records"]


def _counts(kept):
    texts = [f"{len(kept.records(kind))} {words}" for kind, words in COUNTED]
    return [", ".join(texts[:6]), ", ".join(texts[6:])]


def _calibrations(kept):
    states = collections.Counter(record["state"] for record in kept.records("calibration"))
    return f"{sum(states.values())} calibrations: " + ", ".join(
        f"{n} {state}" for state, n in states.most_common())


def show(program, path, shown_program, shown_path):
    """Makes the book and tells of it; shown_...: as the reader would type them."""
    start = time.monotonic()
    made, _ = book.make_file(program, path)
    kept = _Book(program, path)
    print(f"\nThree years of the same laboratory: {shown_path}\n"
          f"  {made.strip()}, by the program's own commands; made in {time.monotonic() - start:.1f} s")
    for line in (*_counts(kept), _calibrations(kept)):
        print(f"  {line}")
    print("Ask it as an assessor would; each answer is one command, with the time it took:")
    for question, *asked in QUESTIONS:
        start = time.monotonic()
        kept.say(*asked)
        print(f"  {question}  ({time.monotonic() - start:.2f} s)\n"
              f"    {shown_program} book {' '.join(asked)} --book {shown_path}")
    print("docs/guide/hollowmere.md walks through the answers.")
