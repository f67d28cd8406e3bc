#!/usr/bin/python3
"""`firn evaluate`: what every kind of input is worth in the law of propagation, readings taken
together, correlations, and equations whose solution has a closed form.

Expected values: closed forms evaluated here at 40 digits with mpmath. Variances of the
distributions: JCGM 101:2008, Table 1 and 6.4. Readings taken together: JCGM 100:2008, 5.2.3.
"""
import os
import sys

from mpmath import mp, mpf

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

mp.dps = 40
EXACT = 1e-15  # relative: a handful of roundings of 1.1e-16

# Keys of an input, its estimate and its standard uncertainty.
INPUTS = {
    "normal": ("value: 3.5, u: 0.25", mpf("3.5"), mpf("0.25")),
    "rectangular": ("distribution: rectangular, low: 99.5, high: 100.25", mpf("99.875"),
                    mpf("0.75") / mp.sqrt(12)),
    "triangular": ("distribution: triangular, low: -1, high: 4", mpf("1.5"),
                   5 / mp.sqrt(24)),
    "trapezoidal": ("distribution: trapezoidal, low: 2, high: 8, beta: 0.4", mpf(5),
                    6 * mp.sqrt((1 + mpf("0.16")) / 24)),
    "arcsine": ("distribution: arcsine, low: -0.5, high: 0.75", mpf("0.125"),
                mpf("1.25") / mp.sqrt(8)),
    "curvilinear": ("distribution: curvilinear_trapezoid, low: 1, high: 3, d: 0.25", mpf(2),
                    mp.sqrt(mpf(4) / 12 + mpf("0.0625") / 9)),
    "student": ("distribution: student_t, value: 7, scale: 0.3, dof: 5", mpf(7), mpf("0.3")),
    "exponential": ("distribution: exponential, mean: 2.5", mpf("2.5"), mpf("2.5")),
    "gamma": ("distribution: gamma, shape: 9, scale: 0.5", mpf("4.5"), mpf("1.5")),
    "readings": ("readings: [0.21, 0.23, 0.20, 0.22]", mpf("0.215"),
                 mp.sqrt(mpf("5e-4") / 3 / 4)),
}
DOF = {"student": 5, "readings": 3}


def evaluate(tap, text):
    with folder() as where:
        run = firn("evaluate", "--json", write(where, "model.yaml", text))
    tap.status(run, 0)
    return run.json()


def model(inputs, outputs, more=""):
    """inputs, outputs: lines of the file below their headings."""
    indent = "\n  ".join
    return (f"kind: measurement model\ntitle: A test\ninputs:\n  {indent(inputs)}\n"
            f"{more}outputs:\n  {indent(outputs)}\n")


def near(tap, what, got, want, relative=EXACT):
    tap.near(what, got, want, relative * max(abs(float(want)), 1e-300))


def kinds(tap):
    text = model([f"x_{k}: {{{v[0]}}}" for k, v in INPUTS.items()],
                 [f"y_{k}: {{formula: x_{k}}}" for k in INPUTS])
    with tap.case("all kinds of input in one file"):
        outputs = evaluate(tap, text)["outputs"]
    for kind, (_, value, u) in INPUTS.items():
        with tap.case(f"{kind}: estimate, u and degrees of freedom"):
            got = outputs[f"y_{kind}"]
            near(tap, "value", got["value"], value)
            near(tap, "u", got["u"], u)
            tap.equal("dof", got["dof"], DOF.get(kind))
            acting = [line for line in got["budget"] if line["sensitivity"] != 0.0]
            tap.equal("inputs", [line["input"] for line in acting], [f"x_{kind}"])
            near(tap, "u in the budget", acting[0]["u"], u)
            near(tap, "contribution", acting[0]["contribution"], u)
            near(tap, "sensitivity", acting[0]["sensitivity"], 1)
            near(tap, "U", got["U"], got["k"] * got["u"])


def stated_dof(tap):
    """dof may stand with any distribution; 50 % of relative uncertainty of a limit is 2 (GUM G.4.2)."""
    with tap.case("dof with a rectangular input"):
        got = evaluate(tap, model(
            ["a: {distribution: rectangular, low: -1, high: 1, dof: 2}"], ["y: {formula: 3*a}"]))
        tap.equal("dof", got["outputs"]["y"]["dof"], 2)
        # t of two degrees of freedom at 97.5 %: closed form 0.95 sqrt(2/(1 - 0.95^2)).
        want = mpf("0.95") * mp.sqrt(2 / (1 - mpf("0.95") ** 2))
        near(tap, "k", got["outputs"]["y"]["k"], want, 1e-12)


def student_quantile(dof, probability):
    """Two-sided coverage factor, by the incomplete beta function."""
    def beyond(t):
        return mp.betainc(mpf(dof) / 2, mpf(1) / 2, 0, dof / (dof + t * t), regularized=True)
    return mp.findroot(lambda t: beyond(t) - (1 - mpf(probability)), (mpf(1), mpf(4)),
                       solver="anderson", tol=1e-30)


def coverage(tap):
    for probability in ("0.6827", "0.95", "0.9545", "0.99", "0.9973"):
        with tap.case(f"coverage factors for {probability}"):
            got = evaluate(tap, model(
                ["a: {value: 1, u: 1}"] + [f"b{n}: {{value: 1, u: 1, dof: {n}}}"
                                           for n in (3, 9, 30)],
                ["ya: {formula: a}"] + [f"y{n}: {{formula: b{n}}}" for n in (3, 9, 30)],
                f"coverage_probability: {probability}\n"))["outputs"]
            want = mp.sqrt(2) * mp.erfinv(mpf(probability))
            near(tap, "k, infinite", got["ya"]["k"], want, 1e-12)
            tap.equal("dof, infinite", got["ya"]["dof"], None)
            for n in (3, 9, 30):
                near(tap, f"k, {n}", got[f"y{n}"]["k"], student_quantile(n, probability), 1e-10)


def welch_satterthwaite(tap):
    """nu_eff = u^4/sum(u_i^4/nu_i) is cut to a whole number for k (JCGM 100:2008, G.4.1, H.1.6)."""
    with tap.case("effective degrees of freedom"):
        got = evaluate(tap, model(["a: {value: 0, u: 3, dof: 4}", "b: {value: 0, u: 4}"],
                                  ["y: {formula: a + b}"]))["outputs"]["y"]
        # 625/(81/4) = 30.86
        tap.true("dof is 30.86 or, cut, 30", got["dof"] in (30, 625 / (81 / 4)) or
                 abs(got["dof"] - 625 / (81 / 4)) < 1e-12, str(got["dof"]))
        near(tap, "k", got["k"], student_quantile(30, "0.95"), 1e-10)


def readings_together(tap):
    """Means of columns read together: covariance by the readings; independent where not paired."""
    b, c = [0.21, 0.23, 0.20, 0.22], [1.1, 1.3, 1.2, 1.2]
    columns = [[mpf(repr(x)) for x in column] for column in (b, c)]
    means = [sum(column) / 4 for column in columns]
    cov = [[sum((x - mx) * (y - my) for x, y in zip(cx, cy)) / 12
            for cy, my in zip(columns, means)] for cx, mx in zip(columns, means)]
    inputs = [f"b: {{readings: {b}}}", f"c: {{readings: {c}}}"]
    outputs = ["p: {formula: b*c}", "yb: {formula: b}", "yc: {formula: c}"]
    for paired in (True, False):
        with tap.case(f"readings {'taken together' if paired else 'apart'}"):
            got = evaluate(tap, model(inputs, outputs, "paired: [[b, c]]\n" if paired else ""))
            cross = cov[0][1] if paired else mpf(0)
            variance = (means[1] ** 2 * cov[0][0] + means[0] ** 2 * cov[1][1]
                        + 2 * means[0] * means[1] * cross)
            near(tap, "u(b c)", got["outputs"]["p"]["u"], mp.sqrt(variance), 1e-14)
            r = cross / mp.sqrt(cov[0][0] * cov[1][1])
            found = [x["r"] for x in got["correlations"] if sorted(x["between"]) == ["yb", "yc"]]
            tap.equal("one correlation", len(found), 1)
            tap.near("r(b, c)", found[0], r, 1e-14)


def correlations(tap):
    for r in ("-1", "-0.5", "0", "0.25", "1"):
        with tap.case(f"two inputs with r = {r}"):
            got = evaluate(tap, model(
                ["a: {value: 2, u: 0.3}", "b: {value: 5, u: 0.4}"],
                ["s: {formula: a + b}", "d: {formula: a - b}"],
                f"correlations:\n  - {{between: [a, b], r: {r}}}\n"))
            both = {"s": mpf("0.25") + 2 * mpf(r) * mpf("0.12"),
                    "d": mpf("0.25") - 2 * mpf(r) * mpf("0.12")}
            for name, variance in both.items():
                near(tap, f"u({name})", got["outputs"][name]["u"], mp.sqrt(variance), 1e-14)
            want = (mpf("0.09") - mpf("0.16")) / mp.sqrt(both["s"] * both["d"])
            tap.near("r(s, d)", got["correlations"][0]["r"], want, 1e-14)


# An equation in x over a = 2, b = 0.5, c = 3: text, where to start, solution as a function of a, b, c.
EQUATIONS = {
    "linear": ("a*x + b = c", 1, lambda a, b, c: (c - b) / a),
    "quadratic, upper root": ("a*x^2 - c*x + b = 0", 1.2,
                              lambda a, b, c: (c + mp.sqrt(c * c - 4 * a * b)) / (2 * a)),
    "quadratic, lower root": ("a*x^2 - c*x + b = 0", 0.2,
                              lambda a, b, c: (c - mp.sqrt(c * c - 4 * a * b)) / (2 * a)),
    "unknown on both sides": ("a*x = c - b*x", 1, lambda a, b, c: c / (a + b)),
    "exponential": ("a*exp(b*x) = c", 1, lambda a, b, c: mp.log(c / a) / b),
    "logarithm": ("ln(x/a) = b*c", 9, lambda a, b, c: a * mp.exp(b * c)),
    "cube": ("x^3 = a*b*c", 1.4, lambda a, b, c: mp.cbrt(a * b * c)),
    "product logarithm": ("x*exp(x) = a*c", 1.4, lambda a, b, c: mp.lambertw(a * c).real),
    "sine": ("sin(x) = b/a", 0.3, lambda a, b, c: mp.asin(b / a)),
    "tangent, second branch": ("tan(x) = c", 4.4, lambda a, b, c: mp.atan(c) + mp.pi),
    "negative root": ("x^2 = a + c", -2, lambda a, b, c: -mp.sqrt(a + c)),
}


def equations(tap):
    values = [mpf(2), mpf("0.5"), mpf(3)]
    for name, (text, start, solution) in EQUATIONS.items():
        with tap.case(f"equation: {name}"):
            got = evaluate(tap, model(
                ["a: {value: 2, u: 0.01}", "b: {value: 0.5, u: 0.02}", "c: {value: 3, u: 0.03}"],
                [f"x: {{equation: \"{text}\", near: {start}}}"]))["outputs"]["x"]
            near(tap, "x", got["value"], solution(*values), 4e-15)
            variance = mpf(0)
            for i, (key, u) in enumerate((("a", "0.01"), ("b", "0.02"), ("c", "0.03"))):
                order = tuple(int(j == i) for j in range(3))
                slope = mp.diff(solution, tuple(values), order)
                variance += (slope * mpf(u)) ** 2
                line = [x for x in got["budget"] if x["input"] == key]
                tap.near(f"dx/d{key}", line[0]["sensitivity"] if line else 0.0, slope,
                         1e-13 * max(1.0, abs(float(slope))))
            near(tap, "u(x)", got["u"], mp.sqrt(variance), 1e-13)


def main():
    tap = Tap()
    kinds(tap)
    stated_dof(tap)
    coverage(tap)
    welch_satterthwaite(tap)
    readings_together(tap)
    correlations(tap)
    equations(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
