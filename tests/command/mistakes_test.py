"""Mistakes that laboratories are known to make, put into a sound calibration one at a time.

The sound one is synthetic: W of a thermometer with S = 0.9998, read at 1 mA and sqrt(2) mA with 2 mK
of heating at the lower. docs/methods/mistakes.md tells what becomes of each mistake.
"""
import math
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

WR = {"H2O": 1.0, "Hg": 0.84414211, "Ga": 1.11813889, "In": 1.60980185, "Sn": 1.89279768, "Zn": 2.5689173}
SLOPE = {"H2O": 3.9885e-3, "Hg": 4.0368e-3, "Ga": 3.9524e-3, "In": 3.8010e-3, "Sn": 3.7127e-3, "Zn": 3.4954e-3}
DL = {"H2O": -0.73e-3, "Hg": 7.1e-3, "Ga": -1.2e-3, "In": 3.3e-3, "Sn": 2.2e-3, "Zn": 2.7e-3}
ORDER = ["Zn", "H2O", "Sn", "H2O", "In", "H2O", "Ga", "H2O", "Hg", "H2O"]  # each with R(TPW) after it
R_TPW, DEPTH_M, HEATING_K, RS_OHM = 25.5, 0.2, 2e-3, 100.0


class Calibration:
    """A sound job and its readings, to be spoilt by the cases."""

    def __init__(self):
        self.visits, self.readings = [], []
        for number, point in enumerate(ORDER, 1):
            self.visits.append({"id": number, "cell": f"C-{point}", "resistor": "S", "bridge": "B",
                                "depth_m": DEPTH_M, "u_mK": 0.1})
            if point in ("Ga", "In", "Sn", "Zn"):
                self.visits[-1]["pressure_Pa"] = 101325
            self.readings += self.of(number, point)
        self.thermometer = "{id: T-1, sensor: long stem, nominal_ohm: 25.5}"
        self.settings = ""
        self.of_cells = {}  # point: further keys of its cell

    @staticmethod
    def ratio(point, current_mA):
        w = 1 + 0.9998 * (WR[point] - 1)
        kelvin = DL[point] * DEPTH_M + HEATING_K * current_mA ** 2
        return R_TPW * (w + SLOPE[point] * kelvin) / RS_OHM

    def of(self, visit, point):
        rows = []
        for current in (1.0, math.sqrt(2), 1.0):
            for i in range(6):
                noise = 2e-9 * ((i * 7 + visit * 3) % 5 - 2)
                rows.append([visit, current, self.ratio(point, current) + noise, 20.0])
        return rows

    def run(self, where):
        cells = "".join(f"  C-{p}: {{point: {p}, u_cell_mK: 0.05{self.of_cells.get(p, '')}}}\n" for p in WR)
        visits = "".join("  - {" + ", ".join(f"{k}: {v}" for k, v in visit.items()) + "}\n"
                         for visit in self.visits)
        job = (f"kind: fixed-point calibration\nthermometer: {self.thermometer}\n"
               "resistors:\n  S: {ohm: 100, u_ohm: 0, at_C: 20, per_K: 3e-6, u_per_K: 0}\n"
               "bridges:\n  B: {u_linearity: 0}\n"
               f"cells:\n{cells}visits:\n{visits}{self.settings}readings: readings.csv\n")
        rows = "".join(f",{v},{c!r},{x!r},{b!r}\n" for v, c, x, b in self.readings)
        write(where, "readings.csv", "time,visit,current_mA,ratio,bath_C\n" + rows)
        return firn("reduce", "--json", write(where, "job.yaml", job))

    def change(self, visit, function):
        for row in self.readings:
            if row[0] == visit:
                function(row)


def multiply(factor):
    def change(row):
        row[2] *= factor
    return change


def spoil_ice(c):
    """R at 0 degC where R(TPW) should be: W grows by 1/0.9999601."""
    for visit in (2, 4, 6, 8, 10):
        c.change(visit, multiply(0.9999601))


def spoil_resistor(c):
    """One visit read against a resistor 2e-4 off."""
    c.change(3, multiply(1.0002))


def spoil_current(c):
    """The higher current set to 2 mA, written down as sqrt(2) mA, at zinc."""
    for row in c.readings:
        if row[0] == 1 and row[1] > 1.2:
            row[2] = c.ratio("Zn", 2.0)


def spoil_tenfold(c):
    for row in c.readings:
        row[2] /= 100.0  # ohm for ratio, the other way round: a tenth of the resistor and more


def exchange(c):
    for row in c.readings:
        row[0] = {1: 3, 3: 1}.get(row[0], row[0])


def one_current(c):
    c.readings = [row for row in c.readings if row[1] == 1.0]
    c.change(3, lambda row: row.__setitem__(1, 1.5))


def mixed_currents(c):
    c.readings = [row for row in c.readings if row[0] != 3 or row[1] == 1.0]


def hung(c):
    c.change(5, lambda row: row.__setitem__(2, 0.41 if row[1] == 1.0 else 0.410002))


def same_reading(c):
    first = {}
    for row in c.readings:
        if row[0] == 5:
            row[2] = first.setdefault(row[1], row[2])


def no(key, visit):
    def change(c):
        del c.visits[visit - 1][key]
    return change


def put(key, visit, value):
    def change(c):
        c.visits[visit - 1][key] = value
    return change


def held(c):
    c.of_cells["H2O"] = (", isotopes: {dD: -0.05, d18O: -0.008}, certificate: "
                         "{number: 1, correction_mK: 0.03, u_mK: 0.01, contains: [isotopes, head]}")


def half_of_neon(c):
    c.of_cells["Zn"] = "}\n  NE: {point: Ne, isotopes: {x22: 0.0925}"


def far_bath(c):
    for row in c.readings:
        row[3] = 28.0


def interpolate(c):
    c.settings = "tpw: interpolated\n"


def drift_of_wire(c):
    c.change(8, multiply(1 + 4e-6))  # 1 mK


# Name, what is done, exit status, words that must stand in the messages (2) or reservations (0, 1).
CASES = [
    ("A1 R(0 degC) for R(TPW)", spoil_ice, 0, ["R(0 \u00b0C)", "20 mK at tin"]),
    ("A3 interpolated across zinc", interpolate, 2, ["200 \u00b0C"]),
    ("A3 R(TPW) changes by 1 mK", drift_of_wire, 1, []),
    ("A6 another scale of ratios", spoil_tenfold, 2, ["nominally 25.5 ohm"]),
    ("A6 tin and zinc exchanged", exchange, 2, ["is that of Sn, not of Zn"]),
    ("A7 another resistor at one visit", spoil_resistor, 0, ["Visit 3 (Sn)", "mK"]),
    ("A7 bath far from calibration", far_bath, 0, ["28.00 \u00b0C"]),
    ("A20 one current, not the same", one_current, 2, ["1.5 mA", "one current for both"]),
    ("A20 one current beside two", mixed_currents, 2, ["at one current only"]),
    ("B1 depth upwards", put("depth_m", 3, -0.2), 2, ["depth"]),
    ("B2 depth not stated", no("depth_m", 1), 0, ["Visit 1", "20 cm would be 0.54 mK"]),
    ("B4 pressure not stated", no("pressure_Pa", 1), 0, ["101325 Pa", "0.87 mK"]),
    ("B4 pressure in kPa", put("pressure_Pa", 1, 101.3), 2, ["pressure_Pa"]),
    ("B5 half an analysis", half_of_neon, 2, ["x22 stands without x21"]),
    ("B10 isotopes and head within a certificate", held, 0,
     ["Cell C-H2O: the correction of its certificate contains", "apart: isotopes, head."]),
    ("B9 higher current not as written", spoil_current, 0, ["Visit 1", "heats"]),
    ("E20 all readings equal", same_reading, 0, ["Visit 5", "are equal"]),
]


def main():
    tap = Tap()
    with folder() as where:
        sound = Calibration().run(where)
        with tap.case("the sound calibration raises none of this"):
            tap.status(sound, 0)
            text = " ".join(sound.json()["reservations"])
            for word in ("S = (W", "heats", "R(0 ", "taken as", "lies", "calibrated at", "equal"):
                tap.true(word, word not in text, text)
    for name, spoil, status, words in CASES:
        with folder() as where, tap.case(name):
            calibration = Calibration()
            spoil(calibration)
            run = calibration.run(where)
            tap.status(run, status)
            if status == 2:
                text = " ".join(m["text"] for m in run.messages())
                tap.true("a place is named", all(m["line"] > 0 for m in run.messages()), text)
            else:
                result = run.json()
                text = " ".join(result["reservations"] + [a["text"] for a in result["acceptance"]])
            for word in words:
                tap.true(word, word in text, text)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
