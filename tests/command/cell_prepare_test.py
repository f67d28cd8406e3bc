#!/usr/bin/python3
"""`firn cell prepare`: ice on nucleation, growth on the well, coolant, cautions, dangers.

Fractions frozen on nucleation: enthalpies of IAPWS-95 and IAPWS-06 at 101325 Pa (0.1 MPa and the
triple-point pressure differ by 2e-5 of them). Times: the quasi-steady cylinder, integrated here
numerically. Dry ice 571 kJ/kg (general reference page), nitrogen 198.8 kJ/kg (CRC Handbook).
"""
import math
import os
import sys

from scipy import integrate

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

CELLS = os.path.join(HERE, "..", "..", "examples", "cells")
LATENT, RHO = 333444.87, 916.709492  # IAPWS
BORE, WALL, K_GLASS, LEVEL = 6e-3, 1.25e-3, 1.1, 0.265
FRACTIONS = {1: 0.012660, 2: 0.025331, 3: 0.038015, 5: 0.063422, 5.85: 0.074238, 7: 0.088890,
             8.77: 0.111489, 10: 0.127232, 15: 0.191633}


def example(name):
    with open(os.path.join(CELLS, name + ".yaml"), encoding="utf-8") as file:
        return file.read()


def prepared(where, text, status=0, tap=None):
    run = firn("cell", "prepare", "--json", write(where, "cell.yaml", text))
    if tap is not None:
        tap.status(run, status)
    return run.json()


def nucleation(tap, where):
    for below, want in FRACTIONS.items():
        with tap.case(f"supercooled by {below} K"):
            text = example("nucleate").replace("{value: 6, u: 0.3}", str(below))
            bare = prepared(where, text.replace("  glass_g: 70\n", ""), tap=tap)
            tap.near("fraction", bare["frozen_fraction"]["value"], want, 5e-5)
            glass = prepared(where, text)
            more = 0.070 * 840 * below / (glass["water_kg"] * LATENT)
            tap.near("with the glass", glass["frozen_fraction"]["value"], want + more, 5e-5)
    with tap.case("450 g of water in 350 g of glass, 5 K: 0.0732"):
        text = (example("nucleate").replace("glass_g: 70", "glass_g: 350\n  water_g: 450")
                .replace("{value: 6, u: 0.3}", "5"))
        tap.near("fraction", prepared(where, text)["frozen_fraction"]["value"], 0.0732, 1e-4)


def seconds(ice_m, below, h, k):
    """t = rho L/dT times the integral of 2 pi r (ln(r/r0)/(2 pi k) + R') dr."""
    r0 = BORE + WALL
    series = math.log(r0 / BORE) / (2 * math.pi * K_GLASS) + 1 / (2 * math.pi * BORE * h)
    area, _ = integrate.quad(
        lambda r: 2 * math.pi * r * (math.log(r / r0) / (2 * math.pi * k) + series), r0, r0 + ice_m)
    return RHO * LATENT / below * area


RECORD = "  record: [[10, 3.1], [20, 5.6], [30, 7.4], [40, 9.2]]\n"


def growth(tap, where):
    # k of ice at -30 degC and below is that of -20 degC: 2.4 (CRC Handbook)
    with tap.case("a stated contact of 35 W/(m2 K): 8 mm in half an hour, as practice has it"):
        text = example("freeze").replace(RECORD, "  contact_W_per_m2K: {value: 35, u: 5}\n")
        found = prepared(where, text, tap=tap)
        want = seconds(8e-3, 78.51, 35, 2.4)
        tap.near("s", found["time_s"]["value"], want, 1e-6 * want)
        tap.near("half an hour", found["time_s"]["value"] / 60, 30, 2)
        step = 1e-3
        slope = (seconds(8e-3, 78.51, 35 + step, 2.4) - seconds(8e-3, 78.51, 35 - step, 2.4)) / 2 / step
        tap.true("u holds that of the contact", found["time_s"]["u"] > abs(slope) * 5,
                 str(found["time_s"]))
        mass = RHO * math.pi * LEVEL * ((7.25e-3 + 8e-3) ** 2 - 7.25e-3 ** 2)
        tap.near("kg", found["ice_kg"]["value"], mass, 1e-6 * mass)
        tap.near("J", found["heat_J"]["value"], mass * LATENT, 1e-6 * mass * LATENT)
        tap.near("dry ice", found["dry_ice_kg"], mass * LATENT / 571e3, 1e-9)
        tap.near("speed", found["speed_m_per_s"], 8e-3 / want, 1e-9)
        # ice takes 1/0.9167 of its water's room, in the ring round the well
        rise = mass * (1 / RHO - 1 / 999.79252) / (math.pi * (0.0275 ** 2 - 7.25e-3 ** 2))
        tap.near("rise", found["surface_rise_m"], rise, 1e-9)
    with tap.case("a contact fitted to the record gives times near it"):
        found = prepared(where, example("freeze"), tap=tap)
        tap.equal("contact", found["contact"], "fitted")
        h, u = found["contact_W_per_m2K"]["value"], found["contact_W_per_m2K"]["u"]
        tap.true("u", 0 < u < 0.1 * h, f"{h} {u}")
        rows = [s for s in found["steps"] if s["recorded_s"] is not None]
        tap.equal("rows", len(rows), 4)
        for row in rows:
            tap.near(f"{row['ice_m']}", row["time_s"]["value"], row["recorded_s"],
                     0.15 * row["recorded_s"])
    with tap.case("without a contact, the least time and a word on it"):
        found = prepared(where, example("freeze").replace(RECORD, ""), tap=tap)
        tap.equal("contact", found["contact"], "not known")
        want = seconds(8e-3, 78.51, math.inf, 2.4)
        tap.near("s", found["time_s"]["value"], want, 1e-6 * want)
        tap.true("said", any("least" in r for r in found["reservations"]), str(found))
    with tap.case("rods of copper cooled in nitrogen"):
        text = example("freeze").replace("way: dry ice", "way: cooled rod\n  rod: {material: copper, "
                                         "outer_mm: 10, length_mm: 265}").replace(RECORD, "")
        found = prepared(where, text, tap=tap)
        rod = 8933 * 385 * math.pi * 5e-3 ** 2 * 0.265 * (0.01 + 195.8)
        tap.near("rods", found["rods"], found["heat_J"]["value"] / rod, 1e-9)
        tap.near("nitrogen", found["liquid_nitrogen_kg"], found["heat_J"]["value"] / 198800, 1e-12)


def dangers(tap, where):
    with tap.case("cautions come before everything else"):
        run = firn("cell", "prepare", os.path.join(CELLS, "freeze.yaml"))
        tap.status(run, 0)
        lines = run.out.splitlines()
        tap.true("first", lines[0].startswith("CAUTION  Dry ice"), lines[0])
        last = max(i for i, line in enumerate(lines) if line.startswith("CAUTION"))
        tap.true("before the numbers", last < run.out.split("what ")[0].count("\n"), run.out)
        tap.true("local rules", "Local rules" in run.out, run.out)
    with tap.case("a mantle that reaches the envelope"):
        found = prepared(where, example("freeze").replace("value: 8, u: 0.5", "value: 21, u: 0.5"),
                         1, tap)
        tap.true("warned", any("burst" in w for w in found["warnings"]), str(found["warnings"]))
    with tap.case("a mantle that nearly does"):
        found = prepared(where, example("freeze").replace("value: 8, u: 0.5", "value: 18, u: 0.5"),
                         1, tap)
        tap.true("warned", any("bridge" in w for w in found["warnings"]), str(found["warnings"]))


REFUSED = [
    ("no preparation", ("preparation:", "wanted: {u_mK: 1}\npreparations:"), "preparation"),
    ("a heat pipe without a temperature", ("way: dry ice", "way: heat pipe"), "coolant_C"),
    ("a coolant that is not cold", ("way: dry ice", "way: dry ice\n  coolant_C: 5"), "colder"),
    ("no thickness", ("  ice_mm: {value: 8, u: 0.5}\n", ""), "ice_mm"),
    ("a record too fast to be true", ("[10, 3.1]", "[0.1, 3.1]"), "faster"),
    ("zinc", ("point: H2O", "point: Zn"), "water cell"),
    ("no envelope", ("  envelope: {material: borosilicate, bore_mm: 55, wall_mm: 2.5}\n", ""),
     "water_g"),
    ("a rod for dry ice", ("way: dry ice", "way: dry ice\n  rod: {material: copper}"), "cooled rod"),
]


def refused(tap, where):
    for name, (old, new), word in REFUSED:
        with tap.case(f"refused: {name}"):
            text = example("freeze")
            tap.equal("the place stands once", text.count(old), 1)
            text = text.replace(old, new)
            if word == "faster":
                text = text.replace(", [20, 5.6], [30, 7.4], [40, 9.2]", "")
            run = firn("cell", "prepare", "--json", write(where, "bad.yaml", text))
            tap.status(run, 2)
            tap.equal("nothing printed", run.out, "")
            tap.true(word, any(word in m["text"] for m in run.messages()), run.err)


def main():
    tap = Tap()
    with folder() as where:
        nucleation(tap, where)
        growth(tap, where)
        dangers(tap, where)
        refused(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
