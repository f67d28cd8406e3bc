#!/usr/bin/python3
"""Draws the book's records and states: make_book_picture.py [--check] FIRN [PICTURE]

What is drawn is what `firn book kinds --json` says (app/lab/kinds.c); only the columns and arcs are
this script's. PICTURE is docs/pictures/book.svg unless given. With --check nothing is written, and
the exit status is 1 when the picture does not show what the program says.
"""
import argparse
import json
import pathlib
import subprocess
import sys
from xml.sax.saxutils import escape

ROOT = pathlib.Path(__file__).resolve().parent.parent
PICTURE = ROOT / "docs" / "pictures" / "book.svg"

# px
MARGIN, BOX, GAP, BETWEEN = 24, 196, 14, 76
LINE, PAD, LETTER = 15, 8, 5.9
STATES_TOP, STATE_ROW, CHIP_GAP, CHIP_HEIGHT = 56, 24, 34, 22

MANY = 3  # a reference to more kinds than these is written in its box
INK, FAINT, PAPER = "#1d2b36", "#7b8a94", "#ffffff"
FILLS = {"manage": "#f3e6cf", "operate": "#e3eef5", "issue": "#dcefdc", "program": "#eeeeee"}
WRITERS = (("manage", "written by who may manage"), ("operate", "by who may operate"),
           ("issue", "by who may issue"), ("program", "kept beside the records"))


def kinds_of(firn):
    run = subprocess.run([firn, "book", "kinds", "--json"], check=True, capture_output=True, text=True)
    return json.loads(run.stdout)["kinds"]


def all_fields(fields):
    for field in fields:
        yield field
        yield from all_fields(field.get("fields", []))


def wrapped(text, width):
    """Lines of at most `width` pixels."""
    lines = [""]
    for word in text.split():
        if lines[-1] and (len(lines[-1]) + 1 + len(word)) * LETTER > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


class Box:
    """A kind of record, or what is kept beside the records."""

    def __init__(self, name, what, writer, references, written=()):
        self.name, self.writer = name, writer
        self.references = references  # names of kinds, each once
        self.written = [to for _, of in written for to in of]  # those that are words in the box
        self.lines = wrapped(what, BOX - 2 * PAD)
        for field, of in written:
            self.lines += wrapped(f"{field}: {', '.join(of)}", BOX - 2 * PAD)
        self.column = self.x = self.y = 0

    @property
    def height(self):
        return 2 * PAD + LINE * (1 + len(self.lines))


def box_of(kind):
    drawn, written = [], []
    for field in all_fields(kind["fields"]):
        if field["type"] not in ("id", "ids"):
            continue
        of = [name for name in field["of"] if name != "person"]
        if len(of) > MANY:
            written.append((field["name"], of))
        else:
            drawn += [name for name in of if name not in drawn and name != kind["name"]]
    if any(field["type"] == "SHA-256" for field in all_fields(kind["fields"])):
        drawn.append("file")
    return Box(kind["name"], kind["what"], kind["written_by"], drawn, written)


def boxes_of(kinds):
    boxes = {kind["name"]: box_of(kind) for kind in kinds}
    boxes["file"] = Box("file", "bytes by their SHA-256: imported, reduced, issued", "program", [])
    boxes["readings"] = Box("readings", "newest as rows, then sealed blocks: a chain of hashes for"
                            " each visit", "program", ["visit"])
    boxes["log"] = Box("log", "each version of each record, who, when and why, and the sealing of"
                       " each block: a chain of hashes", "program", [])
    return boxes


def place(boxes):
    """In columns behind what they refer to; in a column near it. Returns width and height."""
    def depth(name, seen=()):
        named = [*boxes[name].references, *boxes[name].written]
        return 1 + max([depth(to, (*seen, name)) for to in named if to not in seen] or [-1])

    columns = {}
    for name, box in boxes.items():
        box.column = depth(name)
        columns.setdefault(box.column, []).append(box)
    referring = {name: [b for b in boxes.values() if name in b.references] for name in boxes}
    for _ in range(12):
        for column in columns.values():
            y = 0
            for box in column:
                box.y, y = y, y + box.height + GAP
            for box in column:
                box.y -= y / 2
        for column in columns.values():
            def middle(box):
                near = [boxes[to] for to in box.references] + referring[box.name]
                return sum(b.y + b.height / 2 for b in near) / len(near) if near else box.y
            column.sort(key=middle)
    tallest = max(sum(box.height + GAP for box in column) for column in columns.values())
    for number, column in columns.items():
        space = (tallest - sum(box.height for box in column)) / len(column)
        y = MARGIN + 30 + space / 2
        for box in column:
            box.x, box.y = MARGIN + number * (BOX + BETWEEN), round(y)
            y += box.height + space
    return (2 * MARGIN + (max(columns) + 1) * (BOX + BETWEEN) - BETWEEN,
            round(MARGIN + 30 + tallest))


def text(x, y, words, size=12, weight="normal", fill=INK, anchor="start"):
    return (f'<text x="{x:g}" y="{y:g}" font-size="{size}" font-weight="{weight}" fill="{fill}" '
            f'text-anchor="{anchor}">{escape(words)}</text>')


def draw_box(box):
    yield (f'<rect x="{box.x}" y="{box.y}" width="{BOX}" height="{box.height}" rx="4" '
           f'fill="{FILLS[box.writer]}" stroke="{INK}"/>')
    yield text(box.x + PAD, box.y + PAD + 11, box.name, 13, "bold")
    for number, line in enumerate(box.lines, 1):
        yield text(box.x + PAD, box.y + PAD + 11 + number * LINE, line, 11)


def draw_references(box, boxes):
    """From its left side to the right side of what it names."""
    for number, name in enumerate(sorted(box.references, key=lambda n: boxes[n].y)):
        to = boxes[name]
        y0 = box.y + box.height * (number + 1) / (len(box.references) + 1)
        x1, y1 = to.x + BOX + 7, to.y + to.height / 2
        bend = max(40, (box.x - x1) / 2)
        yield (f'<path d="M{box.x} {y0:.0f} C{box.x - bend:.0f} {y0:.0f} {x1 + bend:.0f} {y1:.0f} '
               f'{x1} {y1:.0f}" fill="none" stroke="{FAINT}" marker-end="url(#tip)"/>')


def chains_of(kinds):
    """Kinds with the same states stand together: names, states in their order, steps."""
    chains = []
    for kind in kinds:
        if not kind["states"]:
            continue
        (order,) = [f["of"] for f in kind["fields"] if f["name"] == "state"]
        same = [chain for chain in chains if chain[1:] == (order, kind["states"])]
        if same:
            same[0][0].append(kind["name"])
        else:
            chains.append(([kind["name"]], order, kind["states"]))
    return chains


def draw_chain(names, order, steps, x, y):
    """States on a line; to the next one straight, further on above it, back below. Yields, and
    returns how high it is."""
    at, parts = {}, []
    for state in order:
        width = len(state) * (LETTER + 0.8) + 18
        at[state] = (x, width)
        x += width + CHIP_GAP
    jumps = [(order.index(a), order.index(b)) for a in order for b in steps[a]]
    def rise(a, b):
        return 12 + 7 * abs(b - a)
    above = max([rise(a, b) for a, b in jumps if b > a + 1] or [0])
    below = max([rise(a, b) for a, b in jumps if b <= a] or [0])
    top = y + above
    for a, b in jumps:
        (x0, w0), (x1, w1) = at[order[a]], at[order[b]]
        if b == a + 1:
            path = f"M{x0 + w0:.0f} {top + 11:.0f} L{x1 - 7:.0f} {top + 11:.0f}"
        elif b > a:
            path = (f"M{x0 + w0 * 0.65:.0f} {top:.0f} C{x0 + w0 * 0.65:.0f} {top - rise(a, b) * 1.3:.0f} "
                    f"{x1 + w1 * 0.35:.0f} {top - rise(a, b) * 1.3:.0f} {x1 + w1 * 0.35:.0f} "
                    f"{top - 7:.0f}")
        else:
            low = top + CHIP_HEIGHT
            start, end = (0.35, 0.65) if b < a else (0.7, 0.3)
            path = (f"M{x0 + w0 * start:.0f} {low:.0f} C{x0 + w0 * start:.0f} "
                    f"{low + rise(a, b) * 1.3:.0f} {x1 + w1 * end:.0f} {low + rise(a, b) * 1.3:.0f} "
                    f"{x1 + w1 * end:.0f} {low + 7:.0f}")
        parts.append(f'<path d="{path}" fill="none" stroke="{FAINT}" marker-end="url(#tip)"/>')
    for state, (left, width) in at.items():
        last = not steps[state]
        parts.append(f'<rect x="{left:.0f}" y="{top}" width="{width:.0f}" height="{CHIP_HEIGHT}" '
                     f'rx="11" fill="{PAPER}" stroke="{INK}" stroke-width="{2 if last else 1}"/>')
        parts.append(text(left + width / 2, top + 15, state, 11, anchor="middle"))
    name = ", ".join(names)
    parts.append(text(MARGIN, top + 15, name, 12, "bold"))
    return parts, above + CHIP_HEIGHT + below


def draw_states(kinds, y):
    chains = chains_of(kinds)
    x = MARGIN + max(len(", ".join(names)) for names, _, _ in chains) * 7 + 24
    parts = [text(MARGIN, y + 14, "States", 15, "bold"),
             text(MARGIN + 64, y + 14, "to the next one straight, further on above, back below; for"
                  " good where the frame is thick", 11, fill=FAINT)]
    y += STATES_TOP - 20
    for names, order, steps in chains:
        drawn, height = draw_chain(names, order, steps, x, y)
        parts += drawn
        y += height + STATE_ROW - 8
    return parts, y


def picture(kinds):
    boxes = boxes_of(kinds)
    width, height = place(boxes)
    parts = [text(MARGIN, MARGIN + 8, "Records", 15, "bold"),
             text(MARGIN + 76, MARGIN + 8, "an arrow goes from a record to what it names; every"
                  " version of every record also names the person who wrote it", 11, fill=FAINT)]
    for box in boxes.values():
        parts += draw_references(box, boxes)
    for box in boxes.values():
        parts += draw_box(box)
    x = MARGIN
    for writer, words in WRITERS:
        parts.append(f'<rect x="{x}" y="{height + 12}" width="14" height="14" fill="{FILLS[writer]}" '
                     f'stroke="{INK}"/>')
        parts.append(text(x + 20, height + 23, words, 11))
        x += round(len(words) * LETTER) + 52
    states, end = draw_states(kinds, height + 52)
    parts += states
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {end + 8:.0f}" '
            f'width="{width}" height="{end + 8:.0f}" font-family="sans-serif">\n'
            "<!-- Made by tools/make_book_picture.py. -->\n"
            '<defs><marker id="tip" viewBox="0 0 8 8" refX="1" refY="4" markerWidth="7" '
            f'markerHeight="7" orient="auto"><path d="M0 0 L8 4 L0 8 z" fill="{FAINT}"/></marker>'
            f'</defs>\n<rect width="100%" height="100%" fill="{PAPER}"/>\n' + "\n".join(parts)
            + "\n</svg>\n")


def main():
    parser = argparse.ArgumentParser(description="Draws the book's records and states.")
    parser.add_argument("--check", action="store_true")
    parser.add_argument("firn", type=pathlib.Path)
    parser.add_argument("picture", type=pathlib.Path, nargs="?", default=PICTURE)
    asked = parser.parse_args()
    made = picture(kinds_of(asked.firn.resolve()))
    if not asked.check:
        asked.picture.write_text(made, encoding="utf-8")
    elif not asked.picture.exists() or asked.picture.read_text(encoding="utf-8") != made:
        print(f"{asked.picture.name} does not show what the program says; make it anew: "
              "tools/make_book_picture.py build/firn")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
