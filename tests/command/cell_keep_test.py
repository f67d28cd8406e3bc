#!/usr/bin/python3
"""`firn cell keep`: melting, growing, insertions, looks, age, advice.

Melting: the heat through water and glass is integrated here numerically (quasi-steady, CRC and IAPWS
figures as in data/materials.csv). Growing: inwards, quasi-steady; published: a cell frozen wholly in
about a month in an ice bath (INTI/ICAITI), for which R = 30 mm to r = 7 mm give 29.3 d. Age: CCT
Guide, sec. 2.2 (2018), 6.2.
"""
import math
import os
import re
import sys

from scipy import integrate

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

CELLS = os.path.join(HERE, "..", "..", "examples", "cells")
DAY = 86400
LATENT, RHO, K_ICE, K_WATER, K_GLASS = 333444.87, 916.709492, 2.14, 0.555673, 1.1
LEAST = 3e-3

# Mantle 7.25 to 15.5 mm of radius, 200 mm long; envelope 27.5 to 30 mm; a film of next to nothing.
CELL = """kind: cell
cell:
  point: H2O
  well: {{material: borosilicate, bore_mm: 12, wall_mm: 1.25}}
  level_mm: 200
  envelope: {{material: borosilicate, bore_mm: 55, wall_mm: 2.5}}
surroundings: {{kept_in: bath, offset_mK: {offset}, film_W_per_m2K: 100000{more}}}
mantle:
  way: {way}
  frozen: 2031-02-01T00:00:00Z
  ice_mm: {{value: 8.25, u: 0.5}}
{rest}"""
RINGS = (7.25e-3, 15.5e-3, 27.5e-3, 30e-3)


def cell(offset, more="", rest="", way="heat pipe"):
    return CELL.format(offset=offset, more=more, rest=rest, way=way)


def kept(where, text, status, tap):
    run = firn("cell", "keep", "--json", write(where, "cell.yaml", text))
    tap.status(run, status)
    return run.json()


def flow(r, offset):
    """W/m into a mantle of this radius."""
    film = 1 / (2 * math.pi * RINGS[3] * 1e5)
    return offset / (math.log(RINGS[2] / r) / (2 * math.pi * K_WATER)
                     + math.log(RINGS[3] / RINGS[2]) / (2 * math.pi * K_GLASS) + film)


def life(offset, start=RINGS[1], end=RINGS[0] + LEAST):
    area, _ = integrate.quad(lambda r: 2 * math.pi * r / flow(r, offset), end, start)
    return RHO * LATENT * area


def melting(tap, where):
    for offset, published in ((1, 540), (5, 108), (10, 54.0), (100, 5.4)):
        with tap.case(f"{offset} mK above: life by an integral"):
            found = kept(where, cell(offset), 0, tap)
            tap.equal("course", found["course"], "melts")
            want = life(offset * 1e-3)
            tap.near("left/s", found["left_s"]["value"], want, 1e-9 * want)
            # to the well's wall, as published: what is thinner than 3 mm counts for nothing here
            whole = life(offset * 1e-3, end=RINGS[0])
            tap.near("published/d", whole / DAY, published, 0.01 * published)
            power = flow(RINGS[1], offset * 1e-3) * 0.2
            tap.near("W", found["power_W"]["value"], power, 1e-9 * power)
            tap.near("kg/d", found["ice_per_day_kg"], power * DAY / LATENT, 1e-9)
    with tap.case("1.131 mW at 1 mK, 0.293 g a day"):
        found = kept(where, cell(1), 0, tap)
        tap.near("mW", 1e3 * found["power_W"]["value"], 1.131, 0.002)
        tap.near("g", 1e3 * found["ice_per_day_kg"], 0.293, 0.001)
    with tap.case("places of the bath, and all cells in it"):
        found = kept(where, cell(5, ", spread_mK: 2, cells: 3"), 0, tap)
        tap.near("warmest", found["left_at_warmest_s"]["value"], life(6e-3), 1e-9 * life(6e-3))
        tap.near("coldest", found["left_at_coldest_s"]["value"], life(4e-3), 1e-9 * life(4e-3))
        tap.near("bath", found["bath_W"], 3 * flow(RINGS[1], 5e-3) * 0.2, 1e-9)
        tap.near("u of the offset", found["offset_K"]["u"], 2e-3 / math.sqrt(12), 1e-12)


def growing(tap, where):
    with tap.case("a month to freeze through in an ice bath"):
        text = (cell(-10, rest="  at: 2031-02-01T00:00:00Z\n")
                .replace("wall_mm: 1.25", "wall_mm: 1").replace("bore_mm: 55, wall_mm: 2.5",
                                                                "bore_mm: 60, wall_mm: 0.001")
                .replace("{value: 8.25, u: 0.5}", "0.001"))
        found = kept(where, text, 0, tap)
        tap.equal("course", found["course"], "grows")
        # the film of 1e5 W/(m2 K) adds rho L pi (R^2 - r^2) R'/dT
        film = (RHO * LATENT * math.pi * (30e-3 ** 2 - 7e-3 ** 2)
                / (2 * math.pi * 30e-3 * 1e5) / 0.010 / DAY)
        tap.near("days", found["left_s"]["value"] / DAY - film, 29.277, 0.01)
        # slab, 10 mK: 3.5 mm in a day
        tap.near("at most", 1e3 * found["growth_day_at_most_m"], 3.5, 0.05)
    for mK, day in ((-2, 1.6), (-3, 1.9)):
        with tap.case(f"{-mK} mK below: {day} mm in a day"):
            found = kept(where, cell(mK), 0, tap)
            tap.near("mm", 1e3 * found["growth_day_at_most_m"], day, 0.05)
            tap.true("less with glass", 0 < found["growth_day_m"] < found["growth_day_at_most_m"],
                     str(found["growth_day_m"]))
    with tap.case("wet ice: the forecast says that ice grows, and warns of a bridge"):
        run = firn("cell", "keep", os.path.join(CELLS, "wet-ice.yaml"))
        tap.status(run, 1)
        first = run.out.index("WARNING")
        tap.true("first", first < run.out.index("what "), run.out)
        tap.true("grows", "so ice grows" in run.out and "bridge" in run.out, run.out)
        tap.true("seen", "saw ice across the surface" in run.out.replace("\n         ", " "), run.out)
    with tap.case("at the cell's own temperature nothing happens"):
        found = kept(where, cell(0), 0, tap)
        tap.equal("course", found["course"], "stays")
        tap.equal("ends", found["ends"], False)


def looks_at(offset, days, factor=1.0, u=0.4):
    """Lines of looks at a mantle that melts `factor` times as fast."""
    lines = []
    for day in days:
        low, high = RINGS[0] + 1e-6, RINGS[1]
        for _ in range(80):
            r = (low + high) / 2
            if life(offset, end=r) > factor * day * DAY:
                low = r
            else:
                high = r
        lines.append(f"    - {{time: 2031-02-{1 + day:02d}T00:00:00Z, ice_mm: "
                     f"{{value: {1e3 * (r - RINGS[0]):.6f}, u: {u}}}}}\n")
    return "  looks:\n" + "".join(lines)


def learning(tap, where):
    with tap.case("the interval narrows as looks come in"):
        text = cell("{value: 10, u: 3}", rest="  at: 2031-02-22T00:00:00Z\n")
        width = math.inf
        for days in ((), (7,), (7, 14), (7, 14, 21)):
            looks = looks_at(0.010, days) if days else ""
            found = kept(where, text + looks, 0, tap)
            left = found["left_s"]
            tap.true(f"{len(days)} looks", left["low"] < left["value"] < (left["high"] or math.inf),
                     str(left))
            new = (left["high"] or math.inf) - left["low"]
            tap.true("narrower", new < width or new == math.inf == width, f"{new} {width}")
            width = new
            tap.equal("used", found["looks_used"], len(days))
    with tap.case("a mantle that melts faster than computed is found out"):
        text = cell("{value: 10, u: 3}", rest="  at: 2031-02-22T00:00:00Z\n")
        found = kept(where, text + looks_at(0.010, (5, 10, 15, 21), 1.5, 0.1), 0, tap)
        rate = found["rate"]
        tap.near("rate", rate["value"], 1.5, 2 * rate["u"] + 0.1)
        truth = (life(0.010) - 1.5 * 21 * DAY) / 1.5
        left = found["left_s"]
        tap.true("truth within the interval", left["low"] < truth < left["high"], f"{truth} {left}")
    with tap.case("a forecast to be drawn: falling, within its bounds"):
        found = kept(where, cell(10), 0, tap)
        points = found["forecast"]
        tap.true("points", len(points) > 20)
        tap.true("falls", all(a["ice_m"] >= b["ice_m"] for a, b in zip(points, points[1:])))
        tap.true("bounds", all(p["low_m"] <= p["ice_m"] <= p["high_m"] for p in points))


def insertions(tap, where):
    with tap.case("20 J/K from 20 K away: 1.2 g, and the life that they are worth"):
        rest = ("  insertions:\n    - {time: 2031-02-02T00:00:00Z, from_C: 20.01, "
                "heat_capacity_J_per_K: 20}\n  at: 2031-02-03T00:00:00Z\n")
        found = kept(where, cell(10, rest=rest), 0, tap)
        cost = found["insertions"][0]
        tap.near("g", 1e3 * cost["ice_kg"]["value"], 400e3 / LATENT, 1e-9)
        r = math.sqrt(RINGS[1] ** 2 - cost["ice_kg"]["value"] / (math.pi * 0.2 * RHO))
        want = life(0.010, end=r)
        tap.near("s", cost["lost_s"], want, 1e-6 * want)
        tap.near("left", found["left_s"]["value"], life(0.010) - want - 2 * DAY, 1e-6 * want)
    with tap.case("the thermometer of the file stands for one that is not described"):
        run = firn("cell", "keep", "--json", os.path.join(CELLS, "large-life.yaml"))
        tap.status(run, 0)
        costs = run.json()["insertions"]
        tap.equal("insertions", len(costs), 3)
        tap.near("as 20.99 to 0.99", costs[2]["ice_kg"]["value"] / costs[0]["ice_kg"]["value"],
                 20.99 / 0.99, 1e-9)


def age(tap, where):
    for day, slow, fast in ((0, 0.2, 1.0), (7, 0.0308, 0.0308), (30, 0.010, 0.010)):
        with tap.case(f"age {day} d"):
            date = f"2031-{'02' if day < 28 else '03'}-{1 + day if day < 28 else day - 27:02d}"
            at = f"  at: {date}T00:00:00Z\n"
            for way, want in (("heat pipe", slow), ("cold gas", fast)):
                found = kept(where, cell(1, rest=at, way=way), 0, tap)
                tap.near(way, 1e3 * found["age_bound_K"], want, 1e-4)
                tap.near("u", found["age_u_K"], found["age_bound_K"] / math.sqrt(3), 1e-12)
    with tap.case("not before it is old enough"):
        run = firn("cell", "keep", write(where, "young.yaml", cell(1) + "wanted: {u_mK: 0.05}\n"))
        # 0.2 mK exp(-t/3.74 d)/sqrt(3) = 0.05/3 mK after 7.23 d
        tap.true("until", re.search(r"Wait until 2031-02-08", run.out), run.out)


def to_do(tap, where):
    spent = cell(10, rest="  looks: [{time: 2031-02-02T00:00:00Z, ice_mm: 2}]\n")
    for name, text, words in (
            ("a thin mantle", spent, "make it anew"),
            ("a mantle that sticks", cell(1, rest="  looks: [{time: 2031-02-02T00:00:00Z, free: "
                                                  "false}]\n"), "not free"),
            ("past its end", cell(100, rest="  at: 2031-03-01T00:00:00Z\n"), "spent already"),
            ("not sure to last", cell("{value: 10, u: 3}") + "wanted: {days: 60}\n", "sure of")):
        with tap.case(f"to be done: {name}"):
            found = kept(where, text, 1, tap)
            tap.equal("needs_action", found["needs_action"], True)
            tap.true(words, any(words in w for w in found["warnings"]), str(found["warnings"]))


REFUSED = [
    ("no mantle", "mantle:", "wanted: {days: 3}\nmantles:", "mantle"),
    ("no thickness", "  ice_mm: {value: 8.25, u: 0.5}\n", "", "ice_mm"),
    ("no surroundings", "kept_in: bath, ", "", "kept_in"),
    ("no offset", "offset_mK: 10, ", "", "offset_mK"),
    ("no envelope", "  envelope: {material: borosilicate, bore_mm: 55, wall_mm: 2.5}\n", "",
     "envelope"),
    ("too thick", "value: 8.25", "value: 21", "does not fit"),
    ("a look too thick", "  ice_mm: {value: 8.25, u: 0.5}\n",
     "  ice_mm: 8\n  looks: [{time: 2031-02-02T00:00:00Z, ice_mm: 21}]\n", "does not fit"),
    ("an insertion of nothing known", "  ice_mm: {value: 8.25, u: 0.5}\n",
     "  ice_mm: 8\n  insertions: [{time: 2031-02-02T00:00:00Z, from_C: 20}]\n",
     "heat_capacity_J_per_K"),
]


def refused(tap, where):
    for name, old, new, word in REFUSED:
        with tap.case(f"refused: {name}"):
            text = cell(10)
            tap.equal("the place stands once", text.count(old), 1)
            run = firn("cell", "keep", "--json", write(where, "bad.yaml", text.replace(old, new)))
            tap.status(run, 2)
            tap.equal("nothing printed", run.out, "")
            tap.true(word, any(word in m["text"] and m["line"] > 0 for m in run.messages()), run.err)


def main():
    tap = Tap()
    with folder() as where:
        for group in (melting, growing, learning, insertions, age, to_do, refused):
            group(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
