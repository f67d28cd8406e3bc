#!/usr/bin/python3
"""Corrections and R(TPW) of `firn reduce` as they arrive in W: sign, unit and side.

Each case changes a small job whose readings are made here from one resistance a visit, without
heating, so that every number below follows by hand. W of a point is (R - R(TPW) dW_r/dt dT)/R(TPW),
with dT the cell's temperature minus the defined one (CCT Guide ch. 5 (2018), 4.4.1).
"""
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

TPW_OHM = (25.5, 25.5001, 25.5003)  # of the three visits to water
GA_OHM = 28.5124
# Slope of (10a) at 302.9146 K, 1/K, by mpmath at 40 digits from the constants of Table 4
# (data/reference-functions.csv): sum i c_i x^(i-1)/481, x = (302.9146 - 754.15)/481.
GA_SLOPE_PER_K = 3.9524122275e-3
JOB = """kind: fixed-point calibration
thermometer: {{id: T, sensor: long stem, nominal_ohm: 25.5}}
cells:
  W: {{point: H2O, u_cell_mK: 0.04}}
  G: {{point: Ga, u_cell_mK: 0{cell}}}
visits:
  - {{id: 1, cell: W, depth_m: 0, u_mK: 0}}
  - {{id: 2, cell: G, depth_m: 0, pressure_Pa: 101325, u_mK: 0{tpw}}}
  - {{id: 3, cell: W, depth_m: 0, u_mK: 0}}
  - {{id: 4, cell: W, depth_m: 0, u_mK: 0}}
tpw: {scheme}
readings: readings.csv
"""


def readings():
    """Two currents with one resistance; visit 2 is a quarter of the way from visit 1 to visit 3."""
    lines = ["time,visit,current_mA,resistance_ohm"]
    for visit, hour, ohm in ((1, 8, TPW_OHM[0]), (2, 9, GA_OHM), (3, 12, TPW_OHM[1]),
                             (4, 13, TPW_OHM[2])):
        lines += [f"2031-03-04T{hour:02}:00:00Z,{visit},{mA},{ohm!r}" for mA in (1, 2)]
    return "\n".join(lines) + "\n"


def gallium(tap, **changes):
    """The visit to gallium as the result has it."""
    settings = {"cell": "", "tpw": "", "scheme": "after"} | changes
    job = JOB.format(**settings)
    if "triple" in settings["cell"]:  # a triple point has no gas above it
        job = job.replace("pressure_Pa: 101325, ", "")
    with folder() as where:
        write(where, "readings.csv", readings())
        run = firn("reduce", "--json", write(where, "job.yaml", job))
    tap.true("reduced", run.status in (0, 1), run.describe())
    return next(v for v in run.json()["visits"] if v["id"] == "2")


def schemes(tap):
    """Which R(TPW) a point is divided by."""
    quarter = 0.75 * TPW_OHM[0] + 0.25 * TPW_OHM[1]
    for scheme, tpw, want in (("after", "", TPW_OHM[1]), ("before", "", TPW_OHM[0]),
                              ("one", "", TPW_OHM[0]), ("interpolated", "", quarter),
                              ("before", ", tpw: 4", TPW_OHM[2]),
                              ("interpolated", ", tpw: 4", TPW_OHM[2])):
        with tap.case(f"tpw: {scheme}{tpw}"):
            visit = gallium(tap, scheme=scheme, tpw=tpw)
            tap.near("W", visit["w"]["value"], GA_OHM / want, 1e-14)


def corrections(tap):
    """(name, what the cell states, dT in kelvin): by arithmetic, with the sources that the keys have."""
    k_by_slope = -7e-5  # 100 umol/mol of -7e-7 K/(umol/mol)
    k_by_k = -100e-6 * (1 - 0.2) / 0.007714  # x (1 - k)/A; A: CCT Guide sec. 2.1 (2018), Table 1
    for name, cell, want_K in (
        ("triple_point", ", triple: true", 302.9166 - 302.9146),
        ("impurities", ", impurities: [{element: Zn, x_umol_per_mol: 100, "
         "K_per_umol_per_mol: -7e-7}]", k_by_slope),
        ("impurities", ", impurities: [{element: Zn, x_umol_per_mol: 100, k: 0.2}]", k_by_k),
        ("cell_certificate", ", certificate: {correction_mK: 0.4}", -0.4e-3),
    ):
        with tap.case(f"{name}{cell}"):
            plain = gallium(tap)["w"]["value"]
            visit = gallium(tap, cell=cell)
            found = [c for c in visit["corrections"] if c["name"] == name]
            tap.equal("stated once", len(found), 1)
            tap.near("dT", found[0]["value_K"], want_K, 1e-12)
            # W is rounded to 2e-16; the slope has eight digits
            tap.near("in W", visit["w"]["value"] - plain, -GA_SLOPE_PER_K * want_K,
                     1e-15 + 1e-7 * abs(GA_SLOPE_PER_K * want_K))


def main():
    tap = Tap()
    schemes(tap)
    corrections(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
