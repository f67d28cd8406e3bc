#!/usr/bin/python3
"""`firn cell drawing`: to scale, each effect in it, and the numbers behind it."""
import os
import re
import sys
import xml.etree.ElementTree

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

CELLS = os.path.join(HERE, "..", "..", "examples", "cells")
SVG = "{http://www.w3.org/2000/svg}"


def fits(**changes):
    with open(os.path.join(CELLS, "fits.yaml"), encoding="utf-8") as file:
        text = file.read()
    for old, new in changes.values():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


MANTLE = """
mantle:
  way: heat pipe
  frozen: 2031-03-04T09:00:00Z
  at: 2031-03-14T09:00:00Z
  ice_mm: 8
  looks: [{time: 2031-03-13T09:00:00Z, ice_mm: 7.4}, {time: 2031-03-20T09:00:00Z, ice_mm: 6}]
"""


def outlines(root):
    """Left and right end of each outline, by fill."""
    found = {}
    for path in root.iter(SVG + "path"):
        x = [float(n) for n in re.findall(r"[MLC ](-?[0-9.]+) (-?[0-9.]+)", path.get("d"))
             for n in n[:1]]
        if x:
            found.setdefault(path.get("fill"), []).append((min(x), max(x)))
    return found


def draw(where, text, *options):
    svg = os.path.join(where, "cell.svg")
    run = firn("cell", "drawing", write(where, "cell.yaml", text), "--svg", svg, *options)
    return run, xml.etree.ElementTree.parse(svg).getroot()


def test_numbers(tap, where):
    with tap.case("effects as they follow from the file"):
        run, _ = draw(where, fits() + MANTLE, "--json")
        got = run.json()
        effects = {e["name"]: e for e in got["effects"]}
        tap.equal("names", list(effects), ["stem conduction", "isotopes", "mantle age", "head"])
        # 265 mm of water, 5 mm pad, 5 mm to the element, half of its 40 mm
        tap.near("depth", got["middle_of_element"]["depth_m"], 0.235, 1e-12)
        # ITS-90, Table 2: -0.73 mK/m
        tap.near("head", effects["head"]["value_K"], -0.73e-3 * 0.235, 1e-15)
        tap.near("u of head", effects["head"]["u_K"], 0.73e-3 * 2e-3, 1e-15)
        # MeP-K Technical Annex (2017), sec. 1: A_D = 673 uK, A_18 = 630 uK
        tap.near("isotopes", effects["isotopes"]["value_K"],
                 -673e-6 * 0.0583 - 630e-6 * 0.0081, 1e-8)
        # CCT Guide sec. 2.2 (2018), 6.2: 10 days, 14 uK on the curve of a slow freeze
        tap.near("age", effects["mantle age"]["u_K"], 13.8e-6 / 3 ** 0.5, 0.1e-6)
        tap.near("sum", got["sum"]["value_K"], sum(e["value_K"] for e in effects.values()), 1e-15)
        tap.near("u of the sum", got["sum"]["u_K"],
                 sum(e["u_K"] ** 2 for e in effects.values()) ** 0.5, 1e-9)
    with tap.case("water that was never analysed: 50 uK, u 35 uK (CCT Guide sec. 2.2 (2018), 3)"):
        isotopes = next(line for line in fits().splitlines(True) if "isotopes:" in line)
        run, _ = draw(where, fits(a=(isotopes, "")), "--json")
        got = next(e for e in run.json()["effects"] if e["name"] == "isotopes")
        tap.near("value", got["value_K"], -50e-6, 1e-12)
        tap.near("u", got["u_K"], 35e-6, 1e-12)


def test_scale(tap, where):
    with tap.case("widths are to one scale, the mantle as last looked at before the day asked for"):
        run, root = draw(where, fits() + MANTLE)
        tap.status(run, 0)
        found = outlines(root)
        ice = max(high - low for low, high in found["#AFD8E4"])
        water = max(high - low for low, high in found["#E4EFF1"])
        # bore 55 mm; 12 mm well, twice 1.25 mm of wall, twice 7.4 mm of ice
        tap.near("ice over bore", ice / water, (12 + 2.5 + 14.8) / 55, 0.001)
        texts = [text.text for text in root.iter(SVG + "text")]
        for part in ("ice 7.4 mm, 2031-03-13", "171.5 µK colder, u 1.5 µK", "235", "Isotopes"):
            tap.true(part, any(part in text for text in texts), str(texts))
    with tap.case("without a word of ice none is drawn; what is not stated is said"):
        _, root = draw(where, fits())
        tap.equal("ice", outlines(root).get("#AFD8E4"), None)
        line = next(x for x in fits().splitlines(True) if "envelope:" in x)
        _, root = draw(where, fits(a=(line, "")))
        tap.true("said", any("not stated" in t.text for t in root.iter(SVG + "text")))


def test_files(tap, where):
    with tap.case("every example can be drawn, on paper too"):
        for name in sorted(n for n in os.listdir(CELLS) if n.endswith(".yaml")):
            pdf = os.path.join(where, "cell.pdf")
            run = firn("cell", "drawing", os.path.join(CELLS, name), "--pdf", pdf)
            if run.status == 2:
                tap.true(f"{name} lacks what a drawing needs", "has no thermometer" in run.err, run.err)
                continue
            tap.equal(name, (run.status, run.err), (0, ""))
            with open(pdf, "rb") as file:
                tap.equal("PDF", file.read(5), b"%PDF-")
    with tap.case("what can't be written is said, and nothing is left"):
        path = os.path.join(where, "not", "there.svg")
        run = firn("cell", "drawing", os.path.join(CELLS, "fits.yaml"), "--svg", path)
        tap.status(run, 2)
        tap.equal("stdout", run.out, "")
        tap.true("named", path in run.err, run.err)
    with tap.case("a thermometer too thick for the well can't be drawn there"):
        path = write(where, "cell.yaml", fits(a=("outer_mm: {value: 7.5", "outer_mm: {value: 13")))
        run = firn("cell", "drawing", path)
        tap.status(run, 2)
        tap.true("why", "can't be put there" in run.err, run.err)


def main():
    tap = Tap()
    with folder() as where:
        test_numbers(tap, where)
        test_scale(tap, where)
        test_files(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
