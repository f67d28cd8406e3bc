#!/usr/bin/python3
"""Makes three years of an invented laboratory: what its people did, and what its bench read.

    tools/make_hollowmere.py [--seed N] FOLDER

Writes FOLDER/history.jsonl and FOLDER/jobs/NAME/job.yaml and readings.csv. They become a book by

    firn book init BOOK --simulated --at 2028-01-03T08:00:00Z --laboratory ... --as edda ...
    firn book load FOLDER/history.jsonl --book BOOK --as edda

(tools/hollowmere/people.py has the names). The same seed gives the same bytes.
"""
import argparse
import pathlib

from hollowmere.laboratory import SEED, Hollowmere


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("folder", type=pathlib.Path)
    asked = parser.parse_args()
    Hollowmere(asked.seed).write(asked.folder)


if __name__ == "__main__":
    main()
