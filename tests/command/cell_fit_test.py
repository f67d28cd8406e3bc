#!/usr/bin/python3
"""`firn cell fit`: the examples, against the same physics by another route.

The other route solves the two coupled fins as a boundary value problem by finite differences
(NumPy), with figures for the materials written down here a second time: conductivities of fused
silica 1.38 (from memory), platinum 71.6 (Incropera, Table A.1), air 0.02416 + 0.01 of the step to
20 degC (Perry, 0.02561), water 0.555673 (IAPWS SR6-08), borosilicate 1.1 W/(m K) (properties of
solids at 288 K). The published figure: one thermometer of 20 J/K that enters 20 K too warm melts 1.2 g.
"""
import math
import os
import sys

import numpy as np
import yaml

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

CELLS = os.path.join(HERE, "..", "..", "examples", "cells")
LATENT = 333444.87  # J/kg, IAPWS
K_AIR = 0.02416 + 0.01 / 20 * (0.02561 - 0.02416)
K = {"fused silica": 1.38, "platinum": 71.6, "air": K_AIR, "water": 0.555673, "borosilicate": 1.1}


def example(name):
    with open(os.path.join(CELLS, name + ".yaml"), encoding="utf-8") as file:
        return file.read()


def number(x):
    return float(x["value"] if isinstance(x, dict) else x)


def shell(r1, r2, k):
    return math.log(r2 / r1) / (2 * math.pi * k)


def by_differences(cell, n=40000):
    """Mean of the wires over the element, for 1 at the surface and 0 in the medium."""
    t, c, f = cell["thermometer"], cell["cell"], cell["contact"]
    ro, ri = (number(t["sheath"][k]) / 2e3 for k in ("outer_mm", "inner_mm"))
    wires = t["leads"]["count"] * math.pi / 4 * (number(t["leads"]["diameter_mm"]) / 1e3) ** 2
    bore, wall = number(c["well"]["bore_mm"]) / 2e3, number(c["well"]["wall_mm"]) / 1e3
    film = number(f.get("melted_mm", 0)) / 1e3
    ki = wires * K["platinum"] + (math.pi * ri ** 2 - wires) * K["air"]
    ks = math.pi * (ro ** 2 - ri ** 2) * K["fused silica"]
    gap = shell(number(t["leads"]["circle_mm"]) / 2e3, ri, K["air"])
    out = (shell(ro, bore, K["water"]) + shell(bore, bore + wall, K["borosilicate"])
           + shell(bore + wall, bore + wall + film, K["water"]))
    depth = (number(c["level_mm"]) - number(f.get("pad_mm", 0))) / 1e3
    h = depth / n
    # central differences, the tip insulated; unknowns (inside, sheath) at h, 2h, ... depth
    main = np.zeros((n, 2, 2))
    main[:] = [[-2 * ki / h ** 2 - 1 / gap, 1 / gap], [1 / gap, -2 * ks / h ** 2 - 1 / gap - 1 / out]]
    off = np.diag([ki, ks]) / h ** 2
    rhs = np.zeros((n, 2))
    rhs[0] = -off @ [1, 1]
    low = np.repeat(off[None], n, 0)
    low[-1] *= 2  # a mirror beyond the tip
    c_, d_ = np.zeros((n, 2, 2)), np.zeros((n, 2))
    inv = np.linalg.inv(main[0])
    c_[0], d_[0] = inv @ off, inv @ rhs[0]
    for i in range(1, n):
        inv = np.linalg.inv(main[i] - low[i] @ c_[i - 1])
        c_[i], d_[i] = inv @ off, inv @ (rhs[i] - low[i] @ d_[i - 1])
    x = np.zeros((n, 2))
    x[-1] = d_[-1]
    for i in range(n - 2, -1, -1):
        x[i] = d_[i] - c_[i] @ x[i + 1]
    up = depth - h * np.arange(1, n + 1)  # above the tip
    tip, length = number(t["element"]["from_tip_mm"]) / 1e3, number(t["element"]["length_mm"]) / 1e3
    grid = np.linspace(tip, tip + length, 20001)
    return np.mean(np.interp(grid, up[::-1], x[::-1, 0]))


def the_examples(tap):
    for name, status, verdict in (("fits", 0, "fits"), ("does-not-fit", 1, "unfit")):
        cell = yaml.safe_load(example(name))
        run = firn("cell", "fit", "--json", os.path.join(CELLS, name + ".yaml"))
        with tap.case(f"{name}: {verdict}"):
            tap.status(run, status)
            found = run.json()["as_stated"]
            tap.equal("verdict", found["verdict"], verdict)
            want = by_differences(cell) * (number(cell["surroundings"]["ambient_C"]) - 0.01)
            got = found["error_K"]["value"]
            # 40000 steps: second order, (h/l)^2/12 at a decay length l of 2 mm, times depth/l
            tap.near("error/K", got, want, 5e-4 * abs(want))
            # the grid knows the tip, the fluid below it and heat along fluid and glass
            grid = found["by_grid_K"]
            tap.near("by the grid", grid["value"], got, 0.2 * got + 1e-9)
            tap.true("its own error is small", 0 <= grid["error"] < 0.02 * grid["value"] + 1e-9,
                     str(grid))
            times = found["settled_by_grid_s"]
            tap.near("time by the grid", times["value"], found["settled_s"]["value"],
                     0.4 * found["settled_s"]["value"])
            tap.true("its error", 0 <= times["error"] < 0.03 * times["value"], str(times))
            larger = max(abs(got), abs(grid["value"]) + grid["error"])
            term = math.hypot(larger / math.sqrt(3), found["error_K"]["u"])
            tap.near("term/K", found["term_K"], term, 1e-12 * term)
            tap.equal("term against what is wanted", found["term_K"] > 50e-6, status == 1)
    with tap.case("unfit: the number and what would do stand in the text"):
        run = firn("cell", "fit", os.path.join(CELLS, "does-not-fit.yaml"))
        first = run.out.split("\n\n")[1].replace("\n    ", " ")
        for words in ("Unfit", "mK", "mm below the surface"):
            tap.true(words, words in first, first)
        best = firn("cell", "fit", "--json",
                    os.path.join(CELLS, "does-not-fit.yaml")).json()["alternatives"][0]
        tap.equal("what helps most", best["verdict"], "fits")
        tap.true("a larger cell", "265 mm" in best["name"], best["name"])


def limits_of_the_model(tap, where):
    with tap.case("zinc: no verdict, and the text says why"):
        run = firn("cell", "fit", os.path.join(CELLS, "zinc.yaml"))
        tap.status(run, 0)
        tap.true("No verdict", "No verdict" in run.out, run.out)
        tap.true("radiation", "radiation" in run.out, run.out)
    with tap.case("an ice bath, and what is known from practice"):
        run = firn("cell", "fit", os.path.join(CELLS, "ice-bath.yaml"))
        tap.status(run, 0)
        tap.true("practice", "100 mm" in run.out, run.out)
    with tap.case("20 J/K from 20 K away melt 1.2 g"):
        text = example("fits").replace("from_C: 1}", "from_C: 20.01}").replace(
            "  filling: air", "  filling: air\n  heat_capacity_J_per_K: 20")
        found = firn("cell", "fit", "--json", write(where, "heat.yaml", text)).json()["as_stated"]
        tap.near("J", found["brought_J"]["value"], 400, 1e-9)
        tap.near("g", 1e3 * found["melted_kg"]["value"], 400e3 / LATENT, 1e-9)
        tap.near("published", 1e3 * found["melted_kg"]["value"], 1.2, 0.05)
    with tap.case("a sheath as wide as the well goes in nowhere"):
        text = example("does-not-fit").replace("bore_mm: {value: 9, u: 0.1}", "bore_mm: 7.5")
        run = firn("cell", "fit", "--json", write(where, "wide.yaml", text))
        tap.status(run, 1)
        tap.equal("verdict", run.json()["as_stated"]["verdict"], "unfit")
        tap.true("why", "as wide as the well" in run.json()["as_stated"]["why_not"], run.out)
    with tap.case("an element that sticks out of the water"):
        text = example("does-not-fit").replace("level_mm: {value: 80, u: 1}", "level_mm: 45")
        run = firn("cell", "fit", "--json", write(where, "out.yaml", text))
        tap.status(run, 1)
        tap.true("why", "below the surface" in run.json()["as_stated"]["why_not"], run.out)


def fitted_times(tap, where):
    """A recorded course of 80 s and 0.9 of the first difference: t = 80 ln(0.9 from/within)."""
    with tap.case("times from the laboratory's own insertions"):
        rows = [[m, 1e3 * 0.9 * 2.0 * math.exp(-60 * m / 80)] for m in range(2, 12)]
        text = example("fits") + f"settling:\n  - {{from_C: 2.01, readings: {rows}}}\n"
        found = firn("cell", "fit", "--json", write(where, "own.yaml", text)).json()
        tap.equal("fitted", found["times_fitted"], True)
        tap.near("constant", found["as_stated"]["time_constant_s"]["value"], 80, 1e-9)
        tap.near("settled", found["as_stated"]["settled_s"]["value"],
                 80 * math.log(0.9 * 0.99 / 1e-5), 1e-6)


MISSING = [
    ("surroundings: {ambient_C: {value: 21, u: 1}}\n", "ambient_C"),
    ("contact: {fluid: water, pad_mm: 5, melted_mm: {value: 0.5, u: 0.2}}\n", "contact"),
]


def what_is_missing(tap, where):
    for line, word in MISSING:
        with tap.case(f"without {word}"):
            run = firn("cell", "fit", "--json",
                       write(where, "less.yaml", example("fits").replace(line, "")))
            tap.status(run, 2)
            tap.equal("nothing printed", run.out, "")
            tap.true("named", any(word in m["text"] and m["line"] > 0 for m in run.messages()),
                     run.err)
    with tap.case("without a thermometer"):
        text = example("fits")
        start, end = text.index("thermometer:"), text.index("cell:\n")
        run = firn("cell", "fit", write(where, "none.yaml", text[:start] + text[end:]))
        tap.status(run, 2)
        tap.true("named", "add thermometer" in run.err, run.err)
    with tap.case("copper above its figures"):
        text = example("zinc").replace("material: platinum", "material: copper")
        run = firn("cell", "fit", write(where, "copper.yaml", text))
        tap.status(run, 2)
        tap.true("named", "copper" in run.err and "419.5" in run.err, run.err)
    with tap.case("--svg where nothing is drawn"):
        run = firn("cell", "fit", "--svg", "x.svg", os.path.join(CELLS, "fits.yaml"))
        tap.status(run, 2)
        tap.true("said", "draws nothing" in run.err, run.err)


def main():
    tap = Tap()
    the_examples(tap)
    with folder() as where:
        limits_of_the_model(tap, where)
        fitted_times(tap, where)
        what_is_missing(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
