"""R(TPW) from readings, computed a second time: as customers' papers state it before a calibration."""
import statistics

from examples.laboratory import A_18, A_D, UNKNOWN_WATER
from examples.scale import POINTS, wr

_SLOPE = wr(POINTS["H2O"][0])[1]


def r_tpw_ohm(job, visits, readings):
    """Of the last visit to water: at zero current, at the defined temperature."""
    visit = [v for v in visits if job["cells"][v.cell]["point"] == "H2O"][-1]
    rows = [row for row in readings if row[1] == visit.id]
    resistor = job["resistors"][visit.said["resistor"]]
    bath = statistics.fmean(float(row[4]) for row in rows)
    standard_ohm = resistor["ohm"] * (1.0 + resistor["per_K"] * (bath - resistor["at_C"]))
    r, i2 = [], []
    for large in (False, True):
        here = [row for row in rows if (float(row[2]) > 1.2 * visit.i1_mA) == large]
        current, ratio = (statistics.fmean(float(row[n]) for row in here) for n in (2, 3))
        r.append(ratio * standard_ohm)
        i2.append(current ** 2)
    at_zero = r[0] - (r[1] - r[0]) / (i2[1] - i2[0]) * i2[0]
    return at_zero * (1.0 - _SLOPE * _above_defined_K(job["cells"][visit.cell], visit.said))


def _above_defined_K(cell, said):
    """The cell at the thermometer minus 273.16 K, as the job states it."""
    isotopes = cell["isotopes"]
    dt = UNKNOWN_WATER[0] if isotopes == "unknown" else (
        A_D[0] * isotopes["dD"] + A_18[0] * isotopes["d18O"])
    dt += POINTS["H2O"][3] * said["depth_m"] + 1e-3 * said["mantle_age"]["effect_mK"]
    return dt - 1e-3 * cell.get("certificate", {}).get("correction_mK", 0.0)
