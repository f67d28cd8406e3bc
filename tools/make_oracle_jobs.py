#!/usr/bin/env python3
"""Turns end-to-end examples into job files for `firn reduce`.

    tools/make_oracle_jobs.py EXAMPLES TESTS

EXAMPLES holds folders full-N-... with setup.csv, readings.csv, uncertainty-inputs.csv and the
expected values, computed at 40 digits (tests/oracle/README.md tells how). For each, TESTS/full-N
gets the jobs of the five uncertainty cases, their readings, and the expected values with the
names that jobs and results use. Run by hand; what it writes is committed.
"""
import csv
import glob
import os
import re
import sys

SUBRANGES = {
    "13.8033K-273.16K": "e-H2_H2O", "24.5561K-273.16K": "Ne_H2O", "54.3584K-273.16K": "O2_H2O",
    "83.8058K-273.16K": "Ar_H2O", "-38.8344C-29.7646C": "Hg_Ga", "0C-29.7646C": "H2O_Ga",
    "0C-156.5985C": "H2O_In", "0C-231.928C": "H2O_Sn", "0C-419.527C": "H2O_Zn",
    "0C-660.323C": "H2O_Al", "0C-961.78C": "H2O_Ag",
}
SENSORS = {"full-1": "long stem", "full-2": "long stem", "full-3": "capsule",
           "full-4": "high temperature"}
EXPECTED = ["corrections", "coefficients", "temperatures", "uncertainty", "sensitivities",
            "covariance"]
NOT_HERE = ("dT90_dT_on_Wr_side", "T90_inverse_fn_K", "f_i", "R_corrected_ohm")
USE = "use"  # id of the user's own visit to the water triple point


def rows(path):
    with open(path, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def isotopes(setup, point):
    """The isotopes key of a cell, from setup.csv; empty where none act."""
    keys = {"H2O": [("dD", "isotopes_H2O_dD"), ("d18O", "isotopes_H2O_d18O")],
            "e-H2": [("xD_umol_per_mol", "isotopes_e-H2_xD")],
            "Ne": [("x22", "isotopes_Ne_x22"), ("x21", "isotopes_Ne_x21")]}.get(point, [])
    given = [f"{key}: {setup[name]}" for key, name in keys if name in setup]
    return f", isotopes: {{{', '.join(given)}}}" if given else ""


def resistor_names(readings):
    values = list(dict.fromkeys(r["Rs_cal_ohm"] for r in readings))
    return dict(zip(values, ["S", "S2", "S3"]))


class Case:
    """Which job of a set is written. use: cell of the user's own R(TPW), or None."""

    def __init__(self, name, says, shared, own, use=None, equation=False, explicit=True):
        self.name, self.says, self.shared, self.own = name, says, shared, own
        self.use, self.equation, self.explicit = use, equation, explicit


CASES = [
    Case("job", "the set as it stands: u_calibration is case b, u_in_use case d", True, None,
         explicit=False),
    Case("job-a", "every R(TPW) independent: u_calibration is case a", False, None, use="W1"),
    Case("job-c", "the user's own R(TPW) in the same cell: u_in_use is case c", True, None,
         use="W1"),
    Case("job-c-prime", "the user's own R(TPW) in an independent cell: u_in_use is case c'", True,
         None, use="W2"),
    Case("job-equation", "as job.yaml, W_r at the points from the equations", True, None,
         equation=True),
]


def u_of(uncertainty, point, shared):
    """u_cell_mK and u_mK of a point as text."""
    u = uncertainty[point]
    if not shared:
        return "0", u["u_Ti_mK"]
    return u["u_common_to_cell_mK"], u["u_own_mK"]


def job_text(name, title, case, setup, readings, uncertainty):
    resistors = resistor_names(readings)
    points = list(dict.fromkeys(r["point"] for r in readings if r["point"] != "X"))
    single = setup["TPW_scheme"] == "single"
    scheme = "after" if not single else "one" if case.explicit is False else "before"
    out = [f"# {title}", f"# {case.says}.", "kind: fixed-point calibration",
           f"thermometer: {{id: {name}, sensor: {SENSORS[name]}}}", "resistors:"]
    for value, label in resistors.items():
        out.append(f"  {label}: {{ohm: {value}, u_ohm: 0, "
                   f"at_C: {setup['reference_resistor_calibration_temperature']}, "
                   f"per_K: {setup['reference_resistor_temperature_coefficient']}, u_per_K: 0}}")
    out += ["bridges:", "  B1: {u_linearity: 0}", "cells:"]
    cells = {}
    for point in points:
        cells[point] = "W1" if point == "H2O" else point.upper()
        u_cell, _ = u_of(uncertainty, point, case.shared)
        out.append(f"  {cells[point]}: {{point: {point}, u_cell_mK: {u_cell}"
                   f"{isotopes(setup, point)}}}")
    if case.use == "W2":
        u_cell, _ = u_of(uncertainty, "H2O", case.shared)
        out.append(f"  W2: {{point: H2O, u_cell_mK: {u_cell}{isotopes(setup, 'H2O')}}}")
    out.append("visits:")
    for r in readings:
        keys = [f"id: {r['seq']}"]
        keys.append("measure: true" if r["point"] == "X" else f"cell: {cells[r['point']]}")
        keys += [f"resistor: {resistors[r['Rs_cal_ohm']]}", "bridge: B1"]
        keys += [f"{key}: {r[key]}" for key in ("depth_m", "pressure_Pa") if r[key]]
        if r["point"] != "X":
            keys.append(f"u_mK: {u_of(uncertainty, r['point'], case.shared)[1]}")
        if r["point"] == "X" and case.use:
            keys.append(f"tpw: {USE}")
        elif r["tpw_seq"] and (case.explicit or (r["point"] == "X" and not single)):
            keys.append(f"tpw: {r['tpw_seq']}")
        out.append(f"  - {{{', '.join(keys)}}}")
    if case.use:
        own = use_reading(readings)
        out.append(f"  - {{id: {USE}, cell: {case.use}, "
                   f"resistor: {resistors[own['Rs_cal_ohm']]}, bridge: B1, "
                   f"depth_m: {own['depth_m']}, "
                   f"u_mK: {u_of(uncertainty, 'H2O', case.shared)[1]}}}")
    out += [f"tpw: {scheme}", f"wr_at_points: {'equation' if case.equation else 'table'}",
            "subranges: all", f"readings: readings{'-use' if case.use else ''}.csv"]
    return "\n".join(out) + "\n"


def use_reading(readings):
    """The user's own R(TPW) has the readings of the visit that the unknowns are divided by."""
    named = {r["tpw_seq"] for r in readings if r["point"] == "X"}
    assert len(named) == 1
    return next(r for r in readings if r["seq"] in named)


def readings_text(readings, with_use):
    out = ["time,visit,current_mA,ratio,bath_C"]
    taken = [(r["seq"], r) for r in readings]
    if with_use:
        taken.append((USE, use_reading(readings)))
    for visit, r in taken:
        for current, ratio in (("i1_mA", "X_i1"), ("i2_mA", "X_i2"), ("i1_mA", "X_i1_repeat")):
            out.append(f",{visit},{r[current]},{r[ratio]},{r['Rs_bath_degC']}")
    return "\n".join(out) + "\n"


def expected_text(path):
    """Carried over digit for digit; subranges get the names of results, unused columns go."""
    header, table = [], []
    with open(path, encoding="utf-8") as file:
        for line in file:
            (header if line.startswith("#") else table).append(line.rstrip("\n"))
    records = list(csv.reader(table))
    keep = [i for i, column in enumerate(records[0]) if column not in NOT_HERE]
    out = [re.sub(r"the examples README|README\.md in the examples folder", "README.md", h)
           for h in header if not h.startswith("# dT90_dT_on_Wr_side")]
    for record in records:
        out.append(",".join(SUBRANGES.get(record[i], record[i]) for i in keep))
    return "\n".join(out) + "\n"


def write(folder, name, text):
    with open(os.path.join(folder, name), "w", encoding="utf-8", newline="\n") as file:
        file.write(text)


def make(source, target):
    name = "-".join(os.path.basename(source).split("-")[:2])
    folder = os.path.join(target, name)
    os.makedirs(folder, exist_ok=True)
    readings = rows(os.path.join(source, "readings.csv"))
    setup = {r["key"]: r["value"] for r in rows(os.path.join(source, "setup.csv"))}
    uncertainty = {r["point"]: r for r in rows(os.path.join(source, "uncertainty-inputs.csv"))}
    with open(os.path.join(source, "setup.csv"), encoding="utf-8") as file:
        title = file.readline().split(": ", 1)[1].strip()
    title += ". Invented readings"
    for case in CASES:
        write(folder, case.name + ".yaml",
              job_text(name, title, case, setup, readings, uncertainty))
    for with_use in (False, True):
        write(folder, f"readings{'-use' if with_use else ''}.csv",
              readings_text(readings, with_use))
    for expected in EXPECTED:
        write(folder, f"expected-{expected}.csv",
              expected_text(os.path.join(source, f"expected-{expected}.csv")))


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    for found in sorted(glob.glob(os.path.join(sys.argv[1], "full-*"))):
        make(found, sys.argv[2])
