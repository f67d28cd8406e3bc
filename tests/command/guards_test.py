"""Nothing is overwritten, dropped or computed from what does not belong together.

Uses the set tests/oracle/full-1 (invented readings) and the example hundred-ohm (simulated).
"""
import os
import re
import shutil
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

ROOT = os.path.join(HERE, "..", "..")
SET = os.path.join(ROOT, "tests", "oracle", "full-1")
EXAMPLE = os.path.join(ROOT, "examples", "hundred-ohm")


def text_of(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def copy_of(where, source):
    for name in ("job.yaml", "readings.csv"):
        shutil.copy(os.path.join(source, name), where)
    return os.path.join(where, "job.yaml")


def outputs(tap):
    for options in (["--result", "job.yaml"], ["--pdf", "./readings.csv"], ["--pdf", "x", "--result", "./x"],
                    ["--result", "link"], ["--explain", "visit.1.R", "--pdf", "x"],
                    ["--explain", "visit.1.R", "--json"]):
        with folder() as where, tap.case("an output in the wrong place: " + " ".join(options)):
            copy_of(where, EXAMPLE)
            os.symlink("job.yaml", os.path.join(where, "link"))
            before = {name: text_of(os.path.join(where, name)) for name in ("job.yaml", "readings.csv")}
            tap.status(firn("reduce", "job.yaml", *options, cwd=where), 2)
            for name, text in before.items():
                tap.equal(name, text_of(os.path.join(where, name)) == text, True)
            tap.equal("nothing new", sorted(os.listdir(where)), ["job.yaml", "link", "readings.csv"])


def changed(where, old, new, readings=None):
    job = copy_of(where, SET)
    text = text_of(job)
    assert old in text, old
    write(where, "job.yaml", text.replace(old, new, 1))
    if readings:
        write(where, "readings.csv", readings(text_of(os.path.join(where, "readings.csv"))))
    return job


def in_ohm(visit):
    """The readings of one visit in ohm, the others as ratios: a file can't hold both, so two columns."""
    def change(text):
        lines = text.strip().splitlines()
        head = [line for line in lines if line.startswith("#")]
        rows = [line.split(",") for line in lines if not line.startswith("#")]
        names = rows[0]
        v, x = names.index("visit"), names.index("ratio")
        out = [",".join(names + ["resistance_ohm"])]
        for row in rows[1:]:
            ohm = ""
            if row[v] == visit:
                ohm, row[x] = f"{float(row[x]) * 100.0005:.9f}", ""
            out.append(",".join(row + [ohm]))
        return "\n".join(head + out) + "\n"
    return change


def reductions(tap):
    with folder() as where, tap.case("impurities beyond what can be corrected"):
        job = changed(where, "AL: {point: Al, u_cell_mK: 0}",
                      "AL: {point: Al, u_cell_mK: 0, impurities: "
                      "[{element: Si, x_umol_per_mol: 900, u_x_umol_per_mol: 1, k: 0.1, u_k: 0.1}]}")
        run = firn("reduce", job)
        tap.status(run, 2)
        tap.true("says how much", re.search(r"visit 2: its effects add up to -\d+ mK", run.err), run.err)
    with folder() as where, tap.case("R in ohm over R(TPW) as a ratio"):
        run = firn("reduce", changed(where, "kind:", "kind:", in_ohm("2")))
        tap.status(run, 2)
        tap.true("both visits are named", "visit 2 was read in ohm, its R(TPW) at visit 3" in run.err, run.err)
    with folder() as where, tap.case("the triple point itself, measured"):
        # visit 12 divided by the very visit whose readings it repeats: W = 1, 273.16 K + 1.17 uK
        job = changed(where, "kind:", "kind:", lambda text: repeat(text, "11", "12"))
        result = firn("reduce", job, "--json")
        # the cell's corrections act on R(TPW) alone, so that W is 1 but for 238 uK
        tap.status(result, 0)
        temperatures = [t for t in result.json()["temperatures"] if t["visit"] == "12"]
        tap.true("a temperature is stated", len(temperatures) > 0)
        for t in temperatures:
            tap.near("T90", t["t90_K"]["value"], 273.16, 3e-4)
    with folder() as where, tap.case("released before it was measured"):
        job = copy_of(where, EXAMPLE)
        write(where, "job.yaml", re.sub(r"(?m)^(\s+date:).*$", r"\1 2031-01-01", text_of(job)))
        run = firn("reduce", job)
        tap.status(run, 2)
        tap.true("says why", "last reading is later" in run.err, run.err)
    with folder() as where, tap.case("a release that lacks what a certificate needs is a draft in the data too"):
        job = changed(where, "kind: fixed", "release: {number: A-1, date: 2031-01-01, name: N, function: f}\n"
                      "kind: fixed")
        run = firn("reduce", job, "--json")
        tap.status(run, 0)
        tap.equal("release", run.json()["release"], None)
        tap.true("said", any("so this is a draft" in r for r in run.json()["reservations"]))
        tap.status(firn("reduce", job, "--pdf", os.path.join(where, "x.pdf")), 2)


def repeat(text, source, target):
    """The ratios of one visit in the rows of another."""
    rows = [line.split(",") for line in text.splitlines()]
    names = next(row for row in rows if "visit" in row)
    v, x = names.index("visit"), names.index("ratio")
    ratios = [row[x] for row in rows if len(row) == len(names) and row[v] == source]
    out, i = [], 0
    for row in rows:
        if len(row) == len(names) and row[v] == target:
            row[x], i = ratios[i], i + 1
        out.append(",".join(row))
    return "\n".join(out) + "\n"


MODEL = """kind: measurement model
inputs:
  a: {{value: 0, u: 0.1}}
  b: {{value: 2, u: 0.1}}
outputs:
  y: {{formula: "{formula}"}}
  z: {{formula: "a + b"}}
"""


def silent_linear_law(tap):
    for formula, u, words in (("sqrt(a)", None, "not finite"), ("a^2", 0, "every sensitivity is zero"),
                              ("abs(a) + 0*b", 0, "every sensitivity is zero")):
        with folder() as where, tap.case(f"the linear law has nothing to say: {formula}"):
            run = firn("evaluate", "--json", write(where, "m.yaml", MODEL.format(formula=formula)))
            tap.status(run, 0)
            result = run.json()
            tap.equal("u", result["outputs"]["y"]["u"], u)
            tap.true("said", any(words in text for text in result.get("reservations", [])), result)
            if u is None:
                tap.equal("correlation", result["correlations"][0]["r"], None)


def main():
    tap = Tap()
    outputs(tap)
    silent_linear_law(tap)
    reductions(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
