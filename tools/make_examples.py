#!/usr/bin/python3
"""Makes the examples: readings, jobs and truth of an invented laboratory.

    tools/make_examples.py [--seed N] [--into FOLDER] [NAME ...]

Writes job.yaml, readings.csv and truth.json of every example, or of those named, under examples/
or FOLDER. With the seed that is built in, the files come out to the byte as they are committed;
another seed gives another laboratory with the same stated uncertainties. Shares no code with the
program and needs nothing but Python. docs/guide/examples.md tells what is simulated and how.
"""
import argparse
import json
import pathlib

from examples import capsule, high_temperature, long_stem, narrow
from examples.example import job_text, readings_text
from examples.laboratory import Draws, Laboratory

SEED = 9
EXAMPLES = (long_stem.EXAMPLE, high_temperature.EXAMPLE, capsule.EXAMPLE, narrow.GOOD, narrow.BAD)


def make(example, seed, into):
    laboratory = Laboratory(example, Draws(f"{seed}/{example.folder}"))
    folder = into / example.folder
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (("job.yaml", job_text(example)),
                       ("readings.csv", readings_text(laboratory.readings)),
                       ("truth.json", json.dumps(laboratory.truth(), indent=1) + "\n")):
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--into", type=pathlib.Path,
                        default=pathlib.Path(__file__).resolve().parent.parent / "examples")
    parser.add_argument("names", nargs="*")
    asked = parser.parse_args()
    known = {e.folder: e for e in EXAMPLES}
    for name in asked.names or known:
        if name not in known:
            parser.error(f"there is no example {name}; there are {', '.join(known)}")
        make(known[name], asked.seed, asked.into)


if __name__ == "__main__":
    main()
