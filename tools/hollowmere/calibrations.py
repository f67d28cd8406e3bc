"""Forty calibrations: who ordered what, what came, what was measured, and how it ended."""
import datetime

from examples.example import Example, Said, Visit, job_text, readings_text

from .equipment import VISITS
from .history import at, day, workday
from .truth import Bench, years

# Thermometers: owner, R(TPW) and its change in a half-year of use (mK), deviation functions, noise of
# one ratio, resistor and bridge, and what they look like.
_LONG = "four wires, silica sheath 480 mm by 7.5 mm"
THERMOMETERS = {
    "S-114": ("tarn-valley", 25.4786143, 0.35, (("Ar_H2O", (-2.4871e-4, 1.93e-5)),
              ("H2O_Al", (-2.6120e-4, -1.64e-5, 3.1e-6))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "S-088": ("upper-tarn", 100.0137261, 0.15, (("Hg_Ga", (-2.1850e-4, -1.12e-5)),) * 2, 1.2e-8,
              ("R-100-3", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
    "S-121": ("cold-stores", 25.5120876, 0.2, (("Ar_H2O", (-1.9304e-4, 2.41e-5)),
              ("H2O_Zn", (-1.8862e-4, -1.27e-5))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "S-137": ("glassworks", 25.4413390, 0.6, (("Ar_H2O", (-3.0117e-4, 1.55e-5)),
              ("H2O_Al", (-3.1240e-4, -2.02e-5, 4.0e-6))), 5e-8, ("R-25-1", "B3"), _LONG),
    "S-142": ("school", 25.4900412, 0.25, (("Ar_H2O", (-2.2270e-4, 1.78e-5)),
              ("H2O_Zn", (-2.3015e-4, -1.43e-5))), 5e-8, ("R-25-2", "B3"), _LONG),
    "S-150": ("observatory", 100.0042195, 0.1, (("Hg_Ga", (-2.0733e-4, -0.94e-5)),) * 2, 1.2e-8,
              ("R-100-4", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
    "K-1": (None, 25.4951877, 0.05, (("Ar_H2O", (-2.3391e-4, 1.83e-5)),
            ("H2O_Zn", (-2.4102e-4, -1.51e-5))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "K-2": (None, 100.0089214, 0.05, (("Hg_Ga", (-2.1128e-4, -1.02e-5)),) * 2, 1.2e-8,
            ("R-100-3", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
}
# Subranges with the cells of their points, from the highest downwards; ends in °C.
_RANGES = {"H2O_Al": (("Al2", "Zn1", "Sn2"), 0.0, 660.323), "H2O_Zn": (("Zn1", "Sn2"), 0.0, 419.527),
           "Ar_H2O": (("Hg1", "Ar1"), -189.3442, 0.0), "Hg_Ga": (("Ga1", "Hg1"), -38.8344, 29.7646),
           "H2O_Ga": (("Ga1",), 0.0, 29.7646)}
_ANNEAL_C = {"H2O_Al": 675, "H2O_Zn": 480}

# Who was authorised from when to when, as the work of a fortnight asks for it.
OPERATE = {"ilse": ("2028", "2031"), "tam": ("2028", "2031"), "wren": ("2029-05-02", "2031")}
CHECK = {"tam": ("2028", "2031"), "odo": ("2028", "2029-06-08"), "ilse": ("2029-01-08", "2031")}
ISSUE = {"odo": ("2028", "2029-06-08")}

AL_AR, ZN_AR, ZN, NARROW, GA = (("H2O_Al", "Ar_H2O"), ("H2O_Zn", "Ar_H2O"), ("H2O_Zn",), ("Hg_Ga",),
                                ("H2O_Ga",))
ISSUED = "issued"
# Day of receipt, thermometer, ranges, water cell, how far it went. Number and year make its id.
SCHEDULE = (
    ("2028-02-07", "K-1", ZN, "W3", ISSUED), ("2028-02-21", "S-114", ("H2O_Al", "Hg_Ga"), "W3", ISSUED),
    ("2028-03-13", "S-088", NARROW, "W6", ISSUED), ("2028-03-27", "S-121", ZN, "W4", ISSUED),
    ("2028-04-17", "S-137", ("H2O_Al",), "W3", ISSUED), ("2028-05-08", "S-142", ZN, "W4", ISSUED),
    ("2028-05-22", "S-150", NARROW, "W6", ISSUED), ("2028-08-07", "S-114", AL_AR, "W3", ISSUED),
    ("2028-08-28", "S-088", NARROW, "W6", ISSUED), ("2028-09-11", "S-121", ZN_AR, "W4", ISSUED),
    ("2028-09-25", "S-137", AL_AR, "W3", ISSUED), ("2028-10-09", "S-150", NARROW, "W6", ISSUED),
    ("2029-02-05", "K-1", ZN_AR, "W3", ISSUED), ("2029-02-19", "S-114", AL_AR, "W3", ISSUED),
    ("2029-03-08", "S-088", NARROW, "W6", "broken off"), ("2029-03-19", "S-088", NARROW, "W3", ISSUED),
    ("2029-04-09", "S-121", ZN_AR, "W4", ISSUED), ("2029-04-23", "S-137", AL_AR, "W3", ISSUED),
    ("2029-05-14", "S-142", ZN_AR, "W4", ISSUED), ("2029-06-04", "S-150", GA, "W3", ISSUED),
    ("2029-08-06", "S-114", AL_AR, "W3", ISSUED), ("2029-08-27", "S-137", AL_AR, "W3", "damaged"),
    ("2029-09-03", "S-088", NARROW, "W3", ISSUED), ("2029-09-17", "S-121", ZN_AR, "W4", ISSUED),
    ("2029-10-08", "S-150", NARROW, "W3", ISSUED), ("2030-02-04", "K-1", ZN_AR, "W3", ISSUED),
    ("2030-02-18", "K-2", NARROW, "W3", ISSUED), ("2030-03-04", "S-114", AL_AR, "W3", ISSUED),
    ("2030-03-25", "S-088", NARROW, "W3", "withdrawn"), ("2030-04-08", "S-121", ZN_AR, "W4", ISSUED),
    ("2030-05-06", "S-142", ZN_AR, "W4", ISSUED), ("2030-08-05", "S-150", NARROW, "W3", ISSUED),
    ("2030-09-02", "S-121", ZN_AR, "W4", ISSUED), ("2030-11-18", "S-142", ZN_AR, "W4", "checked"),
    ("2030-11-25", "S-088", NARROW, "W3", "reduced"), ("2030-12-02", "K-2", NARROW, "W3", "measuring"),
    ("2030-12-09", "S-114", AL_AR, "W3", "planned"), ("2030-12-16", "S-150", NARROW, "W3", "planned"),
)
# Replaced: the calibration by its day of receipt, when, why, and what the new report says besides.
REPLACED = (
    ("2029-05-14", "2029-08-01", "W4 was 0.07 mK colder than assumed (nonconformity N-29-2)", {}),
    ("2030-03-04", "2030-06-12", "the customer's department was missing in the address",
     {"customer_address": "Weir House, Department of Measures, Tarn Valley"}),
)
_ELSEWHERE = ("kind", "thermometer", "resistors", "bridges", "cells", "visits", "readings", "#")


class Calibration:
    """One line of the schedule."""

    def __init__(self, number, line, laboratory, order=None):
        """order: of an earlier one that was broken off, and the thermometer is still here."""
        start, self.thermometer, self.ranges, self.water, self.fate = line
        self.start = workday(day(start))
        self.name = f"{self.start:%y}-{number:03}"
        self.laboratory = laboratory
        self.normal = laboratory.truth.draws.normal
        self.continues = order is not None
        self.owner = THERMOMETERS[self.thermometer][0]
        self.order = order or (f"O-{self.name}" if self.owner else None)
        self.operator = self._one_of(number, ("ilse", "tam", "wren"), OPERATE)
        self.checker = self._one_of(number, ("tam", "odo", "ilse"), CHECK, self.operator)
        self.signatory = "odo" if number % 5 == 0 and self._may("odo", ISSUE) and (
            "odo" not in (self.operator, self.checker)) else "edda"

    def _may(self, who, what, date=None):
        first, last = what.get(who, ("9", ""))
        return first <= (date or self.start).isoformat() <= last

    def _one_of(self, number, people, what, other=None, date=None):
        able = [who for who in people if who != other and self._may(who, what, date)]
        return able[number % len(able)]

    # --- what it measures --------------------------------------------------------------------

    def points(self):
        """Cells from the highest point downwards, each once."""
        order = ("Al2", "Zn1", "Sn2", "Ga1", "Hg1", "Ar1")
        wanted = {cell for name in self.ranges for cell in _RANGES[name][0]}
        return [cell for cell in order if cell in wanted]

    def r_tpw_ohm(self):
        """As it comes in: it has been used."""
        _, ohm, per_half_year, *_ = THERMOMETERS[self.thermometer]
        return ohm * (1.0 + 3.98853e-6 * per_half_year * 2.0 * years(self.start))

    def days(self):
        """A point a day, from the second working day after the receipt."""
        return [workday(self.start, 2 + i) for i in range(len(self.points()))]

    def measured(self):
        return self.days()[-1]

    def _visits(self):
        """Water first, then each point and water after it; the state drifts a little."""
        _, _, _, _, noise, (resistor, bridge), _ = THERMOMETERS[self.thermometer]
        state = 0.0

        def visit(cell, date, clock):
            geometry, budget, heating = VISITS[cell]
            n = len(visits) + 1
            return Visit({"id": n, "cell": cell, "resistor": resistor, "bridge": bridge, **geometry,
                          "terms": budget}, f"{date}T{clock}:00+00:00", heating, state, noise=noise,
                         bath_C=23.0 + 0.01 * (n % 3))

        visits = []
        visits.append(visit(self.water, self.days()[0], "08:00"))
        for date, cell in zip(self.days(), self.points()):
            state += self.normal(f"{self.name} moves at {cell}", 0.012)
            visits.append(visit(cell, date, "10:00"))
            visits.append(visit(self.water, date, "14:30"))
        return visits

    def _report(self):
        low, high = self._temperatures()
        return {
            "received": self.start.isoformat(), "departures": "none",
            "conditions": Said(f"{low:.1f} °C to {high:.1f} °C, 36 % to 47 % relative humidity, "
                               "99.0 kPa to 101.6 kPa"),
            "traceability": Said(
                "ITS-90 realised in the cells named, each compared with others of this laboratory; "
                "ratio bridge and standard resistor as named, with certificates of a national "
                "institute."),
            "stabilisation": Said("annealed until R(0.01 °C) repeated; the last change is on record.")}

    def _temperatures(self):
        low = 19.9 + self.normal(f"{self.name} room", 0.15)
        return round(low, 1), round(low + 0.8, 1)

    def job(self):
        equipment, date = self.laboratory.equipment, self.measured()
        visits = self._visits()
        _, ohm, _, _, _, (resistor, bridge), kind = THERMOMETERS[self.thermometer]
        cells = sorted({v.cell for v in visits})
        return {
            "#": {}, "kind": "fixed-point calibration",
            "thermometer": {"id": self.thermometer, "serial": self.thermometer, "type": kind,
                            "maker": "Hollowmere workshop", "sensor": "long stem",
                            "nominal_ohm": 100 if ohm > 50 else 25.5,
                            "element_mm": 35 if ohm > 50 else 42, "tip_to_element_mm": 6},
            "resistors": {resistor: equipment.job(resistor, date)},
            "bridges": {bridge: equipment.job(bridge, date)},
            "cells": {cell: equipment.job(cell, date) for cell in cells},
            "visits": None, "tpw": "after", "wr_at_points": "table",
            "subranges": list(self.ranges), "coverage_factor": 2, "readings": "readings.csv",
            "report": self._report()}, visits

    def write(self, folder):
        """Job file and readings, as they come from the bench."""
        job, visits = self.job()
        below, above = THERMOMETERS[self.thermometer][3]
        example = Example(self.name, ["Invented: laboratory, people, customer and every reading."], job,
                          visits, self.r_tpw_ohm(), below, above, (12, 12, 12))
        bench = Bench(example, self.laboratory.truth, self.measured())
        where = folder / "jobs" / self.name
        where.mkdir(parents=True, exist_ok=True)
        for name, text in (("job.yaml", job_text(example)),
                           ("readings.csv", readings_text(bench.readings))):
            (where / name).write_text(text, encoding="utf-8", newline="\n")

    # --- what its people do ------------------------------------------------------------------

    def tell(self, history):
        self._order(history)
        self._receive(history)
        history.act(at(self.start, "11:00"), self.operator, "plan", self.name,
                    thermometer=self.thermometer, subranges=list(self.ranges),
                    **({"order": self.order} if self.order else {}))
        if self.fate in ("damaged", "withdrawn"):
            self._cancel(history)
        elif self.fate != "planned":
            self._anneal(history)
            self._measure(history)

    def _order(self, history):
        if not self.order or self.continues:
            return
        low = min(_RANGES[name][1] for name in self.ranges)
        high = max(_RANGES[name][2] for name in self.ranges)
        date = workday(self.start - datetime.timedelta(days=16))
        history.put(at(date, "10:00"), "ilse", "order", self.order, {
            "customer": self.owner, "thermometers": [self.thermometer], "date": date.isoformat(),
            "low_C": low, "high_C": high, "U_mK": 5, "state": "open",
            "promised": workday(self.start, 20).isoformat()})

    def _receive(self, history):
        if not self.order or self.continues:
            return
        found = round(self.r_tpw_ohm() * (1.0 + self.normal(f"{self.name} received", 4e-7)), 6)
        body = {"thermometer": self.thermometer, "order": self.order, "time": at(self.start, "09:00"),
                "condition": "in good order, box sealed", "r_tpw_ohm": found,
                "u_r_tpw_ohm": round(found * 4e-7, 7)}
        if self.fate == "damaged":
            body.update(condition="box crushed at one corner, sheath bent above the handle",
                        r_tpw_ohm=round(found * 1.00104, 6))
        history.put(at(self.start, "09:30"), "ilse", "receipt", f"RC-{self.name}", body)
        self._back_from_customer(history)

    def _back_from_customer(self, history):
        if self.laboratory.is_out(self.thermometer):
            history.change(at(self.start, "09:20"), "ilse", "thermometer", self.thermometer,
                           {"state": "in service"}, "received")
            self.laboratory.comes_in(self.thermometer)

    def _cancel(self, history):
        when = workday(self.start, 1)
        if self.fate == "damaged":
            history.put(at(when, "09:00"), "ilse", "event", "EV-29-2", {
                "time": at(self.start, "09:00"), "about": [self.thermometer], "person": "ilse",
                "what": "damaged in transport: R(0.01 °C) is 260 mK above its last value"})
            history.change(at(when, "09:10"), "ilse", "thermometer", self.thermometer,
                           {"state": "damaged"}, "event EV-29-2")
        why = ("damaged in transport; the customer decides for a new one" if self.fate == "damaged"
               else "the customer needs it in the field and will come back in autumn")
        history.change(at(when, "14:00"), "ilse", "calibration", self.name, {"state": "cancelled"},
                       why)
        history.change(at(when, "14:10"), "ilse", "order", self.order, {"state": "cancelled"}, why)
        self._return(history, workday(when, 1))

    def _return(self, history, date):
        if self.owner:
            history.change(at(date, "16:00"), "ilse", "thermometer", self.thermometer,
                           {"state": "returned"}, f"after {self.name}")
            self.laboratory.goes_out(self.thermometer)

    def _anneal(self, history):
        date = workday(self.start, 1)
        after = self.r_tpw_ohm()
        change_mK = abs(self.normal(f"{self.name} anneal", 0.1))
        hottest = max(_ANNEAL_C.get(name, 450) for name in self.ranges)
        history.put(at(date, "17:30"), self.operator, "heat treatment", f"HT-{self.name}", {
            "thermometer": self.thermometer, "begun": at(date, "09:00"), "ended": at(date, "16:30"),
            "temperature_C": hottest, "hold_h": 4, "cooling_K_per_h": 50,
            "r_tpw_before_ohm": round(after * (1.0 + 3.98853e-6 * change_mK), 6),
            "r_tpw_after_ohm": round(after, 6), "person": self.operator})

    def _check_thermometers(self, history, date, clock, which):
        """K-1 in the water cell, first and last."""
        history_mean = THERMOMETERS["K-1"][1] * (1.0 + 3.98853e-6 * 0.1 * years(date))
        found = history_mean * (1.0 + self.normal(f"{self.name} {which}", 1e-7))
        history.put(at(date, clock), self.operator, "equipment check", f"CK-{self.name}-{which}", {
            "equipment": "K-1", "check": "value", "time": at(date, clock),
            "found": round(found, 7), "expected": round(history_mean, 7), "u": 3e-6, "unit": "ohm",
            "verdict": "passed" if abs(found - history_mean) < 1.1e-5 else "failed",
            "limit": 1.1e-5, "limit_source": "three standard deviations of its history"})

    def _freezes(self, history):
        """A realisation for each point of the calibration; which visit lay in which."""
        realisations = []
        for date, cell in zip(self.days(), self.points()):
            name = f"F-{self.name}-{cell}"
            method = {"Ga1": "slow melt", "Hg1": "slow melt", "Ar1": "condensation"}.get(
                cell, "inner and outer freeze")
            history.put(at(date, "09:15"), self.operator, "realisation", name, {
                "cell": cell, "method": method, "begun": at(date, "09:15"), "state": "usable",
                "person": self.operator, "cautions_shown": "hot metal and glass" if method.startswith(
                    "inner") else "mercury: tray, gloves, air" if cell == "Hg1" else "cold gas: gloves"})
            history.change(at(date, "18:00"), self.operator, "realisation", name,
                           {"state": "ended", "ended": at(date, "18:00")})
            realisations.append(name)
        return realisations

    def _visit_realisations(self, history):
        mantles = self.laboratory.mantles
        in_visits = [mantles.of(self.water, self.days()[0])]
        for date, freeze in zip(self.days(), self._freezes(history)):
            in_visits += [freeze, mantles.of(self.water, date)]
        return in_visits

    def _measure(self, history):
        self.laboratory.jobs.append(self)
        self._check_thermometers(history, self.days()[0], "07:50", "first")
        self._check_thermometers(history, self.measured(), "18:10", "last")
        history.act(at(self.measured(), "18:30"), self.operator, "job", self.name,
                    file=f"jobs/{self.name}/job.yaml")
        for n, realisation in enumerate(self._visit_realisations(history), start=1):
            history.change(at(self.measured(), "18:40"), self.operator, "visit", f"{self.name}/{n}",
                           {"realisation": realisation, "person": self.operator})
        self._ambient(history)
        if self.fate == "broken off":
            self._break_off(history)
        elif self.fate != "measuring":
            self._finish(history)

    def _ambient(self, history):
        low, high = self._temperatures()
        history.put(at(self.measured(), "18:42"), self.operator, "ambient", f"A-{self.name}", {
            "from": at(self.days()[0], "07:45"), "until": at(self.measured(), "18:15"),
            "low_C": low, "high_C": high, "low_percent": 36, "high_percent": 47, "low_Pa": 99000,
            "high_Pa": 101600, "instrument": "H1"})
        history.change(at(self.measured(), "18:45"), self.operator, "calibration", self.name,
                       {"ambient": [f"A-{self.name}"], "customer": self.owner or "hollowmere"})

    def _break_off(self, history):
        when = workday(self.measured(), 1)
        history.put(at(when, "09:00"), self.operator, "nonconformity", "N-29-1", {
            "about": [self.name, self.water], "opened": at(when, "09:00"), "person": self.operator,
            "state": "open", "what": "W6 broke in the night after the last readings in it"})
        history.change(at(when, "10:00"), self.operator, "calibration", self.name,
                       {"state": "cancelled"}, "nobody knows how long W6 had been cracked")
        history.change(at(when, "15:00"), "edda", "nonconformity", "N-29-1", {
            "state": "closed", "closed_by": "edda",
            "decision": "measured again in W3; W6 is not replaced"})

    def _finish(self, history):
        reduced, checked = workday(self.measured(), 1), workday(self.measured(), 2)
        issued = workday(self.measured(), 4)
        history.act(at(reduced), self.operator, "reduce", self.name)
        if self.fate == "reduced":
            return
        history.act(at(checked), self.checker, "agree", self.name)
        self.laboratory.trouble(self, checked)
        if self.fate == "checked":
            return
        history.act(at(issued), self.signatory, "issue", self.name, number=f"C-{self.name}")
        if self.order:
            history.change(at(issued, "13:00"), "ilse", "order", self.order, {"state": "done"})
        self._return(history, issued)

    # --- a certificate replaced --------------------------------------------------------------

    def tell_replacement(self, history, date, why, report):
        """The same readings, reduced again with what is known now."""
        job, visits = self.job()
        settings = {key: value for key, value in job.items() if key not in _ELSEWHERE}
        settings["report"] = {**settings["report"], **report}
        name = f"{self.name}R"
        body = {"thermometer": self.thermometer, "job": settings, "state": "measuring",
                "visits": [f"{self.name}/{n}" for n in range(1, len(visits) + 1)],
                "measured_by": self.operator, "ambient": [f"A-{self.name}"],
                "order": self.order, "customer": self.owner}
        history.put(at(date, "09:00"), self.operator, "calibration", name, body, why)
        history.act(at(date, "10:00"), self.operator, "reduce", name, why=why)
        if self.water == "W4":
            _decide_on_w4(history, date, name)
        checker = self._one_of(0, ("tam", "ilse"), CHECK, self.operator, date)
        history.act(at(date, "14:00"), checker, "agree", name, why=why)
        history.act(at(workday(date, 1)), "edda", "issue", name, number=f"C-{name}",
                    replaces=f"C-{self.name}", why=why)


def _decide_on_w4(history, date, calibration):
    """A failed check of W4 lies behind the readings: somebody must answer for going on."""
    history.put(at(date, "10:30"), "ilse", "nonconformity", "N-29-4", {
        "about": [calibration], "opened": at(date, "10:30"), "person": "ilse", "state": "open",
        "what": "rests on W4, whose check of July failed"})
    history.change(at(date, "11:30"), "edda", "nonconformity", "N-29-4", {
        "state": "closed", "closed_by": "edda", "gate": "equipment checks",
        "decision": "the drift is in the cell's record now, as a correction with its U"})
