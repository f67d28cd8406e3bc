#!/usr/bin/python3
"""`firn schema`, and that the schemas say what the program does.

Three ways meet: a general-purpose validator (python3-jsonschema, draft 2020-12) takes every job,
model, header and result there is; the keys that the program itself names in its message about an
unknown key are those of the schema; and so are those of the user guide.
"""
import copy
import glob
import json
import os
import re
import sys

import jsonschema
import yaml

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

TOP = os.path.join(HERE, "..", "..")
ORACLE = os.path.join(TOP, "tests", "oracle")
GUIDE = os.path.join(TOP, "docs", "guide")
JOB, READINGS, MODEL = "fixed-point calibration", "readings", "measurement model"
RESULT, EVALUATION = "fixed-point calibration result", "evaluation result"
VALIDATION = "validation record"
PROCEDURE, CHANGE = "procedure", "procedure change"
EFFECTS = "cell effects"
PLAN, REACHED = "plan", "plan result"
CELL = "cell"
COMPARISON = "cell comparison"
CELL_RESULTS = ["cell fit result", "cell preparation result", "cell keeping result", "cell check result",
                "cell profile result", "cell plateau result", "cell comparison result"]
KINDS = [JOB, READINGS, MODEL, CELL, COMPARISON, PROCEDURE, CHANGE, PLAN, REACHED, EFFECTS, RESULT, EVALUATION,
         *CELL_RESULTS, VALIDATION]
NO_KEY = "zzqqxx"


class Loader(yaml.SafeLoader):
    """YAML as a job is read: 1e-8 is a number, a date is a text, yes is no truth value."""


Loader.yaml_implicit_resolvers = {}
Loader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(true|false)$"), list("tf"))
Loader.add_implicit_resolver("tag:yaml.org,2002:null", re.compile(r"^(~|null|)$"), ["~", "n", ""])
Loader.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"^[-+]?(0|[1-9][0-9]*)$"),
                             list("-+0123456789"))
Loader.add_implicit_resolver(
    "tag:yaml.org,2002:float",
    re.compile(r"^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$"), list("-+.0123456789"))
Loader.add_constructor("tag:yaml.org,2002:float", lambda loader, node: float(node.value))


def as_json(path):
    """What a YAML file says, in JSON's terms: names are texts."""
    with open(path, encoding="utf-8") as file:
        data = yaml.load(file, Loader)
    return json.loads(json.dumps(data))


def schema(kind):
    return firn("schema", kind).json()


def strict(part):
    """The schema with every object closed, so that whatever it doesn't describe shows."""
    part = copy.deepcopy(part)
    if isinstance(part, dict):
        part = {key: strict(value) for key, value in part.items()}
        if part.get("type") == "object" and "properties" in part:
            part.setdefault("additionalProperties", False)
    elif isinstance(part, list):
        part = [strict(value) for value in part]
    return part


def faults(validator, data):
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}"
            for e in validator.iter_errors(data)]


def validator_of(described):
    jsonschema.Draft202012Validator.check_schema(described)
    return jsonschema.Draft202012Validator(described)


# ---- the command

def the_command(tap):
    with tap.case("firn schema lists the kinds"):
        run = firn("schema")
        tap.status(run, 0)
        tap.equal("kinds", [re.split(r"  +", line)[0] for line in run.out.splitlines()], KINDS)
        tap.equal("the same as JSON", [x["kind"] for x in firn("schema", "--json").json()], KINDS)
    for kind in KINDS:
        with tap.case(f"firn schema {kind}: JSON Schema, draft 2020-12"):
            found = schema(kind)
            tap.equal("$schema", found["$schema"], "https://json-schema.org/draft/2020-12/schema")
            tap.true("$id", found["$id"].startswith("urn:firn:schema:"), found["$id"])
            validator_of(found)
            for words in (kind.split(), [kind.replace(" ", "-")], [kind.replace(" ", "_")]):
                tap.equal(str(words), firn("schema", *words).out, firn("schema", kind).out)
    for words, meant in ((["measurement modell"], MODEL), (["cook book"], "firn schema")):
        with tap.case(f"there is no kind {words[0]}"):
            run = firn("schema", *words)
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true(meant, meant in run.err, run.err)


# ---- what there is

def jobs():
    return sorted(path for path in glob.glob(os.path.join(TOP, "examples", "*", "job*.yaml"))
                  + glob.glob(os.path.join(ORACLE, "*", "job*.yaml")))


def the_files(tap):
    job, model, header = (validator_of(schema(kind)) for kind in (JOB, MODEL, READINGS))
    with tap.case("every job of the examples and the oracle"):
        for path in jobs():
            tap.equal(os.path.relpath(path, TOP), faults(job, as_json(path)), [])
    with tap.case("every measurement model of the oracle"):
        for path in glob.glob(os.path.join(ORACLE, "evaluate", "*.yaml")):
            tap.equal(os.path.relpath(path, TOP), faults(model, as_json(path)), [])
    with tap.case("every procedure, as written and as printed"):
        described = validator_of(schema(PROCEDURE))
        for path in sorted(glob.glob(os.path.join(TOP, "data", "procedures", "*.yaml"))):
            tap.equal(os.path.relpath(path, TOP), faults(described, as_json(path)), [])
            name = os.path.basename(path)[:-len(".yaml")]
            tap.equal(name, faults(described, firn("cell", "procedure", name, "--json").json()), [])
    with tap.case("a laboratory's change of a procedure, which the program takes"):
        path = os.path.join(TOP, "examples", "procedures", "dry-ice.yaml")
        tap.equal("change", faults(validator_of(schema(CHANGE)), as_json(path)), [])
        run = firn("cell", "procedure", "tpw-dry-ice", "--with", path, "--json")
        tap.equal("taken", (run.status, run.err), (0, ""))
        tap.equal("printed", faults(validator_of(schema(PROCEDURE)), run.json()), [])
    with tap.case("every header of readings"):
        for path in (glob.glob(os.path.join(TOP, "examples", "*", "readings*.csv"))
                     + glob.glob(os.path.join(ORACLE, "full-*", "readings*.csv"))):
            with open(path, encoding="utf-8") as file:
                names = next(line for line in file if line[0] != "#").strip().split(",")
            tap.equal(os.path.relpath(path, TOP), faults(header, names), [])


def the_results(tap):
    result, evaluation = (validator_of(strict(schema(kind))) for kind in (RESULT, EVALUATION))
    with tap.case("every result, with nothing in it that the schema doesn't describe"):
        for path in jobs():
            run = firn("reduce", "--json", path)
            tap.true(f"{path} is reduced", run.status in (0, 1), run.describe())
            tap.equal(os.path.relpath(path, TOP), faults(result, run.json()), [])
    with tap.case("a cell's effects, likewise"):
        path = os.path.join(TOP, "examples", "cells", "fits.yaml")
        tap.equal("effects", faults(validator_of(strict(schema(EFFECTS))),
                                    firn("cell", "drawing", path, "--json").json()), [])
    with tap.case("a plan, and what it finds, likewise"):
        path = os.path.join(TOP, "examples", "plan", "plan.yaml")
        tap.equal("plan", faults(validator_of(schema(PLAN)), as_json(path)), [])
        tap.equal("result", faults(validator_of(strict(schema(REACHED))),
                                   firn("plan", path, "--json").json()), [])
    with tap.case("every evaluation, likewise"):
        for path in glob.glob(os.path.join(ORACLE, "evaluate", "*.yaml")):
            run = firn("evaluate", "--json", path)
            tap.status(run, 0)
            tap.equal(os.path.relpath(path, TOP), faults(evaluation, run.json()), [])


# ---- what is refused: by the program and by the schema

JOB_TEXT = """kind: fixed-point calibration
thermometer: {id: T, sensor: capsule}
resistors: {S: {ohm: 100}}
bridges: {B: {u_linearity: 1e-8}}
cells:
  W: {point: H2O, isotopes: {dD: -0.05, d18O: -0.008}}
  H: {point: e-H2, isotopes: {xD_umol_per_mol: 90}}
  N: {point: Ne, isotopes: {x22: 0.0925, x21: 0.0027}}
  G: {point: Ga, impurities: [{element: Fe, x_umol_per_mol: 0.1, k: 0}], certificate: {number: 1}}
visits:
  - {id: 1, cell: W, resistor: S, mantle_age: {effect_mK: -0.01}, terms: {leakage: {u_mK: 0}}}
  - {id: 2, measure: true}
  - {id: 3, cell: H}
events: [{kind: anneal, after: 1}]
limits: {capability_mK: 1}
release: {number: 1, date: 2026-11-24, name: a, function: b}
report: {place: here}
readings: readings.csv
"""
# Text before which an unknown key goes, and the way to the keys of the schema.
JOB_PLACES = [
    ("readings: readings.csv", ["#"]), ("id: T, ", ["thermometer"]), ("ohm: 100", ["$resistor"]),
    ("u_linearity: 1e-8", ["$bridge"]), ("point: H2O", ["$cell"]), ("point: Ga", ["$cell"]),
    ("dD: -0.05", ["$water"]), ("xD_umol_per_mol: 90", ["$hydrogen"]), ("x22: 0.0925", ["$neon"]),
    ("element: Fe", ["$impurity"]), ("number: 1}}", ["$cell_certificate"]),
    ("id: 1,", ["$visit"]), ("id: 2,", ["$visit"]), ("id: 3,", ["$visit"]),
    ("effect_mK: -0.01", ["$visit", "mantle_age"]), ("leakage: {", ["$visit", "terms"]),
    ("u_mK: 0}}", ["$term"]), ("kind: anneal", ["events", "[]"]),
    ("capability_mK: 1", ["limits"]), ("number: 1, date", ["release"]), ("place: here", ["report"]),
]
MODEL_TEXT = """kind: measurement model
inputs:
  a: {value: 1, u: 1}
  b: {distribution: trapezoidal, low: 0, high: 1, beta: 0.5}
  c: {readings: [1, 2]}
  d: {readings: [1, 3]}
paired: [[c, d]]
correlations: [{between: [a, b], r: 0.1}]
outputs:
  y: {formula: a + b + c + d}
  z: {equation: z = a, near: 1}
monte_carlo: {trials: 1000}
"""
MODEL_PLACES = [
    ("inputs:", ["#"]), ("value: 1", ["$input"]), ("distribution: trap", ["$input"]),
    ("readings: [1, 2]", ["$input"]), ("between:", ["correlations", "[]"]),
    ("formula: a", ["$output"]), ("equation:", ["$output"]), ("trials: 1000", ["monte_carlo"]),
]


def go(described, way):
    part = described
    for step in way:
        if step == "[]":
            part = part["items"]
        elif step.startswith("$"):
            part = described["$defs"][step[1:]]
        elif step != "#":
            part = part["properties"][step]
    return part


def keys_the_program_knows(command, path):
    """From its own message: a job has no key "x"; it can have a, b or c."""
    for message in firn(command, "--json", path).messages():
        found = re.search(rf'no key "{NO_KEY}"; it can have (.*)$', message["text"])
        if found:
            return set(re.split(r", | or ", found.group(1)))
    return None


def the_keys(tap, where):
    write(where, "readings.csv", "visit,current_mA,ratio\n")
    for command, text, places, kind in (("reduce", JOB_TEXT, JOB_PLACES, JOB),
                                        ("evaluate", MODEL_TEXT, MODEL_PLACES, MODEL)):
        described = schema(kind)
        with tap.case(f"{kind}: the file that the places are in follows the schema"):
            path = write(where, "whole.yaml", text)
            tap.equal("faults", faults(validator_of(described), as_json(path)), [])
        for before, way in places:
            with tap.case(f"{kind}, {'/'.join(way)} at '{before}': the program's keys"):
                tap.equal("the place stands once", text.count(before), 1)
                one_line = text.split(before)[0].rsplit("\n", 1)[1] != ""
                put = f"{NO_KEY}: 1" + (", " if one_line else "\n")
                path = write(where, "key.yaml", text.replace(before, put + before))
                known = keys_the_program_knows(command, path)
                tap.true("the program names its keys", known is not None)
                if known is None:
                    continue
                own = set(go(described, way)["properties"])
                tap.equal("not in the schema", sorted(known - own), [])
                tap.equal("in the schema alone", sorted(own - known), [])
                tap.true("the schema refuses the other",
                         faults(validator_of(described), as_json(path)) != [])


def the_columns(tap, where):
    with tap.case("readings: the program's columns"):
        write(where, "readings.csv", f"visit,current_mA,ratio,{NO_KEY}\n")
        run = firn("reduce", "--json", write(where, "job.yaml", JOB_TEXT))
        found = [re.search(r"the columns are (.*)$", m["text"]) for m in run.messages()]
        known = [re.split(r", | or ", m.group(1)) for m in found if m]
        own = [x["const"] for x in schema(READINGS)["items"]["oneOf"]]
        tap.equal("columns", known, [own])
    header = validator_of(schema(READINGS))
    for names in (["visit", "current_mA"], ["current_mA", "ratio"], ["visit", "ratio"],
                  ["visit", "current_mA", "ratio", "ratio"], ["visit", "current_mA", "R"]):
        with tap.case(f"a header that both refuse: {','.join(names)}"):
            tap.true("schema", faults(header, names) != [])
            write(where, "readings.csv", ",".join(names) + "\n")
            tap.status(firn("reduce", write(where, "job.yaml", JOB_TEXT)), 2)


WRONG = [
    (JOB, "ohm: 100", "ohm: 0"), (JOB, "dD: -0.05", "dD: -50"), (JOB, "kind: anneal", "kind: bent"),
    (JOB, "sensor: capsule", "sensor: big"), (JOB, "id: 2, measure: true", "id: 2"),
    (JOB, "id: 2, measure: true", "id: 2, measure: true, cell: W"), (JOB, "k: 0}", "x: 0}"),
    (JOB, "k: 0}", "k: 0, K_per_umol_per_mol: 0}"), (JOB, "effect_mK: -0.01", "effect_mK: 0.01"),
    (JOB, ", name: a", ""), (JOB, "date: 2026-11-24", "date: 24.11.2026"),
    (JOB, "point: Ga", "point: Xe"), (JOB, "id: T, ", ""), (JOB, "u_linearity: 1e-8", "u_linearity: 1"),
    (JOB, "readings: readings.csv\n", ""), (JOB, "ohm: 100", "ohm: 100, per_K: 1e-6"),
    (JOB, "readings: readings.csv", "readings: readings.csv\ncoverage_factor: 2\n"
     "coverage_probability: 0.95"), (JOB, ", x21: 0.0027", ""), (JOB, "x22: 0.0925, ", ""),
    (JOB, "{point: H2O,", "{point: e-H2-vapour, total_umol_per_mol: 1,"),
    (MODEL, "value: 1, u: 1", "u: 1"), (MODEL, "value: 1, u: 1", "value: 1, u: -1"),
    (MODEL, "value: 1, u: 1", "value: 1, low: 1"), (MODEL, ", beta: 0.5", ""),
    (MODEL, "trapezoidal", "round"), (MODEL, "readings: [1, 2]", "readings: [1]"),
    (MODEL, ", near: 1", ""), (MODEL, "r: 0.1", "r: 1.1"), (MODEL, "between: [a, b]", "between: [a]"),
    (MODEL, "formula: a + b + c + d", "formula: a, near: 1"), (MODEL, "trials: 1000", "trials: 7"),
    (MODEL, "trials: 1000", "trials: 1000, adaptive: true"), (MODEL, "  y: {", "  sin: {"),
    (MODEL, "formula: a + b + c + d", "unit: K"), (MODEL, "kind: measurement model", "kind: model"),
]


# A number at the end of its range, which both take, and one beyond it, which both refuse.
ENDS = [
    ("ohm: 100", "ohm: 1000000, u_ohm: {}", 100000, 100001),
    ("ohm: 100", "ohm: 100, at_C: 20, per_K: 0, u_bath_K: {}", 10, 10.1),
    ("{point: H2O,", "{{point: H2O, u_cell_mK: {},", 10000, 10001),
    ("{point: Ga,", "{{point: Ga, pressure_Pa: 0, u_pressure_Pa: {},", 1000000, 1000001),
    ("{point: Ga,", "{{point: Ga, total_umol_per_mol: {},", 10000, 10001),
    ("{dD: -0.05, d18O: -0.008}", "{{dD: {}, d18O: 0}}", -0.5, -0.51),
    ("{dD: -0.05, d18O: -0.008}", "{{dD: 0, d18O: {}}}", 0.1, 0.11),
    ("xD_umol_per_mol: 90", "xD_umol_per_mol: {}", 1000, 1001),
    ("xD_umol_per_mol: 90", "xD_umol_per_mol: 90, u_xD_umol_per_mol: {}", 1000, 1001),
    ("x21: 0.0027", "x21: {}", 0.1, 0.11), ("x21: 0.0027", "x21: 0, u_x21: {}", 0.1, 0.11),
    ("x21: 0.0027", "x21: 0, u_x22: {}", 1, 1.1),
    ("x_umol_per_mol: 0.1", "x_umol_per_mol: {}", 10000, 10001),
    ("x_umol_per_mol: 0.1", "x_umol_per_mol: 1, u_x_umol_per_mol: {}", 10000, 10001),
    ("k: 0}", "k: {}}}", 20, 21), ("k: 0}", "k: 0, u_k: {}}}", 20, 21),
    ("k: 0}", "K_per_umol_per_mol: {}}}", -0.1, -0.11),
    ("k: 0}", "K_per_umol_per_mol: 0, u_K_per_umol_per_mol: {}}}", 0.1, 0.11),
    ("{number: 1}", "{{number: 1, correction_mK: {}}}", 50, 51),
    ("{number: 1}", "{{number: 1, correction_mK: 0, u_mK: {}}}", 10000, 10001),
    ("id: 1, ", "id: 1, depth_m: {}, ", 2, 2.1),
    ("id: 1, ", "id: 1, depth_m: 0, u_depth_m: {}, ", 1, 1.1),
    ("id: 1, ", "id: 1, u_mK: {}, ", 10000, 6e9), ("u_mK: 0}", "u_mK: {}}}", 10000, 10001),
    ("effect_mK: -0.01", "effect_mK: 0, u_mK: {}", 10000, 10001),
    ("measure: true", "measure: true, u_temperature_mK: {}", 10000, 10001),
    ("limits: ", "use: {{tpw: 1, u_drift_mK: {}}}\nlimits: ", 10000, 10001),
    ("limits: ", "use: {{tpw: 1, u_immersion_mK: {}}}\nlimits: ", 10000, 10001),
]


def where_ranges_end(tap, where):
    write(where, "readings.csv", "visit,current_mA,ratio\n")
    described = validator_of(schema(JOB))
    for right, form, inside, outside in ENDS:
        with tap.case(f"the range ends at {form.format(inside)}".replace("\n", " ")):
            tap.equal("the place stands once", JOB_TEXT.count(right), 1)
            for number, taken in ((inside, True), (outside, False)):
                path = write(where, "end.yaml", JOB_TEXT.replace(right, form.format(number)))
                said = [m["text"] for m in firn("reduce", "--json", path).messages()
                        if f" is {number:g};" in m["text"] or f" is {number};" in m["text"]]
                tap.equal(f"the program takes {number}", said == [], taken)
                tap.equal(f"the schema takes {number}", faults(described, as_json(path)) == [], taken)


def what_both_refuse(tap, where):
    write(where, "readings.csv", "visit,current_mA,ratio\n")
    for kind, right, wrong in WRONG:
        command, text = ("reduce", JOB_TEXT) if kind == JOB else ("evaluate", MODEL_TEXT)
        with tap.case(f"both refuse '{wrong or 'nothing'}' for '{right}'".replace("\n", " ")):
            tap.equal("the place stands once", text.count(right), 1)
            path = write(where, "wrong.yaml", text.replace(right, wrong))
            whole = {(m["line"], m["text"]) for m in
                     firn(command, "--json", write(where, "right.yaml", text)).messages() or []
                     } if command == "reduce" else set()
            run = firn(command, "--json", path)
            tap.status(run, 2)
            new = [m for m in run.messages() if (m["line"], m["text"]) not in whole]
            tap.true("the program", any(m["file"].endswith("wrong.yaml") for m in new), run.err)
            tap.true("the schema", faults(validator_of(schema(kind)), as_json(path)) != [])


# ---- the guide

def property_names(part, found):
    if isinstance(part, dict):
        found.update(part.get("properties", {}))
        for value in part.values():
            property_names(value, found)
    elif isinstance(part, list):
        for value in part:
            property_names(value, found)
    return found


def the_guide(tap):
    for kind, page in ((JOB, "job-file.md"), (MODEL, "model-file.md")):
        with tap.case(f"docs/guide/{page} names every key of the schema, and no other"):
            with open(os.path.join(GUIDE, page), encoding="utf-8") as file:
                text = file.read()
            own = property_names(schema(kind), set())
            examples = " ".join(re.findall(r"```.*?```", text, re.S))
            text = re.sub(r"```.*?```", "", text, flags=re.S)
            words = set(re.findall(r"[A-Za-z_][A-Za-z0-9_]*",
                                   " ".join(re.findall(r"`([^`]+)`", text))))
            words.update(re.findall(r"([A-Za-z_][A-Za-z0-9_]*):", examples))
            tap.equal("not in the guide", sorted(own - words), [])
            first = re.findall(r"^\| (`[^|]*) \|", text, re.M)
            keys = {w for cell in first for w in re.findall(r"`([A-Za-z_]\w*)(?::[^`]*)?`", cell)}
            listed = json.dumps(schema(kind))
            tap.equal("in the guide alone",
                      sorted(k for k in keys - own if f'"{k}"' not in listed), [])
    with tap.case("docs/guide/readings.md names every column"):
        with open(os.path.join(GUIDE, "readings.md"), encoding="utf-8") as file:
            keys = re.findall(r"^\| `(\w+)`", file.read(), re.M)
        tap.equal("columns", keys, [x["const"] for x in schema(READINGS)["items"]["oneOf"]])


def main():
    tap = Tap()
    the_command(tap)
    the_files(tap)
    the_results(tap)
    with folder() as where:
        the_keys(tap, where)
        the_columns(tap, where)
        what_both_refuse(tap, where)
        where_ranges_end(tap, where)
    the_guide(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
