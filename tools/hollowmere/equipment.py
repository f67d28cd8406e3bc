"""Equipment: what it is, what its certificates say from which day on, how it is checked in between."""
import bisect
import datetime

from examples.example import terms

from .history import at, day, workday
from .truth import RESISTOR_DRIFT, START

LAST, _BEGIN = day("2030-12-19"), START
# Values at the beginning of 2028, ohm.
RESISTORS = {"R-100-3": 100.000494, "R-100-4": 100.000218, "R-25-1": 25.0003384,
             "R-25-2": 24.9998716}
_U_OHM = {"R-100-3": 1e-5, "R-100-4": 1e-5, "R-25-1": 2e-6, "R-25-2": 2e-6}  # standard
BRIDGES = {"B2": ("R-100-3", "R-100-4"), "B3": ("R-25-1", "R-25-2")}
_WATER = {"point": "H2O", "u_cell_mK": 0.02, "total_umol_per_mol": 0.1}


def _water(d_D, d_18):
    return {**_WATER, "isotopes": {"dD": d_D, "u_dD": 0.001, "d18O": d_18, "u_d18O": 0.0002,
                                   "r_dD_d18O": 0.6}}


# What a job says of a cell, its geometry, and the day it was filled or bought.
CELLS = {
    "W3": (_water(-0.0612, -0.0085), (12.0, 265, 60), "2024-05-14"),
    "W4": (_water(-0.0587, -0.0081), (12.0, 265, 60), "2019-10-02"),
    "W6": ({**_WATER, "isotopes": "unknown"}, (9.0, 170, 35), "2022-03-21"),
    "W7": (_water(-0.0634, -0.0088), (9.0, 170, 35), "2029-05-07"),
    "Ga1": ({"point": "Ga", "u_cell_mK": 0.03, "total_umol_per_mol": 0.2}, None, "2023-02-06"),
    "Sn2": ({"point": "Sn", "u_cell_mK": 0.06, "total_umol_per_mol": 0.5}, None, "2020-09-09"),
    "Zn1": ({"point": "Zn", "u_cell_mK": 0.1, "total_umol_per_mol": 0.5}, None, "2020-09-09"),
    "Al2": ({"point": "Al", "u_cell_mK": 0.2, "total_umol_per_mol": 1.0}, None, "2021-01-18"),
    "Hg1": ({"point": "Hg", "u_cell_mK": 0.05, "total_umol_per_mol": 0.1}, None, "2022-11-30"),
    "Ar1": ({"point": "Ar", "u_cell_mK": 0.05, "total_umol_per_mol": 1.0}, None, "2027-06-01"),
}

# Geometry of a visit, terms of its budget, heating in mK at the first current.
VISITS = {
    "Al2": ({"depth_m": 0.168, "u_depth_m": 0.004, "pressure_Pa": 101480, "u_pressure_Pa": 60},
            terms(0.25, 0.1, 0.2, 0.05, 0.4, 9, 0.2, 0.05), 2.94),
    "Zn1": ({"depth_m": 0.176, "u_depth_m": 0.004, "pressure_Pa": 101390, "u_pressure_Pa": 50},
            terms(0.1, 0.05, 0.1, 0.03, 0.15, 14, 0.06, 0.01), 2.58),
    "Sn2": ({"depth_m": 0.175, "u_depth_m": 0.004, "pressure_Pa": 101210, "u_pressure_Pa": 50},
            terms(0.06, 0.03, 0.06, 0.02, 0.1, 16, 0.04), 2.14),
    "Ga1": ({"depth_m": 0.205, "u_depth_m": 0.004, "pressure_Pa": 101310, "u_pressure_Pa": 40},
            terms(0.02, 0.01, 0.02, 0.005, 0.03, 12, 0.01), 1.92),
    "Hg1": ({"depth_m": 0.162, "u_depth_m": 0.004}, terms(0.05, 0.02, 0.02, 0.01, 0.06, 10, 0.02),
            1.41),
    "Ar1": ({"depth_m": 0.085, "u_depth_m": 0.005}, terms(0.12, 0.04, 0.02, 0, 0.07, 8, 0.03), 0.83),
    "W3": ({"depth_m": 0.261, "u_depth_m": 0.003, "mantle_age": {"effect_mK": -0.012, "u_mK": 0.006}},
           terms(0.01, 0.005, 0, 0.004, 0.012, 11, 0.015), 1.62),
    "W4": ({"depth_m": 0.258, "u_depth_m": 0.003, "mantle_age": {"effect_mK": -0.012, "u_mK": 0.006}},
           terms(0.01, 0.005, 0, 0.004, 0.012, 11, 0.015), 1.62),
    "W6": ({"depth_m": 0.165, "u_depth_m": 0.004, "mantle_age": {"effect_mK": -0.015, "u_mK": 0.008}},
           terms(0.03, 0.01, 0, 0.005, 0.02, 9, 0.015), 1.7),
}
VISITS["W7"] = VISITS["W6"]

INSTRUMENTS = {"P4": ("air pressure", "pressure gauge"), "H1": ("air temperature and humidity",
                                                                 "recording hygrometer")}
# Dates of certificates, each due a year and two months later.
_RESISTOR_DAYS = ("2027-11-03", "2028-11-06", "2029-11-05", "2030-11-04")
_BRIDGE_DAYS = ("2027-12-14", "2028-12-11", "2029-12-10", "2030-11-08")
_CELL_DAYS = ("2027-11-22", "2029-07-16")
BROKEN, W6_BROKEN = "W6", day("2029-03-14")
W7_CAME, W7_READY = day("2029-05-07"), day("2029-05-14")
W4_FOUND, W4_BACK = day("2029-07-11"), day("2029-07-30")
R4_FOUND = day("2029-11-05")


def _later(date, years, months=0):
    months += date.month - 1
    return date.replace(year=date.year + years + months // 12, month=months % 12 + 1)


def _written(date):
    return f"{date.day} {date:%B %Y}"


def _bridge(date):
    return {"u_linearity": 1.5e-8, "u_current_ratio": 1e-4, "resolution": 1e-10,
            "certificate": f"verified {_written(date)}"}


class Equipment:
    """What a job says of each thing on each day; tell() writes it into the history."""

    def __init__(self, truth):
        self.truth = truth
        self._versions = {}  # name: [(date, job)]
        for name in RESISTORS:
            self._versions[name] = [(day(d), self._resistor(name, day(d))) for d in _RESISTOR_DAYS]
        for name in BRIDGES:
            self._versions[name] = [(day(d), _bridge(day(d))) for d in _BRIDGE_DAYS]
        for name, (job, _, _) in CELLS.items():
            self._versions[name] = [(W7_CAME if name == "W7" else day(_CELL_DAYS[0]), job)]
        self._versions["W4"] += [(W4_BACK, self._w4(1, W4_BACK)),
                                 (day("2030-01-15"), self._w4(2, day("2030-01-15"))),
                                 (day("2030-07-09"), self._w4(3, day("2030-07-09")))]

    def job(self, name, date):
        """As it stands in jobs on that day."""
        versions = self._versions[name]
        return versions[bisect.bisect_right([v[0] for v in versions], date) - 1][1]

    def _resistor(self, name, date):
        u = _U_OHM[name]
        ohm = self.truth.resistor_ohm(name, date)
        ohm += self.truth.draws.normal(f"certificate of {name} on {date}", u)
        return {"ohm": round(ohm, 7), "u_ohm": u, "at_C": 23, "per_K": 3.1e-6, "u_per_K": 2e-7,
                "u_bath_K": 0.004,
                "certificate": f"{_number(name, date)}, {_written(date)}"}

    def difference_mK(self, name, reference, date):
        """Of two water cells, as a comparison finds it: 8 µK."""
        truth = self.truth
        return 1e3 * (truth.cell_K(name, date) - truth.cell_K(reference, date)) + (
            truth.draws.normal(f"comparison of {name} on {date}", 0.008))

    def _w4(self, n, date):
        """With the correction that takes the cell's temperature to the defined one."""
        correction = -round(self.difference_mK("W4", "W3", date), 3)
        return {**CELLS["W4"][0], "certificate": {
            "number": f"own comparison {n}, {_written(date)}", "correction_mK": correction,
            "u_mK": 0.02}}

    # --- into the book -----------------------------------------------------------------------

    def tell(self, history):
        self._register(history)
        for name in (*RESISTORS, *BRIDGES):
            for date, job in self._versions[name][1:]:
                history.change(at(date), "ilse", "bridge" if name in BRIDGES else "resistor", name,
                               {"job": job}, "new certificate")
        self._certificates(history)
        self._checks(history)
        _storm(history)
        self._w4_is_found_cold(history)
        self._r4_is_found_high(history)

    def _register(self, history):
        now = at(day("2028-01-04"), "09:00")
        for kind, names in (("resistor", RESISTORS), ("bridge", BRIDGES)):
            for name in names:
                history.put(now, "ilse", kind, name, {
                    "maker": "Hollowmere workshop", "serial": name, "place": "room 3",
                    "job": self._versions[name][0][1], "state": "in service"})
        for name in CELLS:
            if name != "W7":
                self._register_cell(history, name, now)
        self._register_cell(history, "W7", at(W7_CAME, "09:00"), "in the place of W6, which broke")
        for name, (measures, kind) in INSTRUMENTS.items():
            history.put(now, "ilse", "instrument", name, {
                "measures": measures, "type": kind, "place": "room 3", "state": "in service"})

    def _register_cell(self, history, name, when, why=None):
        job, geometry, since = CELLS[name]
        body = {"maker": "Hollowmere workshop", "serial": name, "place": "room 3",
                "in_service": since, "job": job, "state": "in service"}
        if geometry is not None:
            bore, depth, outer = geometry
            body["geometry"] = {"well_bore_mm": bore, "well_depth_mm": depth, "outer_mm": outer,
                                "wall_mm": 1.2, "material": "borosilicate"}
        history.put(when, "ilse", "cell", name, body, why)

    def _certificate(self, history, name, date, *, quantity, value, U, unit, own=False):
        number = _number(name, date)
        history.put(max(at(date), at(day("2028-01-04"), "10:00")), "ilse", "equipment certificate",
                    number, {
                        "equipment": name, "number": number,
                        "issuer": "this laboratory" if own else "Fell Institute of Measures",
                        "route": "own calibration" if own else "national institute",
                        "date": date.isoformat(), "due": _later(date, 3 if quantity ==
                        "difference from the defined temperature" else 1, 2).isoformat(),
                        "quantity": quantity, "value": value, "U": U, "k": 2, "unit": unit})

    def _certificates(self, history):
        for name in RESISTORS:
            for date, job in self._versions[name]:
                self._certificate(history, name, date, quantity="resistance at 23 °C, 1 mA",
                                  value=job["ohm"], U=2 * job["u_ohm"], unit="ohm")
        for name in BRIDGES:
            for date, _ in self._versions[name]:
                error = self.truth.draws.normal(f"certificate of {name} on {date}", 1e-8)
                self._certificate(history, name, date, quantity="largest error of ratio, 0 to 1.2",
                                  value=round(error, 10), U=3e-8, unit="1", own=True)
        for name, (job, _, _) in CELLS.items():
            for date in self._cell_days(name):
                self._certificate(history, name, date,
                                  quantity="difference from the defined temperature",
                                  value=0.0, U=2 * job["u_cell_mK"], unit="mK", own=True)
        for name in INSTRUMENTS:
            for date in map(day, _RESISTOR_DAYS):
                self._certificate(history, name, date, quantity="error at 20 °C", value=0.1, U=0.2,
                                  unit="hPa" if name == "P4" else "K")

    def _cell_days(self, name):
        """On which it was compared with the cells of the institute."""
        if name == "W7":
            return [W7_CAME]
        return [d for d in map(day, _CELL_DAYS) if name != BROKEN or d < W6_BROKEN]

    def _check(self, history, name, date, kind, who, *, expected, found, u, limit, unit, source,
               note=None):
        wrong = abs(found - expected) > limit
        number = f"EC-{date:%y%m%d}-{name}-{kind.replace(' ', '-')}"
        history.put(at(date, "15:30"), who, "equipment check", number, {
            "equipment": name, "check": kind, "time": at(date, "15:00"), "found": found,
            "expected": expected, "u": u, "unit": unit, "verdict": "failed" if wrong else "passed",
            "limit": limit, "limit_source": source, **({"note": note} if note else {})})

    def _checks(self, history):
        """Bridges every quarter, resistors against one another every half-year, water cells too."""
        normal = self.truth.draws.normal
        for year in (2028, 2029, 2030):
            for month in (1, 4, 7, 10):
                date = workday(datetime.date(year, month, 9))
                for name, (first, second) in BRIDGES.items():
                    for kind in ("ratio one", "complement", "combination"):
                        found = round(normal(f"{kind} of {name} on {date}", 9e-9), 10)
                        self._check(history, name, date, kind, "tam", expected=0.0, found=found,
                                    u=1e-8, limit=3e-8, unit="1", source="quality manual 6.4")
                    if month in (1, 7) or (second == "R-100-4" and date > R4_FOUND):
                        self._compare_resistors(history, first, second, date)
                if month in (1, 7):
                    self._compare_water(history, date)
        self._compare(history, "W4", workday(W4_BACK, 1))

    def _compare_resistors(self, history, first, second, date):
        """The second by the first, against what the certificates of both say."""
        truth, certified = self.truth, [self.job(name, date)["ohm"] for name in (first, second)]
        found = truth.resistor_ohm(second, date) / truth.resistor_ohm(first, date) * certified[0]
        found *= 1.0 + truth.draws.normal(f"{second} by {first} on {date}", 5e-8)
        self._check(history, second, date, "value", "ilse", expected=certified[1],
                    found=round(found, 7), u=round(2e-7 * found, 7), limit=round(1e-6 * found, 7),
                    unit="ohm", source="quality manual 6.4", note=f"by {first} and its certificate")

    def _compare_water(self, history, date):
        """The other water cells by W3, before any correction that their records make."""
        for name, until, since in (("W4", LAST, _BEGIN), (BROKEN, W6_BROKEN, _BEGIN),
                                   ("W7", LAST, W7_READY)):
            if since <= date <= until:
                self._compare(history, name, date)

    def _compare(self, history, name, date):
        correction = self.job(name, date).get("certificate", {}).get("correction_mK", 0.0)
        found = round(self.difference_mK(name, "W3", date), 4)
        self._check(history, name, date, "value", "ilse", expected=-correction, found=found, u=0.01,
                    limit=0.063, unit="mK", source="procedure WT-2, revision 3",
                    note="difference from W3, less that on the day of its certificate")

    # --- what went wrong ---------------------------------------------------------------------

    def _w4_is_found_cold(self, history):
        """W4 has drifted: out of service until its comparison is in its record."""
        found = self.difference_mK("W4", "W3", day("2029-07-09"))
        history.put(at(W4_FOUND, "09:00"), "ilse", "nonconformity", "N-29-2", {
            "about": ["W4"], "opened": at(W4_FOUND, "09:00"), "person": "ilse", "state": "open",
            "what": f"W4 has cooled by {abs(found):.3f} mK against W3 since November 2027"})
        history.change(at(W4_FOUND, "09:10"), "ilse", "cell", "W4", {"state": "out of service"},
                       "found cold, nonconformity N-29-2")
        for n, (date, job) in enumerate(self._versions["W4"][1:]):
            history.change(at(date, "11:00"), "ilse", "cell", "W4", {
                "job": job, **({"state": "in service"} if n == 0 else {})},
                "compared with W3 and corrected; compared again every half-year")
        history.change(at(W4_BACK, "11:30"), "edda", "nonconformity", "N-29-2", {
            "state": "closed", "closed_by": "edda",
            "decision": "W4 is used with a correction. No R(0.01 °C) that rests on it moves by more "
                        "than its U: customers are told. C-29-007 is replaced: its customer "
                        "calibrates others with it."}, "reviewed")

    def _r4_is_found_high(self, history):
        moved = 1e6 * 2 * RESISTOR_DRIFT["R-100-4"]
        history.put(at(R4_FOUND, "13:00"), "tam", "nonconformity", "N-29-3", {
            "about": ["R-100-4"], "opened": at(R4_FOUND, "13:00"), "person": "tam", "state": "open",
            "what": f"its new certificate says about {moved / 2:.1f} ppm more than the last one"})
        history.change(at(workday(R4_FOUND, 2), "10:00"), "edda", "nonconformity", "N-29-3", {
            "state": "closed", "closed_by": "edda",
            "decision": "both terms of W share the resistor: no temperature moves. R(0.01 °C) of "
                        "C-29-008 and C-29-013 is too small, by 0.18 mK at most: the customer is "
                        "told. R-100-4 is compared every quarter from now on."}, "reviewed")


def _storm(history):
    """A power cut: what readings of that day must be seen with."""
    when = day("2028-10-03")
    history.put(at(when, "16:40"), "tam", "event", "EV-28-1", {
        "time": at(when, "16:10"), "about": ["B2", "B3"], "person": "tam",
        "what": "power cut of nine minutes in a storm; bridges on again at 16:20, ratio one checked"})


def _number(name, date):
    return f"{date:%y}-{name}-{date:%m%d}"


def tell_end_of_w6(history, realisation):
    """The small cell breaks: the ice had bridged it."""
    history.put(at(W6_BROKEN, "08:20"), "tam", "event", "EV-29-1", {
        "time": at(W6_BROKEN, "08:05"), "about": [BROKEN], "person": "tam",
        "what": "W6 found cracked in its bath: the ice had closed over the well in the night"})
    history.change(at(W6_BROKEN, "08:25"), "tam", "realisation", realisation, {
        "state": "ended", "ended": at(W6_BROKEN, "08:05")}, "the cell is broken")
    history.change(at(W6_BROKEN, "08:30"), "tam", "cell", BROKEN, {"state": "broken"},
                   "event EV-29-1")
