#!/usr/bin/python3
"""Pictures of `firn cell keep` and `profile`: the forecast with its looks, the profile with its head."""
import os
import re
import sys
import xml.etree.ElementTree

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

LIFE = os.path.join(HERE, "..", "..", "examples", "cells", "large-life.yaml")
SVG = "{http://www.w3.org/2000/svg}"
PROFILE = """kind: cell
cell:
  id: W-2
  point: H2O
  well: {material: borosilicate, bore_mm: 12, wall_mm: 1.25, depth_mm: 380}
  level_mm: 265
profile:
  u_uK: 2
  zone_mm: 30
  readings: [%s]
"""


def rows(*values):
    return ", ".join(f"{{height_mm: {h}, mK: {mK}}}" for h, mK in values)


GOOD = rows((0, 0), (10, 0.0075), (20, 0.0142), (30, 0.0228), (60, 0.0512), (80, 0.155))
BAD = rows((0, 0), (10, 0.05), (20, 0.1142), (30, 0.2228))


def picture(where, *arguments):
    svg = os.path.join(where, "picture.svg")
    run = firn("cell", *arguments, "--svg", svg)
    root = xml.etree.ElementTree.parse(svg).getroot()
    texts = [text.text for text in root.iter(SVG + "text")]
    return run, root, texts


def circles(root, fill, stroke):
    """Middles of the round outlines of a kind: x, y."""
    found = []
    for path in root.iter(SVG + "path"):
        if path.get("fill") == fill and path.get("stroke") == stroke and "C" in path.get("d"):
            x, y = map(float, re.match(r"M(\S+?) (\S+?)C", path.get("d")).groups())
            found.append((x - 4, y))
    return found


def the_forecast(tap, where):
    with tap.case("a forecast: days with their interval, each look where it belongs"):
        run, root, texts = picture(where, "keep", LIFE, "--json")
        keep = run.json()
        tap.true("days", any(re.fullmatch(r"\d+ days left, \d+ to \d+ \(k = 2\)", t) for t in texts),
                 str(texts))
        dots = circles(root, "#FBFCFC", "#12242C")[:3]
        # looked at 6.79, 13.79 and 20.77 days after the freeze of 3 February, 14:00; the axis is
        # even, so the middle one lies where the days say
        part = (dots[1][0] - dots[0][0]) / (dots[2][0] - dots[0][0])
        tap.near("looks in time", part, 7 / (7 + 23.5 / 24 + 6), 0.002)
        # 8.2, 7.4 and 6.6 mm from the well: even steps, outwards is up
        tap.near("looks in height", (dots[1][1] - dots[0][1]) / (dots[2][1] - dots[1][1]), 1, 0.01)
        tap.true("ice", "texture-1" in xml.etree.ElementTree.tostring(root, "unicode"))
        tap.true("kind", keep.get("kind") is not None)
    with tap.case("where ice grows, no number of days that means nothing"):
        with open(LIFE, encoding="utf-8") as file:
            text = file.read().replace("offset_mK: {value: 6, u: 1}", "offset_mK: {value: -4, u: 1}")
        _, _, texts = picture(where, "keep", write(where, "grow.yaml", text))
        tap.true("no long numbers", not any(re.search(r"\d{5}", t) for t in texts), str(texts))


def the_profile(tap, where):
    with tap.case("a profile that follows the head, and one that doesn't"):
        for rows_, says, crosses in ((GOOD, "It follows the head", False),
                                     (BAD, "It does not follow the head", True)):
            _, root, texts = picture(where, "profile",
                                     write(where, "profile.yaml", PROFILE % rows_))
            tap.true(says, any(t.startswith(says) for t in texts), str(texts))
            madder = [p for p in root.iter(SVG + "path") if p.get("stroke") == "#9B1B3B"]
            if crosses:
                tap.true("crosses", len(madder) >= 2)
    with tap.case("on paper too"):
        pdf = os.path.join(where, "profile.pdf")
        run = firn("cell", "profile", write(where, "profile.yaml", PROFILE % GOOD), "--pdf", pdf)
        tap.status(run, 0)
        with open(pdf, "rb") as file:
            tap.equal("PDF", file.read(5), b"%PDF-")


def main():
    tap = Tap()
    with folder() as where:
        the_forecast(tap, where)
        the_profile(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
