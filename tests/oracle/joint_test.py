#!/usr/bin/python3
"""`firn evaluate`, several outputs and histograms by trials: JCGM 102:2011, 7.7, 9.2 and 9.3.

The framework's covariances are those of JCGM 102 (9.2, 9.3: read in public test sets that cite the
clauses, recomputed). Factors of regions are exact: integrals of the distributions by mpmath. The
tolerance is 5 standard deviations of what 10^6 trials scatter: of an order statistic
sqrt(p (1 - p)/M) over the density there.
"""
import math
import os
import sys

from mpmath import mp, mpf, ncdf, npdf

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402
from monte_carlo_test import M, evaluate, rectangular, sigma_u  # noqa: E402

mp.dps = 20
P = mpf("0.95")


def solved(inside):
    """The k with P inside, and the density of the factor there."""
    k = mp.findroot(lambda x: inside(x) - P, (mpf("2.0"), mpf("2.6")), solver="anderson", tol=1e-12)
    return float(k), float((inside(k + mpf("1e-4")) - inside(k - mpf("1e-4"))) / mpf("2e-4"))


def near_factor(tap, what, got, want):
    k, density = want
    scatter = math.sqrt(0.05 * 0.95 / M) / density
    # V and u come of the same trials: k follows their scatter, 1/sqrt(2 M) of itself, twice at most
    tap.near(what, got, k, 5 * (scatter + 2 * k / math.sqrt(2 * M)))


def box_of_normals(r):
    """Two jointly normal results, each within k u."""
    root = mp.sqrt(1 - r * r)
    return solved(lambda k: mp.quad(
        lambda z: npdf(z) * (ncdf((k - r * z) / root) - ncdf((-k - r * z) / root)), [-k, 0, k]))


def box_of_sums(half):
    """X1 + X3, X2 + X3: X1, X2 standard normal, X3 rectangular: independent once X3 is given."""
    u = mp.sqrt(1 + half * half / 3)
    return solved(lambda k: mp.quad(
        lambda x: (ncdf(k * u - x) - ncdf(-k * u - x)) ** 2, [-half, 0, half]) / (2 * half))


def ellipse_of_sums(half):
    """Along (1, -1) the pair is standard normal; along (1, 1) a normal and a rectangular part of half
    width sqrt(2) half add up, with the variance 1 + 2 half^2/3."""
    wide, variance = mp.sqrt(2) * half, 1 + 2 * half * half / 3

    def inside(k):
        end = k * mp.sqrt(variance)
        ends = [-end, -wide, 0, wide, end] if wide < end else [-end, 0, end]
        return mp.quad(lambda s: (ncdf(s + wide) - ncdf(s - wide)) / (2 * wide)
                       * (2 * ncdf(mp.sqrt(max(k * k - s * s / variance, 0))) - 1), ends)
    return solved(inside)


def matrix(tap, what, got, want, tolerance):
    for i, row in enumerate(want):
        for j, x in enumerate(row):
            tap.near(f"{what}[{i}][{j}]", got[i][j], x, tolerance)


def additive(tap):
    """JCGM 102, 9.2: Y1 = X1 + X3, Y2 = X2 + X3."""
    for clause, v, half in (("9.2.2", 1, None), ("9.2.3", 1, mp.sqrt(3)), ("9.2.4", 9, 3 * mp.sqrt(3))):
        with tap.case(f"JCGM 102, {clause}"):
            third = "X3: {value: 0, u: 1}" if half is None else rectangular("X3", float(half))
            got = evaluate(tap, ["X1: {value: 0, u: 1}", "X2: {value: 0, u: 1}", third],
                           ["Y1: {formula: X1 + X3}", "Y2: {formula: X2 + X3}"])["joint"]
            want = [[1 + v, v], [v, 1 + v]]
            tap.equal("order", got["order"], ["Y1", "Y2"])
            matrix(tap, "framework", got["covariance_linear"], want, 1e-14 * v)
            # of a covariance sqrt((V11 V22 + V12^2)/M), a little less without normal tails
            matrix(tap, "trials", got["covariance"], want, 5 * math.sqrt(2) * (1 + v) / math.sqrt(M))
            tap.near("ellipsoid, normal", got["k_ellipsoid_normal"], 2.45, 0.005)  # 7.7: 2.45
            if half is None:
                near_factor(tap, "ellipsoid", got["k_ellipsoid"],
                            (math.sqrt(-2 * math.log(0.05)), 0.05 * math.sqrt(-2 * math.log(0.05))))
                near_factor(tap, "rectangle", got["k_rectangle"], box_of_normals(mpf("0.5")))
            else:
                near_factor(tap, "ellipsoid", got["k_ellipsoid"], ellipse_of_sums(half))
                near_factor(tap, "rectangle", got["k_rectangle"], box_of_sums(half))
            tap.true("Bonferroni is enough", got["k_rectangle"] < got["k_rectangle_normal"])


def polar(tap):
    """JCGM 102, 9.3: framework u(y1), u(y2), r; by trials the mean of y1^2 is x1^2 + 2 u^2."""
    for r in (0, 0.9):
        for x1, u2 in ((0.001, 10.0), (0.010, 1.0), (0.100, 0.1)):
            with tap.case(f"JCGM 102, 9.3: r = {r}, x1 = {x1}"):
                joined = f"correlations:\n  - {{between: [X1, X2], r: {r}}}\n" if r else ""
                got = evaluate(tap, [f"X1: {{value: {x1}, u: 0.010}}", "X2: {value: 0, u: 0.010}"],
                               ["Y1: {formula: sqrt(X1^2 + X2^2)}", "Y2: {formula: atan(X2/X1)}"],
                               more=joined)
                joint, y1 = got["joint"], got["outputs"]["Y1"]["monte_carlo"]
                want = [[1e-4, r * 0.010 * u2], [r * 0.010 * u2, u2 * u2]]
                for i in range(2):
                    for j in range(2):
                        tap.near(f"framework[{i}][{j}]", joint["covariance_linear"][i][j], want[i][j],
                                 1e-12 * u2 * u2)
                second = y1["value"] ** 2 + y1["u"] ** 2
                # var(y1^2) = 4 u^4 (1 + r^2) + 4 u^2 x1^2: JCGM 101, 9.4
                tap.near("mean of y1^2", second, x1 * x1 + 2e-4, 5 * math.sqrt(
                    (4e-8 * (1 + r * r) + 4e-4 * x1 * x1) / M))
                tap.near("covariance[0][0] is u^2", joint["covariance"][0][0], y1["u"] ** 2, 1e-15)


def regions(tap):
    with tap.case("three normal results: 2.80 (JCGM 102, 7.7), and independent ones' rectangle"):
        got = evaluate(tap, [f"X{i}: {{value: {i}, u: {i}}}" for i in (1, 2, 3)],
                       [f"Y{i}: {{formula: 2*X{i}}}" for i in (1, 2, 3)])["joint"]
        tap.near("normal", got["k_ellipsoid_normal"], 2.80, 0.005)
        # density of chi with 3: sqrt(2/pi) k^2 exp(-k^2/2)
        k = got["k_ellipsoid_normal"]
        density = math.sqrt(2 / math.pi) * k * k * math.exp(-k * k / 2)
        near_factor(tap, "ellipsoid", got["k_ellipsoid"], (k, density))
        near_factor(tap, "rectangle", got["k_rectangle"],
                    solved(lambda x: (2 * ncdf(x) - 1) ** 3))
    with tap.case("an output that follows from the others: no ellipsoid, and said so"):
        inputs, outputs = ["a: {value: 1, u: 0.1}"], ["y: {formula: a}", "z: {formula: 1 - 2*a}"]
        got = evaluate(tap, inputs, outputs)["joint"]
        tap.equal("ellipsoid", got["k_ellipsoid"], None)
        near_factor(tap, "rectangle", got["k_rectangle"], solved(lambda x: 2 * ncdf(x) - 1))
        with folder() as where:
            run = firn("evaluate", write(where, "model.yaml", (
                "kind: measurement model\ninputs:\n  a: {value: 1, u: 0.1}\noutputs:\n"
                "  y: {formula: a}\n  z: {formula: 1 - 2*a}\nmonte_carlo: {trials: 10000}\n")))
        tap.true("said so", "There is no ellipsoid" in run.out, run.out[-500:])
    with tap.case("2 degrees of freedom: no u, no region"):
        got = evaluate(tap, ["a: {readings: [1, 2, 3]}", "b: {value: 1, u: 1}"],
                       ["y: {formula: a}", "z: {formula: b}"], "{trials: 10000}")["joint"]
        tap.equal("factors", (got["k_ellipsoid"], got["k_rectangle"]), (None, None))
    with tap.case("51 outputs: no covariances by trials, and said so"):
        got = evaluate(tap, ["a: {value: 1, u: 1}"], [f"y{i}: {{formula: a}}" for i in range(51)],
                       "{trials: 100}")
        tap.true("not there", "joint" not in got)
        tap.true("said so", any("more than 50" in r for r in got["reservations"]))


def histograms(tap):
    """Counts against the integral of the density over each bin: the sum of (got - want)^2/want has
    the mean n and the standard deviation sqrt(2 n)."""
    def check(h, below):
        edges = [h["from"] + i * h["width"] for i in range(len(h["counts"]) + 1)]
        tap.equal("all trials", h["below"] + sum(h["counts"]) + h["above"], M)
        got = [h["below"]] + h["counts"] + [h["above"]]
        p = [below(e) for e in edges]
        want = [M * x for x in [p[0]] + [b - a for a, b in zip(p, p[1:])] + [1 - p[-1]]]
        chi = sum((g - w) ** 2 / w for g, w in zip(got, want) if w > 0)
        n = sum(w > 0 for w in want)
        tap.true("none where none can be", all(g == 0 for g, w in zip(got, want) if w == 0))
        tap.true("counts", abs(chi - n) < 5 * math.sqrt(2 * n), f"{chi} of {n}: {got}")

    with tap.case("histogram of a normal result"):
        y = evaluate(tap, ["a: {value: 20, u: 3}"], ["y: {formula: a}"])["outputs"]["y"]
        h = y["monte_carlo"]["histogram"]
        # to within 4 u: 24/50, so 0.5
        tap.equal("width", h["width"], 0.5)
        check(h, lambda x: 0.5 * math.erfc((20 - x) / 3 / math.sqrt(2)))
    with tap.case("histogram of an exponential result"):
        y = evaluate(tap, ["a: {distribution: exponential, mean: 0.001}"], ["y: {formula: a}"])
        h = y["outputs"]["y"]["monte_carlo"]["histogram"]
        tap.equal("from", (h["from"], h["below"]), (0, 0))
        check(h, lambda x: max(0.0, -math.expm1(-x / 0.001)))
    with tap.case("histogram of a triangular result"):
        y = evaluate(tap, [rectangular("a", 1.0), rectangular("b", 1.0)], ["y: {formula: a + b}"])
        check(y["outputs"]["y"]["monte_carlo"]["histogram"],
              lambda x: (x + 2) ** 2 / 8 if x < 0 else 1 - max(2 - x, 0) ** 2 / 8)
    with tap.case("no spread, or no value: no histogram"):
        got = evaluate(tap, ["a: {value: 1, u: 1}"], ["y: {formula: ln(a)}", "z: {formula: 0*a}"],
                       "{trials: 1000}")["outputs"]
        for name in ("y", "z"):
            tap.equal(name, got[name]["monte_carlo"]["histogram"], None)
    with tap.case("as text: a picture no wider than a terminal"), folder() as where:
        run = firn("evaluate", write(where, "model.yaml", (
            "kind: measurement model\ninputs:\n  X1: {value: 0, u: 0.005}\n"
            "outputs:\n  Y: {formula: X1, unit: V}\nmonte_carlo: {trials: 10000}\n")))
        tap.status(run, 0)
        picture = [line for line in run.out.splitlines() if "█" in line or "┴" in line]
        tap.equal("rows", len(picture), 5)  # three, the axis and its legend
        tap.true("two marks", picture[3].count("┴") == 2, run.out)
        tap.true("narrow", max(map(len, run.out.splitlines())) <= 100)


def main():
    tap = Tap()
    additive(tap)
    polar(tap)
    regions(tap)
    histograms(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
