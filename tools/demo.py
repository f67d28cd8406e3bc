#!/usr/bin/python3
"""Runs the examples with the program, makes a book of three years, and tells what came of them.

    tools/demo.py PROGRAM

Writes demo/NAME.pdf and demo/NAME.json for every folder of examples/, and demo/hollowmere.firn. Exit
status 0 when each ended as it should, the one that fails the scale's criterion included; 1 when one
did not.
"""
import json
import os
import pathlib
import subprocess
import sys
import time

import cell_life
from hollowmere import book, tour

ROOT = pathlib.Path(__file__).resolve().parent.parent
# Folder of examples/, what it is, and the exit status that is right for it.
EXAMPLES = (
    ("long-stem-25-ohm", "Long-stem thermometer, 25.5 ohm, argon to aluminium; three places of a "
     "block measured with it.", 0),
    ("high-temperature", "High-temperature thermometer, 0.25 ohm, to silver; it drifts, and is "
     "annealed.", 0),
    ("capsule-25-ohm", "Capsule thermometer, 25.5 ohm, hydrogen to water; isotopes corrected.", 0),
    ("hundred-ohm", "Thermometer of 100 ohm, mercury to gallium; the water was never analysed.", 0),
    ("fails-the-criterion", "Industrial thermometer of 100 ohm; the scale asks for purer "
     "platinum.", 1),
)
BOOK = "demo/hollowmere.firn"


class Unexpected(Exception):
    """What was not as it should be, in words."""


def run(program, name, status):
    """Reduces one example; its result as the program wrote it."""
    pdf, result = ROOT / "demo" / f"{name}.pdf", ROOT / "demo" / f"{name}.json"
    for old in (pdf, result):
        old.unlink(missing_ok=True)
    done = subprocess.run([program, "reduce", f"examples/{name}/job.yaml", "--pdf", str(pdf),
                           "--result", str(result)], cwd=ROOT, capture_output=True, text=True,
                          check=False)
    if done.returncode != status:
        raise Unexpected(f"exit status {done.returncode}, expected {status}\n{done.stderr.strip()}")
    for written in (pdf, result):
        if not written.exists():
            raise Unexpected(f"{written.relative_to(ROOT)} was not written")
    return json.loads(result.read_text(encoding="utf-8"))


def celsius(t90_K):
    return f"{t90_K - 273.15:.7g}".replace("-", "\u2212") + " °C"


def largest(result):
    """Largest U of each range, calibration only, with where it is."""
    k = result["coverage"]["factor"]
    for curve in result["curves"]:
        worst = max(curve["points"], key=lambda p: p["u_calibration_K"])
        low, high = curve["points"][0]["t90_K"], curve["points"][-1]["t90_K"]
        yield (f"{celsius(low)} to {celsius(high)}: U at most "
               f"{1e3 * k * worst['u_calibration_K']:.2g} mK (k = {k:g}), at "
               f"{celsius(worst['t90_K'])}")


def verdict(result):
    if result["accepted"]:
        return "accepted"
    failed = [a["text"] for a in result["acceptance"] if a["binding"] and "not" in a["verdict"]]
    return "NOT ACCEPTED: " + "; ".join(failed)


def r_tpw(result):
    sequence, change_K = result["r_tpw"]["sequence"], result["r_tpw"]["change_K"]
    text = f"R(0.01 °C) = {sequence[-1]['ohm']['value']:.8g} ohm"
    if change_K is None:
        return text + ", measured once"
    return text + f", {len(sequence)} values within {1e3 * change_K:.2g} mK"


def describe(name, what, result):
    release = result["release"]
    paper = f"certificate {release['number']}" if release else "draft"
    print(f"\n{what}")
    print(f"  {verdict(result)}")
    print(f"  {r_tpw(result)}")
    for line in largest(result):
        print(f"  {line}")
    widest = {place["visit"]: place for place in result["temperatures"]}  # ranges come in order
    for place in widest.values():
        t = place["t90_K"]
        print(f"  {place['visit']}, by {place['subrange']}: {t['value'] - 273.15:.5f} °C, standard "
              f"uncertainty in use {1e3 * t['u_in_use']:.2g} mK")
    print(f"  demo/{name}.pdf ({paper}), demo/{name}.json")


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    program = os.path.abspath(sys.argv[1])
    wrong = []
    start = time.monotonic()
    (ROOT / "demo").mkdir(exist_ok=True)
    print("Five calibrations of an invented laboratory. Laboratory, people, customers and every "
          "reading\nare simulated; no figure here is a measurement.")
    for name, what, status in EXAMPLES:
        try:
            describe(name, what, run(program, name, status))
        except (Unexpected, OSError, ValueError, KeyError, TypeError) as error:
            wrong.append(name)
            print(f"\n{what}\n  UNEXPECTED: {error}")
    print(f"\nFive calibrations in {time.monotonic() - start:.2f} s. Open a PDF with any viewer, for instance\n"
          "  xdg-open demo/long-stem-25-ohm.pdf\n"
          "Inputs: examples/NAME/job.yaml and readings.csv. What was simulated: truth.json there.\n"
          "The same by hand:\n"
          f"  {sys.argv[1]} reduce examples/long-stem-25-ohm/job.yaml --pdf certificate.pdf")
    try:
        tour.show(program, ROOT / BOOK, sys.argv[1], BOOK)
    except (book.Refused, OSError, ValueError, KeyError) as error:
        wrong.append("hollowmere")
        print(f"\nThe book of three years\n  UNEXPECTED: {error}")
    try:
        cell_life.show(program, sys.argv[1])
    except (cell_life.Unexpected, OSError, ValueError, KeyError) as error:
        wrong.append("cells")
        print(f"\nThe life of two cells\n  UNEXPECTED: {error}")
    if wrong:
        print(f"Not as expected: {', '.join(wrong)}", file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
