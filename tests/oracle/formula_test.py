#!/usr/bin/python3
"""`firn evaluate` on random formulas: value and gradient against mpmath.

Trees are drawn from a fixed seed and written with the fewest parentheses that the fixed grammar
needs (^ binds tighter than a sign, and to the right), so a wrong precedence gives a wrong number.
mpmath gets the tree, never the text; derivatives are its difference quotients at 60 digits.
Formulas that magnify rounding are drawn again: the same walk at 60 digits also bounds what
doubles may lose, and that bound is the tolerance.
"""
import os
import random
import sys

from mpmath import mp, mpf

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

mp.dps = 60
SEED, FILES, FORMULAS, NAMES = 20260, 30, 10, ["a", "b", "c", "x1", "y_2"]
SPELLINGS = ["2", "0.5", "3", "1.25", "1e-1", "2.5E0", ".75", "7."]
HALF_ULP = 2.0 ** -53
WORST = 300  # half-units in the last place that a drawn formula may lose, by the bound

# name: function and derivative at 60 digits, and where the argument may lie
FUNCTIONS = {
    "sqrt": (mp.sqrt, lambda x: 1 / (2 * mp.sqrt(x)), lambda x: x > 0.05),
    "exp": (mp.exp, mp.exp, lambda x: abs(x) < 4),
    "ln": (mp.log, lambda x: 1 / x, lambda x: x > 0.05),
    "log10": (lambda x: mp.log(x) / mp.log(10), lambda x: 1 / (x * mp.log(10)),
              lambda x: x > 0.05),
    "sin": (mp.sin, mp.cos, lambda x: abs(x) < 6),
    "cos": (mp.cos, lambda x: -mp.sin(x), lambda x: abs(x) < 6),
    "tan": (mp.tan, lambda x: 1 / mp.cos(x) ** 2, lambda x: abs(x) < 1.3),
    "asin": (mp.asin, lambda x: 1 / mp.sqrt(1 - x * x), lambda x: abs(x) < 0.9),
    "acos": (mp.acos, lambda x: -1 / mp.sqrt(1 - x * x), lambda x: abs(x) < 0.9),
    "atan": (mp.atan, lambda x: 1 / (1 + x * x), lambda x: True),
    "abs": (abs, mp.sign, lambda x: abs(x) > 1e-3),
}
PRECEDENCE = {"+": 1, "-": 1, "*": 2, "/": 2, "neg": 3, "^": 4}


class Refused(Exception):
    """This tree is not a fair test of doubles."""


def draw(rng, depth):
    if depth == 0 or rng.random() < 0.12:
        if rng.random() < 0.72:
            return ("name", rng.choice(NAMES))
        plain = [repr(round(rng.uniform(0.1, 5), 3))]
        return ("number", rng.choice(SPELLINGS if rng.random() < 0.5 else plain))
    kind = rng.random()
    if kind < 0.58:
        return (rng.choice("++--**//"), draw(rng, depth - 1), draw(rng, depth - 1))
    if kind < 0.66:
        return ("^", draw(rng, depth - 1), ("number", rng.choice(["2", "3", "0.5", "4", "1.5"])))
    if kind < 0.69:
        return ("^", draw(rng, depth - 1), draw(rng, depth - 1))
    if kind < 0.77:
        return ("neg", draw(rng, depth - 1))
    if kind < 0.82:
        return (rng.choice(["min", "max"]), draw(rng, depth - 1), draw(rng, depth - 1))
    return (rng.choice(sorted(FUNCTIONS)), draw(rng, depth - 1))


def text(tree, rng):
    kind = tree[0]
    if kind in ("name", "number"):
        return tree[1]
    if kind in FUNCTIONS or kind in ("min", "max"):
        return f"{kind}({', '.join(text(t, rng) for t in tree[1:])})"
    mine = PRECEDENCE[kind]
    space = rng.choice(["", " "])
    if kind == "neg":
        return "-" + wrapped(tree[1], mine + 1, rng)  # a sign of a sign is not in the grammar
    # ^ holds to the right: its left side needs parentheses at the same level, the others' right.
    left = wrapped(tree[1], mine + (kind == "^"), rng)
    right = wrapped(tree[2], mine + (kind != "^"), rng)
    return f"{left}{space}{kind}{space}{right}"


def wrapped(tree, least, rng):
    inner = text(tree, rng)
    return inner if PRECEDENCE.get(tree[0], 9) >= least else f"({inner})"


def value(tree, x):
    """At 60 digits; x: values by name."""
    kind = tree[0]
    if kind == "name":
        return x[tree[1]]
    if kind == "number":
        return mpf(float(tree[1]))
    v = [value(t, x) for t in tree[1:]]
    if kind in FUNCTIONS:
        return FUNCTIONS[kind][0](v[0])
    return {"+": lambda: v[0] + v[1], "-": lambda: v[0] - v[1], "*": lambda: v[0] * v[1],
            "/": lambda: v[0] / v[1], "^": lambda: v[0] ** v[1], "neg": lambda: -v[0],
            "min": lambda: min(v), "max": lambda: max(v)}[kind]()


def partials(kind, v, result):
    if kind in FUNCTIONS:
        if not FUNCTIONS[kind][2](v[0]):
            raise Refused
        return [FUNCTIONS[kind][1](v[0])]
    if kind in ("min", "max"):
        if abs(v[0] - v[1]) < 1e-3:
            raise Refused
        first = (v[0] < v[1]) == (kind == "min")
        return [mpf(first), mpf(not first)]
    if kind == "^":
        if not 0.05 < v[0] < 20 or abs(v[1]) > 4:
            raise Refused
        return [v[1] * result / v[0], result * mp.log(v[0])]
    if kind == "/" and abs(v[1]) < 0.02:
        raise Refused
    return {"+": [1, 1], "-": [1, -1], "*": [v[1], v[0]] if len(v) > 1 else [],
            "/": [1 / v[1], -v[0] / v[1] ** 2] if len(v) > 1 and v[1] else [],
            "neg": [-1]}[kind]


def bound(tree, x):
    """(value, half-units in the last place lost at most, slopes' absolute sums by name). Each
    operation rounds by one half-unit (functions two) of its result and passes errors on by its slope."""
    kind = tree[0]
    if kind == "name":
        return x[tree[1]], mpf(0), {tree[1]: mpf(1)}
    if kind == "number":
        return mpf(float(tree[1])), mpf(0), {}
    parts = [bound(t, x) for t in tree[1:]]
    v = [p[0] for p in parts]
    result = value(tree, x)
    slopes = partials(kind, v, result)
    if not mp.mpmathify(result).imag == 0 or not 1e-3 < abs(result) < 1e4:
        raise Refused
    lost = (2 if kind in FUNCTIONS or kind == "^" else 1) * abs(result)
    lost += sum(abs(s) * p[1] for s, p in zip(slopes, parts))
    if lost / abs(result) > WORST:
        raise Refused
    sums = {}
    for s, p in zip(slopes, parts):
        for name, amount in p[2].items():
            sums[name] = sums.get(name, mpf(0)) + abs(s) * amount
    return result, lost, sums


def acceptable(rng, x):
    while True:
        tree = draw(rng, rng.choice([2, 3, 4, 5]))
        try:
            result, lost, sums = bound(tree, x)
        except (Refused, ZeroDivisionError):
            continue
        if len(sums) >= 2 and max(sums.values()) < 1e6:
            return tree, result, lost, sums


def slope(tree, x, name):
    return mp.diff(lambda t: value(tree, {**x, name: t}), x[name])


def check_file(tap, rng, number, where):
    numbers = {name: repr(round(rng.uniform(0.2, 3.0), 6)) for name in NAMES}
    x = {name: mpf(float(n)) for name, n in numbers.items()}
    drawn = [acceptable(rng, x) for _ in range(FORMULAS)]
    lines = ["kind: measurement model", "title: Random formulas", "inputs:"]
    lines += [f"  {name}: {{value: {n}, u: 0.001}}" for name, n in numbers.items()]
    lines.append("outputs:")
    texts = [text(tree, rng) for tree, *_ in drawn]
    lines += [f"  f{i}: {{formula: \"{t}\"}}" for i, t in enumerate(texts)]
    run = firn("evaluate", "--json", write(where, f"m{number}.yaml", "\n".join(lines) + "\n"))
    outputs = run.json()["outputs"] if run.status == 0 else None
    for i, (tree, result, lost, sums) in enumerate(drawn):
        with tap.case(f"formula {number}.{i}: {texts[i]}"):
            tap.status(run, 0)
            got = outputs[f"f{i}"]
            tap.near("value", got["value"], result, float(lost) * HALF_ULP)
            found = {line["input"]: line["sensitivity"] for line in got["budget"]}
            variance = mpf(0)
            for name in NAMES:
                want = slope(tree, x, name)
                variance += (want * mpf("0.001")) ** 2
                # A slope is a sum of products, each as good as the values it is made of.
                tolerance = float(sums.get(name, 0)) * 4 * WORST * HALF_ULP
                tap.near(f"d/d{name} at {numbers}", found.get(name, 0.0), want, tolerance)
            total = float(sum(sums.values())) * 0.001
            tap.near("u", got["u"], mp.sqrt(variance), 4 * WORST * HALF_ULP * total)


# What the grammar says, where a random tree seldom goes: text and value, exact in doubles.
GRAMMAR = {
    "-2^2": -4, "2^3^2": 512, "(2^3)^2": 64, "2^-1": 0.5, "-2^-2": -0.25, "8/4/2": 1, "8-4-2": 2,
    "8/4*2": 4, "2*-3": -6, "+3": 3, "1e3": 1000, "1E+3": 1000, ".5": 0.5, "5.": 5,
    "2*3+4*5": 26, "2+3*4^2": 50, "min(3, 2)": 2, "max(3, 2)": 3, "abs(-3)": 3, "((((7))))": 7,
    "sqrt(16)": 4, "min(max(1, 2), 3)": 2, "-(2+3)": -5, "6/(2*3)": 1, "1 - -1": 2,
}


def grammar(tap, where):
    for i, (formula, want) in enumerate(GRAMMAR.items()):
        with tap.case(f"grammar: {formula}"):
            run = firn("evaluate", "--json", write(where, f"g{i}.yaml", (
                "kind: measurement model\ntitle: Grammar\ninputs:\n  q: {value: 1, u: 0.1}\n"
                f"outputs:\n  f: {{formula: \"{formula} + 0*q\"}}\n")))
            tap.status(run, 0)
            tap.near("value", run.json()["outputs"]["f"]["value"], want, 0.0)


def main():
    tap, rng = Tap(), random.Random(SEED)
    with folder() as where:
        for number in range(FILES):
            check_file(tap, rng, number, where)
        grammar(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
