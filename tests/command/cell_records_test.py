#!/usr/bin/python3
"""`firn cell check`, `profile`, `plateau` and `compare`: the examples, and files that are wrong.

Other routes: closed forms written down here again, NumPy's least squares for profile, melt and
ensemble, and what tools/make_cell_records.py put into the invented comparisons.
"""
import datetime
import json
import math
import os
import re
import subprocess
import sys

import numpy as np
import yaml

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
sys.path.insert(0, HERE)
from firn_run import Tap, firn, folder, write  # noqa: E402
from schema_test import as_json, faults, schema, strict, validator_of  # noqa: E402

EXAMPLES = os.path.join(HERE, "..", "..", "examples")


def path_of(*parts):
    return os.path.join(EXAMPLES, *parts)


def text_of(*parts):
    with open(path_of(*parts), encoding="utf-8") as file:
        return file.read()


def term(found, name):
    return next(t for t in found["budget"]["terms"] if t["name"] == name)


# ---- check

def the_check(tap):
    found = firn("cell", "check", "--json", path_of("cells", "check.yaml")).json()
    with tap.case("bubble: Boyle and Laplace, and the slopes of IAPWS"):
        d, head, room = 5e-3, 0.05, 40e-6
        p_b = 998.207 * 9.80665 * head + 4 * 0.0727361 / d  # water at 20 °C
        p0 = p_b * math.pi / 6 * d ** 3 / room
        tap.near("p0", found["gas_Pa"]["value"], p0, 1e-6 * p0)
        tap.near("dT", found["gas_pressure_K"]["value"], -7.42615e-8 * p0, 1e-12)
        tap.near("with air", found["gas_pressure_and_air_K"]["value"], -9.79015e-8 * p0, 1e-12)
        u = math.hypot(math.hypot(4 / 40, (3 - 4 * 0.0727361 / d / p_b) * 0.5 / 5),
                       (998.207 * 9.80665 * 3e-3) / p_b)
        tap.near("u(p0)", found["gas_Pa"]["u"], u * p0, 1e-4 * p0)
    with tap.case("terms of the budget"):
        tap.near("isotopes", term(found, "isotopes")["value_K"], 673e-6 * -0.0583 + 630e-6 * -0.0081, 1e-12)
        tap.near("head", term(found, "head")["value_K"], -0.73e-3 * 0.243, 1e-12)
        tap.near("inversion", found["inversion_K"]["value"], -12e-6, 1e-12)
        tap.near("age", term(found, "mantle age")["u_K"], 0.2e-3 * math.exp(-10 / 3.74) / math.sqrt(3), 1e-12)
        tap.near("drift", term(found, "drift")["u_K"], 3 * math.sqrt(2) * 4e-6, 1e-12)
        u = math.sqrt(sum(t["u_K"] ** 2 for t in found["budget"]["terms"]))
        tap.near("together", found["budget"]["sum_K"]["u"], u, 1e-9)
    with tap.case("a cell that fails is not accepted, and each check says what it can't show"):
        run = firn("cell", "check", "--json", path_of("cells", "leaking.yaml"))
        tap.status(run, 1)
        alarms = [c["name"] for c in run.json()["checks"] if c["state"] == "alarm"]
        tap.equal("alarms", alarms, ["bubble", "click", "free mantle", "drops on the glass"])
        text = firn("cell", "check", path_of("cells", "leaking.yaml")).out
        tap.equal("can't show", text.count("can't show:"), 4)


# ---- profile

def the_profile(tap):
    said = yaml.safe_load(text_of("cells", "profile.yaml"))["profile"]
    found = firn("cell", "profile", "--json", path_of("cells", "profile.yaml")).json()
    h = np.array([r["height_mm"] for r in said["readings"]]) / 1e3
    y = np.array([r["mK"] for r in said["readings"]]) / 1e3 - 0.73e-3 * h
    with tap.case("residuals, equation (28)"):
        rest = y - y[h == 0]
        for point in found["points"]:
            tap.near(str(point["height_m"]), point["residual_K"]["value"],
                     float(rest[np.isclose(h, point["height_m"])][0]), 1e-12)
        zone = rest[h <= 0.05 + 1e-9]
        tap.near("u", found["line_u_K"], math.sqrt(float(sum(zone ** 2)) / (len(zone) - 1)), 1e-12)
        tap.true("accepted", found["accepted"])
    with tap.case("the exponential, by Gauss and Newton of NumPy"):
        a, e, D = 0.0, 1e-6, 0.02
        for _ in range(60):
            J = np.stack([np.ones_like(h), np.exp(h / D), -e * np.exp(h / D) * h / D ** 2], 1)
            scale = np.array([1e-6, 1e-6, 1e-2])
            step = np.linalg.lstsq(J * scale, y - a - e * np.exp(h / D), rcond=None)[0] * scale
            a, e, D = (np.array([a, e, D]) + 0.5 * step)
        tap.near("error", found["fit"]["error_K"]["value"], float(e), 1e-5 * e)
        tap.near("decay", found["fit"]["decay_m"]["value"], float(D), 1e-5 * D)
        cov = np.linalg.inv((J * scale / 4e-6).T @ (J * scale / 4e-6)) * np.outer(scale, scale)
        tap.near("u(error)", found["fit"]["error_K"]["u"], float(math.sqrt(cov[1, 1])), 1e-4 * e)
        tap.near("u(decay)", found["fit"]["decay_m"]["u"], float(math.sqrt(cov[2, 2])), 1e-4 * D)
    with tap.case("two currents: R0 = 2 R1 - R2 at the ratio of root 2"):
        run = firn("cell", "profile", "--json", path_of("cells", "short-profile.yaml"))
        tap.status(run, 1)
        r0 = 2 * 100.009430 - 100.009832 - (2 * 100.006500 - 100.006904)
        point = run.json()["points"][-1]
        tap.near("reading", point["reading_K"], r0 / (100.006 * 3.98853e-3), 1e-8)


# ---- plateau

def the_plateau(tap):
    found = firn("cell", "plateau", "--json", path_of("cells", "zinc-freeze.yaml")).json()
    with tap.case("marks of the freeze are where they were put"):
        tap.near("start", found["start_s"], 4400, 2000)  # a flat maximum in noise
        tap.near("power", found["end_by_power_s"], 48000, 80)
        tap.near("inflection", found["end_by_inflection_s"], 48000, 400)
        tap.near("liquidus", found["liquidus_K"]["value"], 0.0, 2.5 * found["liquidus_K"]["u"])
        tap.true("known to 20 uK", found["liquidus_K"]["u"] < 20e-6)
    with tap.case("impurities of zinc: individual estimates, the maximum, and its freedom"):
        A = 0.001772
        each = -(0.08e-6 * (1 - 0.02) + 0.05e-6 * (1 - 0.2)) / A
        tap.near("found", term(found, "impurities, found")["value_K"], each, 1e-12)
        rest = term(found, "impurities, the rest")
        tap.near("the rest", rest["u_K"], 0.1e-6 / A / math.sqrt(3), 1e-12)
        tap.near("pressure", term(found, "gas pressure")["value_K"], 4.3e-8 * (101290 - 101325), 1e-12)
        tap.near("head", term(found, "head")["value_K"], 2.7e-3 * 0.168, 1e-12)
        freedom = 0.5 / 0.5 ** 2 * (1 + 3 * 0.5 + 1.2 * 0.5 ** 2)
        tap.near("5.6 degrees of freedom", freedom, 5.6, 1e-12)
        tap.true("k above that of a normal distribution", found["budget"]["k"] > 1.9600)
    with tap.case("the coupling to the furnace"):
        tap.near("ratio", found["coupling"]["value"], 4e-4, 4 * found["coupling"]["u"])
        tap.near("lag", found["coupling_lag_s"], 300, 12)
    melt = firn("cell", "plateau", "--json", path_of("cells", "gallium-melt.yaml")).json()
    with tap.case("the combined method: the slope in 1/F as a bound"):
        with folder() as where:
            text = text_of("cells", "gallium-melt.yaml")
            text = text.replace("gallium-melt.csv", path_of("cells", "gallium-melt.csv"))
            text = text.replace("{total_umol_per_mol: 0.1}",
                                "{found: [{name: Pb, umol_per_mol: {value: 9, u: 1}, k: 0.3}], total_umol_per_mol: 2}\n"
                                "  slope_term: true")
            both = firn("cell", "plateau", "--json", write(where, "both.yaml", text)).json()
        slope = both["fit_1_F"]["slope_K"]
        tap.near("u", term(both, "impurities, by the slope")["u_K"],
                 (abs(slope["value"]) + slope["u"]) / math.sqrt(3), 1e-12)
        tap.true("less pure than 99.999 %", "99.999" in " ".join(both["reservations"]))
    with tap.case("the fits of a melt, by NumPy"):
        rows = np.loadtxt(path_of("cells", "gallium-melt.csv"), delimiter=",", skiprows=1)
        F = (rows[:, 0] - melt["start_s"]) / (melt["end_s"] - melt["start_s"])
        use = (F >= 0.2) & (F <= 0.8)
        for name, x in (("fit_F", F[use] - 1), ("fit_1_F", 1 / F[use] - 1)):
            slope, at = np.polyfit(x, rows[use, 1] / 1e3, 1)
            tap.near(name, melt[name]["liquidus_K"]["value"], float(at), 1e-10)
            tap.near(name + " slope", melt[name]["slope_K"]["value"], float(slope), 1e-10)


# ---- compare

def differences_of(said):
    """Freed of isotopes and head, in microkelvin, with the year and u."""
    def isotopes(cell):
        x = said["cells"][cell]["isotopes"]
        return 673 * x["dD"]["value"] + 630 * x["d18O"]["value"]
    for x in said["differences"]:
        if "readings" in x:  # a b b a at equal steps
            r = [t["uK"] for t in x["readings"]]
            d, u = (r[0] - r[1] - r[2] + r[3]) / 2, x["u_uK"]
        else:
            d, u = x["uK"]["value"], x["uK"]["u"]
        depth = [t["value"] for t in x["depth_mm"]]
        u = math.hypot(u, 0.73 * math.sqrt(2))  # 1 mm in each depth
        d += 0.73 * (depth[0] - depth[1]) - isotopes(x["a"]) + isotopes(x["b"])
        yield x["a"], x["b"], x["date"], d, u


def the_ensemble(tap):
    file = path_of("comparisons", "water-cells-entered.yaml")
    said = yaml.safe_load(text_of("comparisons", "water-cells-entered.yaml"))
    found = firn("cell", "compare", "--json", file)
    truth = json.loads(text_of("comparisons", "truth.json"))
    tap_found = found.json()
    values = {c["id"]: c for c in tap_found["cells"]}
    with tap.case("the adjustment, by NumPy's least squares"):
        names = list(said["cells"])
        rows, y = [], []
        last = max(x["date"] for x in said["differences"])
        for a, b, date, d, u in differences_of(said):
            row = np.zeros(len(names) + 1)
            years = (date - last).days / 365.25
            for cell, sign in ((a, 1), (b, -1)):
                row[names.index(cell)] += sign
                row[-1] += sign * years * (cell == "W4")
            rows.append(row / u)
            y.append(d / u)
        rows.append(np.eye(len(names) + 1)[-1] / 4)  # the prior of borosilicate: -4(4) uK a year
        y.append(-1.0)
        rows.append(np.eye(len(names) + 1)[names.index("W3")] * 1e3)
        y.append(-5 * 1e3)
        x, *_ = np.linalg.lstsq(np.array(rows), np.array(y), rcond=None)
        for name, value in zip(names, x):
            tap.near(name, values[name]["value_K"]["value"], value * 1e-6, 2e-10)
        tap.near("drift of W4", values["W4"]["drift_K_per_year"]["value"], x[-1] * 1e-6, 1e-10)
        chi2 = float(np.sum((np.array(rows) @ x - np.array(y)) ** 2))
        tap.near("chi2", tap_found["chi2"], chi2, 1e-4)
        tap.true("they agree", tap_found["consistent"] and found.status == 0)
    with tap.case("the drifting and the replaced cells come out as they were put in"):
        years = (last - datetime.date(2028, 1, 1)).days / 365.25
        drift = values["W4"]["drift_K_per_year"]
        tap.near("drift", drift["value"], -13e-6, 2 * drift["u"])
        shift = values["W3"]["value_K"]["value"] - truth["value_uK"]["W3"] * 1e-6
        for name in ("W4", "W5", "W5b", "W6", "W7"):
            true = truth["value_uK"][name[:2]] + truth["drift_uK_per_year"].get(name, 0.0) * years
            true += truth["step"]["W5"]["uK"] if name == "W5b" else 0.0
            off = values[name]["value_K"]["value"] - shift - true * 1e-6
            # five cells at once: 3 u
            tap.near(name, off, 0.0, 3 * math.sqrt(values[name]["value_K"]["u"] ** 2 - 18e-6 ** 2))
    with tap.case("the step is found where it is, with its size"):
        run = firn("cell", "compare", "--json", path_of("comparisons", "water-cells.yaml"))
        tap.status(run, 1)
        step = run.json()["steps"][0]
        tap.equal("cell", step["cell"], "W5")
        tap.equal("before", step["before"][:4], "2031")
        tap.near("size", step["step_K"], -60e-6, 2.5 * step["u_K"])
    with tap.case("against the mean no correction is spoken of"):
        text = text_of("comparisons", "water-cells-entered.yaml")
        with folder() as where:
            line = next(x for x in text.split("\n") if x.startswith("datum:"))
            path = write(where, "mean.yaml", text.replace(line, "datum: mean"))
            run = firn("cell", "compare", "--json", path)
            tap.near("they add to nothing", sum(c["value_K"]["value"] for c in run.json()["cells"]), 0.0, 1e-9)
            tap.near("chi2 is the same", run.json()["chi2"], tap_found["chi2"], 1e-6)
            tap.true("said", "no cell may be corrected" in " ".join(run.json()["reservations"]))


# ---- the certificate of a cell

def the_certificate(tap, where):
    file = path_of("comparisons", "water-cells-entered.yaml")
    found = firn("cell", "compare", "--json", file).json()
    w4 = next(c for c in found["cells"] if c["id"] == "W4")
    with tap.case("with isotopes: the value plus the cell's own effect, whose u falls out"):
        effect = 673e-6 * -0.0712 + 630e-6 * -0.0098
        tap.near("value", w4["with_isotopes_K"]["value"], w4["value_K"]["value"] + effect, 1e-12)
        tap.true("u", w4["with_isotopes_K"]["u"] < w4["value_K"]["u"])
    with tap.case("a draft, page for page the same at every run"):
        paths = [os.path.join(where, name) for name in ("a.pdf", "b.pdf")]
        for path in paths:
            tap.status(firn("cell", "compare", file, "--pdf", path), 0)
        contents = [open(path, "rb").read() for path in paths]
        tap.true("a PDF", contents[0][:5] == b"%PDF-")
        tap.true("the same bytes", contents[0] == contents[1])
        words = subprocess.run(["pdftotext", "-layout", paths[0], "-"], capture_output=True, text=True,
                               check=True).stdout
        U = f"{1e6 * w4['with_isotopes_U_K']:.0f} µK"
        words = words.replace("\u00a0", " ").replace("\u03bc", "µ")
        for part in ("Draft certificate", "2027-118", U, "12.9", "end of draft"):
            tap.true(part, part in words, words)
    text = text_of("comparisons", "water-cells-entered.yaml")
    datum = next(x for x in text.split("\n") if x.startswith("datum:"))
    for new, part in (((datum, "datum: mean"), "named reference"),
                      (("  cell: W4", "  cell: W3"), "certificate already"),
                      (("report:\n  cell: W4", "# report:\n# cell: W4"), "needs report"),
                      (("  cell: W4", "  cell: W4\n  sell: 1"), "did you mean cell")):
        with tap.case(f"no certificate: {part}"):
            tap.true("the place is there", new[0] in text)
            changed = text.replace(*new, 1)
            if part == "needs report":
                changed = re.sub("^  (laboratory|place|item|measured_by):.*\n", "", changed, flags=re.M)
            path, pdf = write(where, "no.yaml", changed), os.path.join(where, "no.pdf")
            run = firn("cell", "compare", path, "--pdf", pdf)
            tap.status(run, 2)
            tap.true(part, part in run.err, run.err)
            tap.true("nothing is written", not os.path.exists(pdf))
    with tap.case("comparisons that do not agree make none"):
        pdf = os.path.join(where, "no.pdf")
        run = firn("cell", "compare", path_of("comparisons", "water-cells.yaml"), "--pdf", pdf)
        tap.status(run, 2)
        tap.true("why", "do not agree" in run.err, run.err)
        tap.true("nothing is written", not os.path.exists(pdf))


# ---- what is wrong

CHECK = """kind: cell
cell: {point: H2O, level_mm: 265, well: {material: borosilicate, bore_mm: 12, wall_mm: 1}}
check:
  bubble: {headspace_mL: 40, diameter_mm: 5, head_mm: 50}
"""
PROFILE = CHECK.split("check:")[0] + """profile:
  u_uK: 4
  readings: [{height_mm: 20, mK: 0.02}, {height_mm: 10, mK: 0.01}, {height_mm: 0, mK: 0}]
"""
COMPARE = """kind: cell comparison
point: H2O
cells: {A: {isotopes: unknown}, B: {}, C: {}}
datum: {cell: A, value_uK: {value: 0, u: 20}, source: X}
differences:
  - {date: 2030-03-04, a: A, b: B, uK: {value: 3, u: 5}}
  - {date: 2031-03-04, a: C, b: B, uK: {value: 3, u: 5}}
"""
# Command, text, what is changed into what, line of the message, part of it.
WRONG = [
    ("check", CHECK, "diameter_mm: 5", "diameter_mm: 5, plug_mL: 1", 4, "either diameter_mm"),
    ("check", CHECK, "diameter_mm: 5", "diameter_mm: 500", 4, "0.01 to 50"),
    ("check", CHECK, "headspace_mL: 40, ", "", 4, "headspace_mL"),
    ("check", CHECK, "  bubble:", "  buble:", 4, "did you mean bubble"),
    ("check", CHECK, "check:", "chek:", 3, "did you mean check"),
    ("check", CHECK, "  bubble", "  impurities: {judged: recent, total_umol_per_mol: 1}\n  bubble", 4,
     "in place of an analysis"),
    ("check", CHECK, "  bubble", "  terms: [{name: a, uK: 3}]\n  bubble", 4, "needs its standard uncertainty"),
    ("check", CHECK, "point: H2O", "point: Zn", 4, "water cell"),
    ("compare", COMPARE, "point: H2O\ncells: {A: {isotopes: unknown}", "point: Zn\ncells: {A: {glass: borosilicate}", 3,
     "water cells"),
    ("check", PROFILE, "", "", 2, "needs the section check"),
    ("profile", PROFILE, "mK: 0.02", "mK: 0.02, ohm: [1, 2]", 5, "either mK"),
    ("profile", PROFILE, "height_mm: 0,", "height_mm: 5,", 5, "no reading is at height_mm: 0"),
    ("profile", PROFILE, "height_mm: 20", "height_mm: 10", 5, "stands twice"),
    ("profile", PROFILE, "  u_uK: 4\n", "", 3, "u_uK"),
    ("profile", PROFILE, "u_uK: 4", "u_uK: 4\n  decay_mm: 12", 5, "needs its u"),
    ("profile", PROFILE, "mK: 0.01}", "ohm: [25, 25.1]}", 3, "give all of them alike"),
    ("plateau", CHECK, "check:", "plateau: {way: freeze, readings: none.csv}\ncheck:", 3, "no such file"),
    ("plateau", CHECK, "check:", "plateau: {way: thaw, readings: none.csv}\ncheck:", 3, "thaw"),
    ("compare", COMPARE, "a: C, b: B", "a: C, b: D", 7, "not under cells"),
    ("compare", COMPARE, "a: C, b: B", "a: B, b: A", 3, "no chain of comparisons leads from cell C"),
    ("compare", COMPARE, "C: {}", "C: {drifts: true}", 3, "how fast cell C drifts"),
    ("compare", COMPARE, "2031-03-04", "2031-02-30", 7, "2031-03-04"),
    ("compare", COMPARE, ", source: X", "", 4, "source"),
    ("compare", COMPARE, "u: 5}}\n  - ", "u: 0}}\n  - ", 6, "needs its u"),
    ("compare", COMPARE, "kind: cell comparison", "kind: cell", 1, "another command"),
    ("compare", COMPARE, "uK: {value: 3, u: 5}}\n  -",
     "u_uK: 5, readings: [{cell: A, minutes: 0, uK: 1}, {cell: A, minutes: 1, uK: 2}]}\n  -", 6, "in turn"),
]
SERIES = [
    ("time_s,mK\n0,1\n5,two\n", 3, "two"), ("time_s,mK\n5,1\n0,1\n", 3, "falls back"),
    ("time,mK\n0,1\n", 1, "no column time_s"), ("time_s,mK\n0\n", 2, "ends before mK"),
    ("time_s,mK\n0,9.9E37\n", 2, "9.9E37"), ("time_s,mK\n0,1\n", None, "the fewest"),
]


def what_is_wrong(tap, where):
    for verb, text, old, new, line, part in WRONG:
        with tap.case(f"{verb}: {new or 'without ' + old}".replace("\n", " ")[:90]):
            tap.true("the place is there", old in text)
            path = write(where, "wrong.yaml", text.replace(old, new, 1))
            run = firn("cell", verb, path)
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            lines = [x for x in run.err.split("\n") if part in x]
            tap.true(part, lines != [], run.err)
            tap.true(f"line {line}", any(f"wrong.yaml:{line}:" in x for x in lines), run.err)
    plateau = write(where, "plateau.yaml", CHECK.replace("check:", "plateau: {way: freeze, readings: s.csv}\ncheck:"))
    for text, line, part in SERIES:
        with tap.case(f"series: {part}"):
            write(where, "s.csv", text)
            run = firn("cell", "plateau", plateau)
            tap.status(run, 2)
            tap.true(part, part in run.err and (line is None or f"s.csv:{line}:" in run.err), run.err)


def the_schema(tap):
    described = validator_of(schema("cell comparison"))
    result = validator_of(strict(schema("cell comparison result")))
    with tap.case("comparisons and their results follow their schemas"):
        for name in ("water-cells.yaml", "water-cells-entered.yaml"):
            tap.equal(name, faults(described, as_json(path_of("comparisons", name))), [])
            found = firn("cell", "compare", "--json", path_of("comparisons", name))
            tap.equal(name, faults(result, found.json()), [])
    with tap.case("docs/guide/cell-compare.md names every key"):
        with open(os.path.join(HERE, "..", "..", "docs", "guide", "cell-compare.md"), encoding="utf-8") as file:
            guide = file.read()
        whole = schema("cell comparison")["properties"]
        keys = set(whole) | set(whole["cells"]["additionalProperties"]["properties"])
        keys |= set(whole["differences"]["items"]["properties"])
        tap.equal("not in the guide", sorted(k for k in keys if f"`{k}`" not in guide), [])


def main():
    tap = Tap()
    the_check(tap)
    the_profile(tap)
    the_plateau(tap)
    the_ensemble(tap)
    with folder() as where:
        the_certificate(tap, where)
        what_is_wrong(tap, where)
    the_schema(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
