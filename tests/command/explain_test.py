"""An explanation has to be true: every formula in it, computed again from the lines beneath, gives the
value beside it, down to inputs that stand in the files."""
import math
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn  # noqa: E402

JOB = os.path.join(HERE, "..", "oracle", "full-1", "job.yaml")
LINE = re.compile(r"^( *)([A-Za-z_]\w*) = (.*)$")
NUMBER = re.compile(r"-?\d[\d.]*(?:e[+-]?\d+)?$")
FUNCTIONS = {"ln": math.log, "exp": math.exp, "sqrt": math.sqrt, "max": max, "min": min}


class Line:
    def __init__(self, depth, name, rest):
        self.depth, self.name, self.children = depth, name, []
        rest = re.split(r"  [\[(]", rest)[0].split(", u = ")[0].split(", solved")[0]
        formula, _, value = rest.rpartition(" = ")
        self.formula = formula
        self.value = float(NUMBER.search(value.split(" ")[0]).group())
        self.is_input = "  [" in rest


def tree(text):
    """The lines as trees; each line belongs to the nearest one above that stands further left."""
    roots, open_lines = [], []
    for text_line in text.splitlines():
        match = LINE.match(text_line)
        if not match or text_line.startswith("deltaW"):
            continue
        line = Line(len(match.group(1)), match.group(2), match.group(3))
        while open_lines and open_lines[-1].depth >= line.depth:
            open_lines.pop()
        (open_lines[-1].children if open_lines else roots).append(line)
        open_lines.append(line)
    return roots


def walk(line):
    yield line
    for child in line.children:
        yield from walk(child)


def compute(line):
    names = {child.name: child.value for child in line.children}
    return eval(line.formula.replace("^", "**"), {"__builtins__": {}}, {**FUNCTIONS, **names})


def check(tap, number, want=None, least=1):
    run = firn("reduce", JOB, "--explain", number)
    with tap.case(f"{number}: each formula gives its value"):
        tap.status(run, 0)
        roots = tree(run.out)
        formulas = [line for root in roots for line in walk(root) if line.formula and line.children
                    and not any(word in line.formula for word in ("below", "system", "root of"))]
        tap.true("formulas to compute again", len(formulas) >= least, run.out[:300])
        for line in formulas:
            # the last digit of each operand, times a handful of operations
            scale = max([abs(line.value)] + [abs(child.value) for child in line.children])
            tap.near(f"{line.name} = {line.formula}", line.value, compute(line), 8 * 2.3e-16 * scale)
        if want is not None:
            tap.equal("the value itself, to the last digit", roots[0].value, want)
    return run


def main():
    tap = Tap()
    result = firn("reduce", JOB, "--json").json()
    visit = next(v for v in result["visits"] if v["id"] == "2")
    run = check(tap, "visit.2.W", visit["w"]["value"], 3)
    with tap.case("down to the reading"):
        tap.true("the mean of the ratios of visit 2", "0.8611704975" in run.out)
        tap.true("the resistor", "[resistor.S.ohm]" in run.out)
        tap.true("the R(TPW) it was divided by", "[visit.3." in run.out)
    check(tap, "temperature.15.Ar_H2O")
    for visit in result["visits"]:
        check(tap, f"visit.{visit['id']}.R", visit["r_ohm"]["value"])
    for name, c in next(s for s in result["subranges"] if s["name"] == "H2O_Al")["coefficients"].items():
        check(tap, f"subrange.H2O_Al.{name}", c["value"])
    run = firn("reduce", JOB, "--explain", "temperature.15.Ar_H2O")
    with tap.case("a temperature is explained with the u that is stated"):
        stated = next(t for t in result["temperatures"]
                      if t["visit"] == "15" and t["subrange"] == "Ar_H2O")["t90_K"]
        (root,) = tree(run.out)
        tap.near("T90", root.value, stated["value"], 1e-9)
        u = float(re.search(r", u = ([0-9.e-]+)", run.out).group(1))
        tap.near("u to two digits", u, stated["u_in_use"], 0.006 * stated["u_in_use"])
    total = firn("reduce", JOB, "--explain", "visit.1.dT")
    with tap.case("a total is the sum of what stands below"):
        (root,) = tree(total.out)
        tap.near("dT", root.value, sum(child.value for child in root.children), 1e-19)
    for number in ("visit.2", "visit.99.W", "visit.2.Q", "subrange.H2O_Ag.a", "subrange.H2O_Al.d",
                   "temperature.15.H2O_Al.x", ""):
        with tap.case(f"no such number: {number or 'empty'}"):
            wrong = firn("reduce", JOB, "--explain", number)
            tap.status(wrong, 2)
            tap.equal("nothing on stdout", wrong.out, "")
            tap.true("says what there is", "visit.ID.W" in wrong.err, wrong.err)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
