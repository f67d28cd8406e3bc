"""What Hollowmere's book finds, held to what its generator made true: drifts, scatter, R(TPW)."""
import csv
import datetime
import json
import math
import re
import statistics

from scipy import stats

from hollowmere.equipment import RESISTORS, VISITS
from hollowmere.laboratory import SEED, Hollowmere
from hollowmere.schedule import DISTURBED, THERMOMETERS
from hollowmere.truth import CELL_DRIFT_K, RESISTOR_DRIFT, years

# dW_r/dT90 at 273.16 K, equation (10a) of the ITS-90, 1/K.
SLOPE = 3.98853e-3


def day(text):
    return datetime.date.fromisoformat(text[:10])


def r_tpw(book, number):
    """The last one of a certificate, ohm: value and U, and the day of it."""
    last = book.file(number, "result")["r_tpw"]["sequence"][-1]
    return last["ohm"]["value"], 2.0 * last["ohm"]["u"], day(last["time"])


def hold(tap, book):
    papers = book.bodies("equipment certificate")
    resistors(tap, book, papers)
    receipts(tap, book)
    set_aside(tap, book)
    scatter(tap, book)
    small_cells(tap, book)
    cold_cell(tap, book)


# --- the resistor that drifts ---------------------------------------------------------------------

def impacts(book, *what):
    """Certificate -> what its R(TPW) and its temperatures change by, mK."""
    found = book.say("impact", *what, "--json").json()["certificates"]
    return {c["certificate"]: (1e3 * c["r_tpw"]["change_K"],
                               1e3 * max(abs(t["change_K"]) for t in c["temperatures"]))
            for c in found}


def resistors(tap, book, papers):
    with tap.case("certificates of the resistors tell the drift that they have"):
        for name, ohm in RESISTORS.items():
            seen = sorted((p["date"], p["value"], p["U"]) for p in papers.values()
                          if p["equipment"] == name)
            tap.equal(f"{name}: certificates", len(seen), 4)
            (first, a, U), (last, b, _) = seen[0], seen[-1]
            span = years(day(last)) - years(day(first))
            tap.near(f"{name}: drift", (b - a) / ohm / span, RESISTOR_DRIFT[name],
                     2.0 * U / ohm / span)  # of both, k = 2.8 for their difference
    with tap.case("impact finds what the drift did to a certificate"):
        value, U, when = r_tpw(book, "C-29-013")
        stated = book.file("C-29-013", "result")["equipment"]
        certified = next(p["value"] for p in papers.values() if p["number"] == "28-R-100-4-1106")
        tap.true("resistor", "R-100-4" in json.dumps(stated))
        true_now = RESISTORS["R-100-4"] * (1.0 + RESISTOR_DRIFT["R-100-4"] * years(when))
        off = true_now / certified - 1.0
        tap.true("it had drifted", off > 5e-7, off)
        found = impacts(book, "resistor", "R-100-4", "--ppm", repr(1e6 * off), "--from",
                        "2028-11-06")
        tap.equal("certificates", sorted(found), ["C-29-008", "C-29-013", "C-30-007"])
        change_mK, temperatures_mK = found["C-29-013"]
        tap.near("R(TPW)", change_mK, 1e3 * off / SLOPE, 1e-6)
        tap.near("temperatures", temperatures_mK, 0.0, 1e-6)
        truth = Hollowmere(SEED).r_tpw_ohm("S-150", day("2029-10-08"))
        tap.true("wrong without it", abs(value / truth - 1.0) > U / truth, value / truth - 1.0)
        tap.near("right with it", value * (1.0 + 1e-3 * SLOPE * change_mK), truth, U)


# --- thermometers ---------------------------------------------------------------------------------

def receipts(tap, book):
    with tap.case("customers bring the R(TPW) that their last certificate states"):
        calibrations = book.bodies("calibration")
        issued = sorted((c["date"], calibrations[c["calibration"]]["thermometer"], number)
                        for number, c in book.bodies("certificate").items())
        compared = 0
        for name, body in book.bodies("receipt").items():
            earlier = [number for date, thermometer, number in issued
                       if thermometer == body["thermometer"] and date < body["time"][:10]]
            if not earlier:
                continue
            # Computed by the generator from the same readings; written to 1e-6 ohm.
            tap.near(name, body["last_r_tpw_ohm"], r_tpw(book, earlier[-1])[0], 0.501e-6)
            compared += 1
        tap.true("many", compared >= 20, compared)
    with tap.case("the thermometer damaged in transport is far off what it was"):
        body = book.show("receipt", "RC-29-010")
        moved_mK = 1e3 * (body["r_tpw_ohm"] / body["last_r_tpw_ohm"] - 1.0) / SLOPE
        tap.near("moved by", moved_mK, 260.0, 2.0)
        tap.true("condition", "bent" in body["condition"])


def set_aside(tap, book):
    with tap.case("readings that somebody set aside stay, and don't count"):
        ((calibration, visit), (off, reason)), = DISTURBED.items()
        kept = (book.exported / "readings" / f"{calibration}+{visit}.csv").read_text(encoding="utf-8")
        rows = list(csv.DictReader(kept.splitlines()))
        tap.equal("kept", len(rows), 36)
        result = book.file(f"C-{calibration}", "result")
        used = result["visits"][visit - 1]["currents"][1]
        tap.equal("counted", (used["n"], used["n_set_aside"]), (12 - len(off), len(off)))
        second = [float(row["ratio"]) for row in rows[12:24]]
        mean = statistics.fmean(x for i, x in enumerate(second) if i not in off)
        tap.near("mean of the others", used["mean"], mean, 1e-15)
        tap.true("it was worth it", statistics.fmean(second) - mean > 10.0 * used["u"])
        told = f"readings 19 to 20 are set aside by ilse: {reason}"
        tap.true("traced", told in book.say("trace", f"C-{calibration}").out)


def history(book, thermometer, point):
    run = book.say("history", thermometer, point)
    s, dof = re.search(r"s = (\S+) mK with (\d+) degrees of freedom", run.out).groups()
    return run.out, float(s), int(dof)


def scatter(tap, book):
    """s of a point against the terms that were drawn for each visit to it."""
    with tap.case("check thermometers scatter by what was drawn"):
        for point, cell in (("Al", "Al2"), ("Zn", "Zn1"), ("Sn", "Sn2"), ("Ar", "Ar1")):
            said, budget, _ = VISITS[cell]
            terms = [t["u_mK"] for t in budget.values()]
            # Noise of 16 and 8 ratios extrapolated to zero current: sqrt(4/16 + 1/2/8) of one each.
            noise = 1e3 * THERMOMETERS["K-1"][4] * 4.0 * math.sqrt(4 / 16 + 1 / 16) / SLOPE
            drawn = math.hypot(*terms, noise, 0.01 * said["depth_m"])
            _, s, dof = history(book, "K-1", point)
            low, high = (math.sqrt(stats.chi2.ppf(p, dof) / dof) for p in (1e-4, 1.0 - 1e-4))
            tap.true(f"{point}: s = {s}, drawn {drawn:.3f}, {dof} degrees of freedom",
                     low * drawn < s < high * drawn)


# --- cells ----------------------------------------------------------------------------------------

def small_cells(tap, book):
    with tap.case("the small cell is used until it breaks, and then the one in its place"):
        text, _, _ = history(book, "K-2", "H2O")
        visits = re.findall(r"^  (\d{4}-\d\d-\d\d) .* (W\d) ", text, re.MULTILINE)
        tap.true("W6", ("W6" in {cell for date, cell in visits if date < "2029-03-14"}))
        tap.equal("after it broke", {cell for date, cell in visits if date >= "2029-03-14"},
                  {"W3", "W7"})
        tap.equal("state", [book.show("cell", name)["state"] for name in ("W6", "W7")],
                  ["broken", "in service"])


def cold_cell(tap, book):
    with tap.case("the drift of W4 is found, corrected, and right in size"):
        body = book.show("cell", "W4")
        corrected = body["job"]["certificate"]["correction_mK"]
        drift = -1e3 * CELL_DRIFT_K["W4"] * years(day("2030-07-09"))
        tap.near("correction", corrected, drift, 0.03)  # of the comparison, 0.008 mK standard
        moved = r_tpw(book, "C-29-007R")[0] / r_tpw(book, "C-29-007")[0] - 1.0
        first = book.file("C-29-007R", "job", text=True)
        first = float(re.search(r'"correction_mK": *([-.0-9]+)', first).group(1))
        tap.near("moved by the correction", moved, first * 1e-3 * SLOPE, 1e-11)
        tap.true("it has drifted on", corrected > first > 0.05, f"{first} then {corrected}")
        found = impacts(book, "cell", "W4", "--mK", repr(-first), "--from", "2029-05-01")
        tap.near("impact said so", found["C-29-007"][0], 1e3 * moved / SLOPE, 1e-6)
