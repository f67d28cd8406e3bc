"""The life of two cells of the invented laboratory, told by the program: what it foresees before anything is
frozen, while the ice lives, and when it ends. Used by demo.py.

A large cell is frozen from its well, ages, and is used; its forecast narrows with every look. A small one is
frozen by a shake, carries a term for that, is kept for three weeks, looked at, used, loses too much ice to one warm
thermometer, and is made anew, step by step, with every caution shown and recorded.
"""
import json
import pathlib
import re
import subprocess

ROOT = pathlib.Path(__file__).resolve().parent.parent
CELLS = ROOT / "examples" / "cells"
DAY_S = 86400.0
NOON = "2031-03-25T12:00:00Z"


class Unexpected(Exception):
    """What was not as it should be, in words."""


def call(program, *arguments, status=0):
    done = subprocess.run([program, *map(str, arguments)], cwd=ROOT, capture_output=True, text=True,
                          check=False)
    if done.returncode != status:
        raise Unexpected(f"{' '.join(map(str, arguments))}: exit status {done.returncode}, expected "
                         f"{status}\n{done.stderr.strip()}")
    return done.stdout


def days(left):
    value = f"{left['value'] / DAY_S:.0f}"
    value += " day left" if value == "1" else " days left"
    if left["high"] is None:
        return f"{value}, {left['low'] / DAY_S:.0f} or more"
    return (f"{value}, {max(0.0, left['low']) / DAY_S:.0f} to "
            f"{left['high'] / DAY_S:.0f}")


def forecast(program, where, at, *options, status):
    """The mantle of a file as it is foreseen at a time: looks and insertions up to then alone."""
    text = (CELLS / where).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines()
             if not (found := re.search(r"- \{time: (\S+Z)", line)) or found.group(1) <= at]
    lines = [line for line in lines if not line.startswith("  at: ")]
    frozen = next(i for i, line in enumerate(lines) if line.startswith("  frozen:"))
    lines.insert(frozen + 1, f"  at: {at}")
    for section in ("looks:", "insertions:"):  # what has not happened yet leaves no empty list
        i = next(i for i, line in enumerate(lines) if line.strip() == section)
        if i + 1 == len(lines) or not lines[i + 1].startswith("    -"):
            del lines[i]
    path = ROOT / "demo" / where
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return json.loads(call(program, "cell", "keep", path, "--json", *options, status=status))


def large(program):
    fit = json.loads(call(program, "cell", "fit", CELLS / "fits.yaml", "--json"))
    prepared = call(program, "cell", "prepare", CELLS / "freeze.yaml")
    takes = re.search(r"^(\d.* take .*?) \(u", prepared, re.M)
    print("\nThe large cell W-2, frozen from its well with dry ice and alcohol")
    print(f"  before: the thermometer {fit['stated']['verdict'] if 'stated' in fit else 'fits'}; "
          f"{takes.group(1) if takes else 'see firn cell prepare'}")
    widths = []
    for at in ("2031-02-04T09:00:00Z", "2031-02-11T09:00:00Z", "2031-02-18T09:00:00Z",
               "2031-02-24T09:00:00Z"):
        keep = forecast(program, "large-life.yaml", at, "--svg", ROOT / "demo" / "large-ice.svg",
                        "--pdf", ROOT / "demo" / "large-ice.pdf", status=0)
        widths.append(keep["left_s"]["high"] - keep["left_s"]["low"]
                      if keep["left_s"]["high"] is not None else float("inf"))
        print(f"  {at[:10]}: {1e3 * keep['now']['ice_m']:.1f} mm of ice, {days(keep['left_s'])} (k = 2); "
              f"looks so far: {keep['looks_used']}; reads low by at most {1e6 * keep['age_bound_K']:.0f} µK for "
              "its age")
    if widths[-1] >= widths[0]:
        raise Unexpected("the forecast does not narrow with the looks")
    call(program, "cell", "drawing", ROOT / "demo" / "large-life.yaml", "--svg",
         ROOT / "demo" / "large-cell.svg", "--pdf", ROOT / "demo" / "large-cell.pdf")
    print("  demo/large-cell.pdf (cut across), demo/large-ice.pdf (along time), both as .svg too")


def small(program):
    ice = re.search(r"^(\S+ % of the water freezes at once: .*?),", call(
        program, "cell", "prepare", CELLS / "nucleate.yaml"), re.M)
    steps = json.loads(call(program, "cell", "procedure", "tpw-supercooling", "--json"))["steps"]
    apart = steps["read"]["limits"][0]["high"]
    print("\nThe small cell M-1, frozen by a shake")
    print(f"  {ice.group(1) if ice else 'see firn cell prepare'}")
    print(f"  its extra term: ice made so agrees with a mantle to {apart} mK only, u = "
          f"{1e3 * apart / 3 ** 0.5:.0f} µK")
    for at, what, status in (("2031-03-10T09:00:00Z", "looked at", 0),
                             ("2031-03-18T11:00:00Z", "used twice", 0),
                             ("2031-03-24T15:00:00Z", "one warm thermometer too many", 1)):
        keep = forecast(program, "small-life.yaml", at, "--svg", ROOT / "demo" / "small-ice.svg",
                        "--pdf", ROOT / "demo" / "small-ice.pdf", status=status)
        print(f"  {at[:10]}, {what}: {1e3 * keep['now']['ice_m']:.1f} mm of ice, "
              f"{days(keep['left_s'])} (k = 2)")
    if not keep["warnings"]:
        raise Unexpected("nothing warns of the thin mantle")
    print(f"    {keep['warnings'][0]}")


def made_anew(program):
    """In a book of its own, as guided work."""
    book = ROOT / "demo" / "cells.firn"
    for old in book.parent.glob(book.name + "*"):
        old.unlink()
    who = ["--book", book, "--as", "ilse", "--at", NOON]
    call(program, "book", "init", book, "--laboratory", "Hollowmere Temperature Laboratory", "--address",
         "1 Mere Lane", "--as", "ilse", "--name", "Ilse", "--simulated")
    person = json.loads(call(program, "book", "show", "person", "ilse", "--body", "--book", book))
    person["authorisations"].append({"act": "operate", "from": "2030-01-01"})
    for kind, name, body in (("person", "ilse", person),
                             ("cell", "M-1", {"job": {"point": "H2O"}, "state": "in service"})):
        path = ROOT / "demo" / "record.json"
        path.write_text(json.dumps(body), encoding="utf-8")
        call(program, "book", "put", kind, name, path, "--why", "the demo", *who)
        path.unlink()
    call(program, "book", "guide", "G-1", "tpw-supercooling", "--about", "M-1", *who)
    steps = json.loads(call(program, "cell", "procedure", "tpw-supercooling", "--json"))["steps"]
    refused = sum(bool(step["cautions"]) for step in steps.values())
    for name, step in steps.items():
        if step["cautions"]:  # not before they were shown
            call(program, "book", "done", "G-1", name, "--found", "as it should be", *who, status=2)
        shown = call(program, "book", "next", "G-1", *who)
        if shown.count("!! CAUTION") != len(step["cautions"]):
            raise Unexpected(f"step {name} did not show its cautions")
        call(program, "book", "done", "G-1", name, "--found", "as it should be", *who)
    done = json.loads(call(program, "book", "show", "guided work", "G-1", "--body", "--book", book))
    print(f"  made anew, step by step in the book: {len(done['done'])} steps done, {len(done['shown'])} "
          f"cautions shown before them;\n    {refused} steps were refused until theirs had been shown")
    print("  demo/small-ice.pdf, demo/cells.firn")


def show(program, as_called):
    """Prints both lives; raises Unexpected when one is not as it should be."""
    (ROOT / "demo").mkdir(exist_ok=True)
    print("\nThe life of two cells; nothing in it is measured.")
    large(program)
    small(program)
    made_anew(program)
    plan = call(program, "plan", ROOT / "examples" / "plan" / "plan.yaml", "--pdf",
                ROOT / "demo" / "plan.pdf")
    print(f"\nWhich cell for which uncertainty\n  {plan.splitlines()[1]}")
    print(f"  demo/plan.pdf; the same by hand:\n  {as_called} plan examples/plan/plan.yaml")
