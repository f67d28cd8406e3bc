#!/usr/bin/python3
"""The schemas of `firn cell`: every example and result, the program's keys, and where ranges end."""
import glob
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
sys.path.insert(0, HERE)
from firn_run import Tap, firn, folder, write  # noqa: E402
from schema_test import (CELL, GUIDE, NO_KEY, TOP, as_json, faults,  # noqa: E402
                         property_names, schema, strict, validator_of)

EXAMPLES = sorted(glob.glob(os.path.join(TOP, "examples", "cells", "*.yaml")))
RESULTS = {"fit": "cell fit result", "prepare": "cell preparation result", "check": "cell check result",
           "profile": "cell profile result", "plateau": "cell plateau result",
           "keep": "cell keeping result"}
TEXT = """kind: cell
thermometer:
  nominal_ohm: 25.5
  currents_mA: [1]
  sheath: {material: fused silica, outer_mm: 7.5, inner_mm: 5.5}
  leads: {material: platinum, count: 4, diameter_mm: 0.3}
  element: {length_mm: 40, from_tip_mm: 5}
cell:
  point: H2O
  well: {material: borosilicate, bore_mm: 12, wall_mm: 1.25}
  level_mm: 265
  below_mm: 10
  envelope: {material: borosilicate, bore_mm: 55, wall_mm: 2.5}
  water_g: 600
  isotopes: {dD: -0.0583, d18O: -0.0081}
contact:
  fluid: water
  pad_mm: 5
  melted_mm: 0.5
  bushing: {material: aluminium, outer_mm: 11, inner_mm: 8}
surroundings: {ambient_C: 21, cover_mm: 50, kept_in: bath, offset_mK: 6, spread_mK: 2, cells: 3}
mantle:
  way: dry ice
  frozen: 2031-02-20T09:00:00Z
  ice_mm: 9
  looks: [{time: 2031-02-27T09:00:00Z, ice_mm: 8, free: true}]
  insertions: [{time: 2031-03-02T09:00:00Z, from_C: 1, heat_capacity_J_per_K: 9}]
wanted: {u_mK: 0.05, within_uK: 10, days: 30}
preparation:
  way: cooled rod
  ice_mm: 8
  contact_W_per_m2K: 35
  rod: {material: copper, outer_mm: 10, length_mm: 200}
settling: [{from_C: 1, readings: [[5, 12]]}]
"""
# Text before which an unknown key goes, and the way to the keys of the schema.
PLACES = [
    ("thermometer:", []), ("nominal_ohm", ["thermometer"]), ("material: fused", ["thermometer", "sheath"]),
    ("material: platinum", ["thermometer", "leads"]), ("length_mm: 40", ["thermometer", "element"]),
    ("point: H2O", ["cell"]), ("material: borosilicate, bore_mm: 12", ["cell", "well"]),
    ("material: borosilicate, bore_mm: 55", ["cell", "envelope"]), ("dD:", ["cell", "isotopes"]),
    ("fluid:", ["contact"]), ("material: aluminium", ["contact", "bushing"]),
    ("ambient_C", ["surroundings"]), ("frozen:", ["mantle"]), ("time: 2031-02-27", ["mantle", "looks", "[]"]),
    ("time: 2031-03-02", ["mantle", "insertions", "[]"]), ("u_mK", ["wanted"]),
    ("contact_W", ["preparation"]), ("material: copper", ["preparation", "rod"]),
    ("from_C: 1, readings", ["settling", "[]"]),
]
# A number at the end of its range, which both take, and one beyond it, which both refuse.
ENDS = [
    ("nominal_ohm: 25.5", "nominal_ohm: {}", 100000, 100001), ("outer_mm: 7.5", "outer_mm: {}", 3000, 3001),
    ("currents_mA: [1]", "currents_mA: [{}]", 100, 101), ("from_tip_mm: 5", "from_tip_mm: {}", 0, -1),
    ("below_mm: 10", "below_mm: {}", 500, 501), ("water_g: 600", "water_g: {}", 100000, 100001),
    ("dD: -0.0583", "dD: {}", -0.5, -0.51), ("d18O: -0.0081", "d18O: {}", 0.1, 0.11),
    ("pad_mm: 5", "pad_mm: {}", 200, 201), ("melted_mm: 0.5", "melted_mm: {}", 20, 21),
    ("ambient_C: 21", "ambient_C: {}", 1100, 1101), ("cover_mm: 50", "cover_mm: {}", 2000, 2001),
    ("offset_mK: 6", "offset_mK: {}", -20000, -20001), ("spread_mK: 2", "spread_mK: {}", 1000, 1001),
    ("cells: 3", "cells: {}", 1000, 1001), ("ice_mm: 9", "ice_mm: {}", 100, 101),
    ("heat_capacity_J_per_K: 9", "heat_capacity_J_per_K: {}", 10000, 10001),
    ("u_mK: 0.05", "u_mK: {}", 10000, 10001), ("within_uK: 10", "within_uK: {}", 1000000, 1000001),
    ("days: 30", "days: {}", 10000, 10001),
    ("contact_W_per_m2K: 35", "contact_W_per_m2K: {}", 100000, 100001),
    ("count: 4", "count: {}", 100, 101), ("u_mK: 0.05", "u_mK: {{value: 1, u: {}}}", 0, -1),
]
WRONG = [
    ("point: H2O", "point: Kr"), ("material: fused silica", "material: steel"), ("fluid: water", "fluid: oil"),
    ("kept_in: bath", "kept_in: fridge"), ("way: dry ice", "way: wet ice"), ("free: true", "free: 1"),
    ("  frozen: 2031-02-20T09:00:00Z\n", ""), ("  level_mm: 265\n", ""), ("dD: -0.0583, ", ""),
    ("[[5, 12]]", "[[5]]"), ("point: H2O", "point: ice"), ("way: cooled rod", "way: supercooling"),
    ("ice_mm: 9", "ice_mm: {u: 1}"), ("u_mK: 0.05", "u_mK: 0"),
]


def go(part, way):
    for step in way:
        part = part["items"] if step == "[]" else part["properties"][step]
    return part


def what_there_is(tap):
    described = validator_of(schema(CELL))
    with tap.case("every example follows the schema"):
        tap.true("examples", len(EXAMPLES) >= 6, str(EXAMPLES))
        for path in EXAMPLES:
            tap.equal(os.path.basename(path), faults(described, as_json(path)), [])
    for verb, kind in RESULTS.items():
        with tap.case(f"every {kind}, with nothing in it that the schema doesn't describe"):
            result = validator_of(strict(schema(kind)))
            found = 0
            for path in EXAMPLES:
                run = firn("cell", verb, "--json", path)
                if run.status in (0, 1):
                    tap.equal(os.path.basename(path), faults(result, run.json()), [])
                    found += 1
            tap.true("results", found >= 2, str(found))


def keys_and_ranges(tap, where):
    described = schema(CELL)
    right = write(where, "right.yaml", TEXT)
    with tap.case("the file that the places are in follows the schema"):
        tap.equal("faults", faults(validator_of(described), as_json(right)), [])
        tap.status(firn("cell", "fit", right), 0)
    for before, way in PLACES:
        with tap.case(f"{'/'.join(way) or 'the whole'}: the program's keys"):
            tap.equal("the place stands once", TEXT.count(before), 1)
            one_line = TEXT.split(before)[0].rsplit("\n", 1)[1].strip() != ""
            indent = " " * (len(TEXT.split(before)[0].rsplit("\n", 1)[1]) if not one_line else 0)
            put = f"{NO_KEY}: 1" + (", " if one_line else "\n" + indent)
            path = write(where, "key.yaml", TEXT.replace(before, put + before))
            known = keys_the_program_knows_of(path)
            tap.true("the program names its keys", known is not None)
            own = set(go(described, way)["properties"])
            tap.equal("not in the schema", sorted((known or set()) - own), [])
            tap.equal("in the schema alone", sorted(own - (known or set())), [])
    for place, form, inside, outside in ENDS:
        with tap.case(f"the range ends at {form.format(inside)}"):
            tap.equal("the place stands once", TEXT.count(place), 1)
            for number, taken in ((inside, True), (outside, False)):
                path = write(where, "end.yaml", TEXT.replace(place, form.format(number)))
                run = firn("cell", "prepare", "--json", path)
                said = [m["text"] for m in (run.messages() if run.err else [])
                        if re.search(rf' is "?{number}"?; ', m["text"])]
                tap.equal(f"the program takes {number}", said == [], taken)
                tap.equal(f"the schema takes {number}",
                          faults(validator_of(described), as_json(path)) == [], taken)
    for place, wrong in WRONG:
        with tap.case(f"both refuse '{wrong or 'nothing'}' for '{place}'".replace("\n", " ")):
            tap.equal("the place stands once", TEXT.count(place), 1)
            path = write(where, "wrong.yaml", TEXT.replace(place, wrong))
            tap.status(firn("cell", "fit", "--json", path), 2)
            tap.true("the schema", faults(validator_of(described), as_json(path)) != [])


def keys_the_program_knows_of(path):
    """As schema_test has it, of firn cell fit."""
    for message in firn("cell", "fit", "--json", path).messages():
        found = re.search(rf'no key "{NO_KEY}"; it can have (.*)$', message["text"])
        if found:
            return set(re.split(r", | or ", found.group(1)))
    return None


def the_guide(tap):
    with tap.case("docs/guide/cell-file.md names every key of the schema, and no other"):
        with open(os.path.join(GUIDE, "cell-file.md"), encoding="utf-8") as file:
            text = file.read()
        own = property_names(schema(CELL), set())
        words = set(re.findall(r"[A-Za-z_][A-Za-z0-9_]*", " ".join(re.findall(r"`([^`\n]+)`", text))))
        tap.equal("not in the guide", sorted(own - words), [])
        first = re.findall(r"^\| (`[^|]*) \|", text, re.M)
        keys = {w for cell in first for w in re.findall(r"`([A-Za-z_]\w*)`", cell)}
        tap.equal("in the guide alone", sorted(keys - own), [])


def main():
    tap = Tap()
    what_there_is(tap)
    with folder() as where:
        keys_and_ranges(tap, where)
    the_guide(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
