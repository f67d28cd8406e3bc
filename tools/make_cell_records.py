#!/usr/bin/python3
"""Writes the records of the examples of `firn cell check`, `profile`, `plateau` and `compare`.

Invented readings of the invented laboratory Hollowmere; nothing is measured. The same numbers at
every run. What was put in stands in examples/comparisons/truth.json, for the tests.
"""
import json
import math
import pathlib
import random

TOP = pathlib.Path(__file__).resolve().parent.parent
CELLS, COMPARISONS = TOP / "examples" / "cells", TOP / "examples" / "comparisons"

# Truth of the water cells, in microkelvin above the definition after isotopes, on 2028-01-01, and
# per year. W4 drifts as Strouse & Zhao (2007) found for borosilicate; W6 broke in March 2029, W7
# took its place; W5 lost its vacuum in 2031 and stepped.
VALUES = {"W3": -8.0, "W4": 14.0, "W5": 22.0, "W6": -31.0, "W7": 5.0}
DRIFT = {"W4": -13.0}
STEP = {"W5": (2031.0, -60.0)}
DELTAS = {"W3": (-0.0583, -0.0081), "W4": (-0.0712, -0.0098), "W5": (-0.0461, -0.0064), "W6": (-0.0905, -0.0121),
          "W7": (-0.0229, -0.0033)}
DEPTH = {"W3": 243.0, "W4": 238.0, "W5": 251.0, "W6": 240.0, "W7": 262.0}
U_DIFFERENCE, U_TURN = 9.0, 8.0


def isotopes(cell):
    """MeP-K Technical Annex (2017): 673 and 630 uK."""
    return 673.0 * DELTAS[cell][0] + 630.0 * DELTAS[cell][1]


def temperature(cell, year, depth):
    """What a thermometer sees in the cell, in microkelvin above 273.16 K."""
    t = VALUES[cell] + DRIFT.get(cell, 0.0) * (year - 2028.0) + isotopes(cell) - 0.73 * depth
    since, step = STEP.get(cell, (math.inf, 0.0))
    return t + (step if year >= since else 0.0)


def comparisons():
    draw = random.Random("comparisons of water cells")
    lines = []
    for year in range(2028, 2033):
        new = "W6" if year < 2029 else "W7"
        pairs = [("W4", "W3"), ("W5", "W3"), (new, "W3"), ("W4", "W5"), (new, "W4")]
        for n, (a, b) in enumerate(pairs):
            date = f"{year}-{6 + n // 3:02d}-{3 + 5 * (n % 3):02d}"
            t = year + 0.45
            d = temperature(a, t, DEPTH[a]) - temperature(b, t, DEPTH[b]) + draw.gauss(0, U_DIFFERENCE)
            depths = f"{{value: {DEPTH[a]:g}, u: 1}}, {{value: {DEPTH[b]:g}, u: 1}}"
            if n == 0 and year == 2028:
                lines.append(design(draw, a, b, t, date, depths))
            else:
                lines.append(f"  - {{date: {date}, a: {a}, b: {b}, uK: {{value: {d:.1f}, u: {U_DIFFERENCE:g}}},\n"
                             f"     depth_mm: [{depths}]}}")
    return lines


def design(draw, a, b, t, date, depths):
    """The readings themselves: a, b, b, a, with a drift of 3 uK in 10 min that all share."""
    turns = []
    for i, cell in enumerate((a, b, b, a)):
        x = temperature(cell, t, DEPTH[cell]) + 3.0 * i + draw.gauss(0, U_TURN)
        turns.append(f"{{cell: {cell}, minutes: {10 * i}, uK: {x:.1f}}}")
    return (f"  - date: {date}\n    a: {a}\n    b: {b}\n    depth_mm: [{depths}]\n    u_uK: {U_TURN:g}\n"
            f"    readings: [{', '.join(turns[:2])},\n               {', '.join(turns[2:])}]")


def write_comparisons():
    write_comparison("water-cells", {})
    # The same, with the step of W5 entered: from 2031 on it is another cell.
    write_comparison("water-cells-entered", {"W5": 2031})
    truth = {"value_uK": VALUES, "drift_uK_per_year": DRIFT,
             "step": {name: {"year": year, "uK": size} for name, (year, size) in STEP.items()}}
    (COMPARISONS / "truth.json").write_text(json.dumps(truth, indent=2) + "\n", encoding="utf-8")


def entered(lines, stepped):
    """The lines of a comparison, with the cells that stepped under another name from that year on."""
    for line in lines:
        year = int(line.split("date: ")[1][:4])
        for name, since in stepped.items():
            if year >= since:
                line = line.replace(f"a: {name}", f"a: {name}b").replace(f"b: {name}", f"b: {name}b")
        yield line


def write_comparison(file, stepped):
    cells = []
    for name in VALUES:
        dD, d18O = DELTAS[name]
        more = {"W4": ", drifts: true", "W7": ", replaces: W6"}.get(name, "")
        for id_, extra in [(name, more)] + [(f"{n}b", f", replaces: {n}") for n in stepped if n == name]:
            cells.append(f"  {id_}: {{glass: borosilicate{extra}, u_budget_uK: 25, isotopes:\n"
                         f"       {{dD: {{value: {dD}, u: 0.001}}, d18O: {{value: {d18O}, u: 0.0001}}}}}}")
    text = "\n".join(["# Water cells of the invented laboratory Hollowmere, compared in five years.",
                      "# Nothing is measured; tools/make_cell_records.py made the numbers.",
                      "kind: cell comparison", "title: Water cells of Hollowmere, 2028 to 2032", "point: H2O",
                      "cells:", *cells,
                      "datum: {cell: W3, value_uK: {value: -5, u: 18}, source: certificate of the institute 2027-118}",
                      "report:", "  cell: W4", "  laboratory: Hollowmere Temperature Laboratory",
                      "  place: Hollowmere", "  item: Large triple-point-of-water cell W4 of borosilicate glass",
                      "  measured_by: I. Quill", "differences:", *entered(comparisons(), stepped), ""])
    COMPARISONS.mkdir(exist_ok=True)
    (COMPARISONS / f"{file}.yaml").write_text(text, encoding="utf-8")


def write_freeze():
    """Zinc: 40 mK under, back within 400 s, Raoult's curve for 0.2 mK in all, twelve hours."""
    draw = random.Random("a freeze of zinc")
    begin, end = 4400.0, 48000.0
    lines = ["time_s,mK,power_W"]
    for t in range(0, 56000, 40):
        noise, power = 0.015, 80.0
        if t < 4000:
            x = -40.0 + 0.04 * (4000 - t)
        elif t < begin:
            x = -40.0 + 40.0 * (t - 4000) / 400
        elif t < end:
            x = -0.2 * ((end - begin) / max(end - t, 200.0) - 1.0)
        else:
            x, noise, power = -45.0 - 2000.0 * (1.0 - math.exp(-(t - end) / 2000.0)), 2.0, 82.0
        lines.append(f"{t},{x + draw.gauss(0, noise):.4f},{power + draw.gauss(0, 0.3):.2f}")
    (CELLS / "zinc-freeze.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_oscillation():
    """The furnace by 0.5 K with a period of 40 min; the cell follows by 4e-4, 300 s later."""
    draw = random.Random("a furnace that oscillates")
    omega = 2 * math.pi / 2400
    lines = ["time_s,cell_mK,furnace_mK"]
    for t in range(0, 14400, 40):
        cell = 0.2 * math.cos(omega * (t - 300)) + draw.gauss(0, 0.02)
        furnace = -2000.0 + 500.0 * math.cos(omega * t) + draw.gauss(0, 1.0)
        lines.append(f"{t},{cell:.4f},{furnace:.2f}")
    (CELLS / "zinc-furnace.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_melt():
    """Gallium: steady heating, 1 mK/s before and after, Raoult's curve for 10 uK in all, 40 h."""
    draw = random.Random("a melt of gallium")
    begin, end = 2000.0, 146000.0
    lines = ["time_s,mK"]
    for t in range(0, 148000, 200):
        part = min(max((t - begin) / (end - begin), 0.0), 1.0)
        x = -0.01 * (1.0 / max(part, 0.02) - 1.0) + min(0.0, 1.0 * (t - begin)) + max(0.0, 1.0 * (t - end))
        lines.append(f"{t},{x + draw.gauss(0, 0.006):.4f}")
    (CELLS / "gallium-melt.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_comparisons()
    write_freeze()
    write_oscillation()
    write_melt()
