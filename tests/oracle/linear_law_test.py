#!/usr/bin/python3
"""Where the linear law fails: `firn evaluate` says so, by how much and why.

Small models of our own whose distribution is known in closed form; the derivation stands beside each.
The ends of the interval by trials are held to it within 5 standard deviations of what 10^6 trials
scatter, the cause and the sentences to what the model was made for.
"""
import math
import os
import sys

from mpmath import besselk, betainc, findroot, inf, mp, mpf, npdf, quad

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402
from monte_carlo_test import Z, evaluate, exact_end, rectangular, sigma_end  # noqa: E402

mp.dps = 20


def told(inputs, output, more=""):
    lines = "\n  ".join
    with folder() as where:
        run = firn("evaluate", write(where, "model.yaml", (
            f"kind: measurement model\ninputs:\n  {lines(inputs)}\n{more}outputs:\n  {output}\n"
            "monte_carlo: {trials: 100000}\n")))
    return " ".join(run.out.split())


def check(tap, name, inputs, formula, ends, cause, sentences, more=""):
    """ends: (value, density there) of both; None: as far as possible the value itself, exactly."""
    with tap.case(name):
        outputs = [f"y: {{formula: \"{formula}\"}}"]
        got = evaluate(tap, inputs, outputs, more=more)["outputs"]["y"]
        y = got["monte_carlo"]
        for what, (value, density) in zip(("low", "high"), ends):
            tap.near(what, y[what], value, sigma_end(density) if density else 1e-12)
        tap.equal("the linear law fails", y["linear_law_holds"], False)
        tap.equal("the cause", [(c["cause"], c["inputs"]) for c in y["causes"]], cause)
        words = told(inputs, outputs[0], more)
        for sentence in sentences:
            tap.true(sentence, sentence in words, words)


def one_sided(tap):
    # x^2 of x ~ N(0, u^2): P(x^2 < y) = 2 Phi(sqrt(y)/u) - 1; its density is phi(z)/(u^2 z) at z^2 u^2
    u, low, high = 0.2, 0.03133798202142652, 2.2414027276049473  # Phi = 0.5125 and 0.98750
    check(tap, "a square at its bottom, as a term that can only add", ["x: {value: 0, u: 0.2}"],
          "x^2", [(u * u * z * z, float(npdf(z)) / (u * u * z)) for z in (low, high)],
          [("one-sided", ["x"])],
          ["value ± U has no width and its middle lies 0.10 lower.",
           "Probable cause: y moves the same way whether x lies above or below its value."])
    # a mantle that can only depress: the half above its edge is cut off, so the lower end is the
    # normal one and the upper end 0
    check(tap, "a mantle that depresses by what exceeds its edge", ["d: {value: 0, u: 0.1}"],
          "-max(d, 0)", [(-0.1 * Z, float(npdf(Z)) / 0.1), (0, None)], [("one-sided", ["d"])],
          ["Probable cause: y moves the same way whether d lies above or below its value."])
    # leakage and the overall maximum of impurities: exponential, P(y > x) = exp(-x/m)
    m = 0.3
    check(tap, "leakage that is exponential",
          ["leakage: {distribution: exponential, mean: 0.3}", "w: {value: 5, u: 0}"], "w + leakage",
          [(5 - m * math.log(0.975), 0.975 / m), (5 - m * math.log(0.025), 0.025 / m)],
          [("skew", ["leakage"])],
          ["leakage (exponential), which lies to one side, gives 100 % of the variance"])


def divisors(tap):
    # zero power from currents 10 % apart: r0 falls with i1 for r2 > r1, so the ends are those of i1
    def r0(i1):
        return 25.0 - 0.001 / ((1.1 / i1) ** 2 - 1)

    def end(i1):
        slope = (r0(i1 + 1e-6) - r0(i1 - 1e-6)) / 2e-6
        return r0(i1), 1 / (0.08 * abs(slope))  # of the rectangle 0.08 wide, through the slope

    check(tap, "nearly equal currents",
          [rectangular("i1", 0.04, 1.0), "i2: {value: 1.1, u: 0}", "r1: {value: 25, u: 0}",
           "r2: {value: 25.001, u: 0}"], "(r1*i2^2 - r2*i1^2)/(i2^2 - i1^2)",
          [end(1.038), end(0.962)], [("divisor", ["i1"]), ("shape", ["i1"])],
          ["a divisor is small and known to 22 % only, through i1"])
    # both known: the cause is both
    with tap.case("nearly equal currents, both uncertain"):
        got = evaluate(tap, ["i1: {value: 1, u: 0.02}", "i2: {value: 1.1, u: 0.02}",
                             "r1: {value: 25, u: 0}", "r2: {value: 25.001, u: 0}"],
                       ["y: {formula: (r1*i2^2 - r2*i1^2)/(i2^2 - i1^2)}"])["outputs"]["y"]
        tap.equal("cause", [(c["cause"], c["inputs"]) for c in got["monte_carlo"]["causes"]],
                  [("divisor", ["i2", "i1"])])


def products(tap):
    # of two standard normal quantities: density K0(|y|)/pi
    def beyond(y):
        return quad(lambda x: besselk(0, x), [y, y + 1, y + 5, inf]) / mp.pi
    high = float(findroot(lambda y: beyond(y) - mpf("0.025"), 2.2))
    density = float(besselk(0, high) / mp.pi)
    check(tap, "a product of two quantities at zero", ["a: {value: 0, u: 1}", "b: {value: 0, u: 1}"],
          "a*b", [(-high, density), (high, density)], [("product", ["a", "b"])],
          ["value ± U has no width.", "a and b act through their product, which has little slope"])
    # in units of 1/100 beside a term of u = 1, the product is nothing: the linear law holds
    with tap.case("a small product beside a large term"):
        y = evaluate(tap, ["a: {value: 0, u: 0.1}", "b: {value: 0, u: 0.1}", "c: {value: 0, u: 1}"],
                     ["y: {formula: c + a*b}"])["outputs"]["y"]["monte_carlo"]
        tap.equal("holds", (y["linear_law_holds"], y["causes"]), (True, []))


def shapes(tap):
    half = math.sqrt(3)
    end = exact_end([half, half, half, 10 * half])  # JCGM 101, 9.2.4
    density = 1 / (20 * half) * 0.6
    check(tap, "a dominant rectangle", [rectangular(f"X{i}", half) for i in (1, 2, 3)]
          + [rectangular("X4", 10 * half)], "X1 + X2 + X3 + X4", [(-end, density), (end, density)],
          [("shape", ["X4"])],
          ["X4 (rectangular) gives 97 % of the variance, so the ends are those of its limits.",
           "value ± U is 17 % wider."])  # 1.96 sqrt(103)/17.04: 9.2.4 of JCGM 101

    # t with 3 degrees of freedom: P(t > x) = I(3/(3 + x^2); 3/2, 1/2)/2. k = 2 stands for erf(sqrt 2)
    tail = (1 - mp.erf(mp.sqrt(2))) / 2
    t = findroot(lambda x: betainc(1.5, 0.5, 0, 3 / (3 + x * x), regularized=True) / 2 - tail, 3.3)
    density = mp.gamma(2) / mp.gamma(1.5) / mp.sqrt(3 * mp.pi) * (1 + t * t / 3) ** -2
    check(tap, "three degrees of freedom, and a factor of 2", ["a: {value: 1, u: 0.5, dof: 3}"], "a",
          [(1 - 0.5 * float(t), float(density) / 0.5), (1 + 0.5 * float(t), float(density) / 0.5)],
          [("few dof", ["a"])],
          ["a, known with 3 degrees of freedom, gives 100 % of the variance"],
          more="coverage_factor: 2\n")


def others(tap):
    # exp of a normal quantity: quantiles go through exp
    u = 0.5
    check(tap, "a curve", ["a: {value: 0, u: 0.5}"], "exp(a)",
          [(math.exp(s * Z * u), float(npdf(Z)) / u / math.exp(s * Z * u)) for s in (-1, 1)],
          [("bent", ["a"])], ["y does not follow a in a straight line over its u."])
    # twelve rectangles within 0.5: each a twelfth of the variance, no one stands out, but the normal
    # law is off by less than 0.005
    with tap.case("many rectangles: nearly normal, and nobody is blamed"):
        y = evaluate(tap, [rectangular(f"a{i}", 0.5) for i in range(12)],
                     ["y: {formula: " + " + ".join(f"a{i}" for i in range(12)) + "}"])
        y = y["outputs"]["y"]["monte_carlo"]
        tap.equal("holds", (y["linear_law_holds"], y["causes"]), (True, []))
    with tap.case("an infinite slope: the cause without a width"):
        words = told(["a: {value: 0, u: 1}"], "y: {formula: sqrt(abs(a))}")
        tap.true("cause", "y moves the same way whether a lies above or below its value" in words,
                 words)
        tap.true("no width", "Beside the interval" not in words)


def main():
    tap = Tap()
    one_sided(tap)
    divisors(tap)
    products(tap)
    shapes(tap)
    others(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
