"""One calibration after the other: what came, what was measured, and how it ended."""
import datetime
import functools

from examples.example import Example, Said, Visit, job_text, readings_text

from . import check_visits, found
from .equipment import VISITS
from .history import at, day, workday
from .schedule import (ANNEAL_C, CHECK, DISTURBED, ISSUE, OPERATE, RANGES, REPLACED,
                       THERMOMETERS)
from .truth import Bench

_ELSEWHERE = ("kind", "thermometer", "resistors", "bridges", "cells", "visits", "readings", "#")
_SERIES = (12, 12, 12)  # readings at the first current, the second, and the first again
_METHODS = {"Ga1": ("slow melt", "warm water: keep the cell upright until all is solid again"),
            "Hg1": ("slow melt", "mercury: tray, gloves, air; a broken cell is not touched"),
            "Ar1": ("condensation", "cold gas: gloves, goggles, open window, oxygen alarm on"),
            None: ("inner and outer freeze", "hot metal and glass: gloves, goggles, dry tongs")}


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
        wanted = {cell for name in self.ranges for cell in RANGES[name][0]}
        return [cell for cell in order if cell in wanted]

    def r_tpw_ohm(self):
        """As it comes in: it has been used."""
        return self.laboratory.r_tpw_ohm(self.thermometer, self.start)

    def days(self):
        """A point a day, from the second working day after the receipt."""
        return [workday(self.start, 2 + i) for i in range(len(self.points()))]

    def measured(self):
        return self.days()[-1]

    def visits(self):
        """Water first, then each point and water after it; the state drifts a little."""
        _, _, _, _, noise, (resistor, bridge), _ = THERMOMETERS[self.thermometer]
        state = 0.0

        def visit(cell, date, clock):
            geometry, budget, heating = VISITS[cell]
            n = len(visits) + 1
            off, _ = DISTURBED.get((self.name, n), ({}, None))
            return Visit({"id": n, "cell": cell, "resistor": resistor, "bridge": bridge, **geometry,
                          "terms": budget}, f"{date}T{clock}:00+00:00", heating, state, noise=noise,
                         bath_C=23.0 + 0.01 * (n % 3),
                         flags={(1, i): ("", size) for i, size in off.items()})

        visits = []
        visits.append(visit(self.water, self.days()[0], "08:40"))
        for date, cell in zip(self.days(), self.points()):
            state += self.normal(f"{self.name} moves at {cell}", 0.012)
            visits.append(visit(cell, date, "10:25"))
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

    def with_equipment(self, thermometer, visits, date=None):
        """The sections of a job that tell what was used in these visits, by the records of a day."""
        equipment, date = self.laboratory.equipment, date or self.measured()
        _, ohm, _, _, _, (resistor, bridge), kind = THERMOMETERS[thermometer]
        return {
            "thermometer": {"id": thermometer, "serial": thermometer, "type": kind,
                            "maker": "Hollowmere workshop", "sensor": "long stem",
                            "nominal_ohm": 100 if ohm > 50 else 25.5,
                            "element_mm": 35 if ohm > 50 else 42, "tip_to_element_mm": 6},
            "resistors": {resistor: equipment.job(resistor, date)},
            "bridges": {bridge: equipment.job(bridge, date)},
            "cells": {cell: equipment.job(cell, date) for cell in sorted({v.cell for v in visits})}}

    def job(self):
        visits = self.visits()
        return {
            "#": {}, "kind": "fixed-point calibration",
            **self.with_equipment(self.thermometer, visits),
            "visits": None, "tpw": "after", "wr_at_points": "table",
            "subranges": list(self.ranges), "coverage_factor": 2, "readings": "readings.csv",
            "report": self._report()}, visits

    @functools.cached_property
    def bench(self):
        """What it is measured on, with its readings."""
        job, visits = self.job()
        below, above = THERMOMETERS[self.thermometer][3]
        example = Example(self.name, ["Invented: laboratory, people, customer and every reading."], job,
                          visits, self.r_tpw_ohm(), below, above, _SERIES)
        return Bench(example, self.laboratory.truth, self.measured())

    def write(self, folder):
        """Job file and readings, as they come from the bench."""
        where = folder / "jobs" / self.name
        where.mkdir(parents=True, exist_ok=True)
        for name, text in (("job.yaml", job_text(self.bench.example)),
                           ("readings.csv", readings_text(self.bench.readings))):
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
        low = min(RANGES[name][1] for name in self.ranges)
        high = max(RANGES[name][2] for name in self.ranges)
        date = workday(self.start - datetime.timedelta(days=16))
        history.put(at(date, "10:00"), "ilse", "order", self.order, {
            "customer": self.owner, "thermometers": [self.thermometer], "date": date.isoformat(),
            "low_C": low, "high_C": high, "U_mK": 5, "state": "open",
            "promised": workday(self.start, 20).isoformat()})

    def _receive(self, history):
        if not self.order or self.continues:
            return
        now = round(self.r_tpw_ohm() * (1.0 + self.normal(f"{self.name} received", 4e-7)), 6)
        body = {"thermometer": self.thermometer, "order": self.order, "time": at(self.start, "09:00"),
                "condition": "in good order, box sealed", "r_tpw_ohm": now,
                "u_r_tpw_ohm": round(now * 4e-7, 7),
                "last_r_tpw_ohm": self.laboratory.last_r_tpw_ohm(self.thermometer, self.start)}
        if self.fate == "damaged":
            body.update(condition="box crushed at one corner, sheath bent above the handle",
                        r_tpw_ohm=round(now * 1.00104, 6))
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
        hottest = max(ANNEAL_C.get(name, 450) for name in self.ranges)
        history.put(at(date, "17:30"), self.operator, "heat treatment", f"HT-{self.name}", {
            "thermometer": self.thermometer, "begun": at(date, "09:00"), "ended": at(date, "16:30"),
            "temperature_C": hottest, "hold_h": 4, "cooling_K_per_h": 50,
            "r_tpw_before_ohm": round(after * (1.0 + 3.98853e-6 * change_mK), 6),
            "r_tpw_after_ohm": round(after, 6), "person": self.operator})

    def _freeze(self, cell):
        return f"F-{self.name}-{cell}"

    def _freezes(self, history):
        """A realisation for each point of the calibration."""
        for date, cell in zip(self.days(), self.points()):
            method, caution = _METHODS.get(cell, _METHODS[None])
            history.put(at(date, "09:40"), self.operator, "realisation", self._freeze(cell), {
                "cell": cell, "method": method, "begun": at(date, "09:40"), "state": "usable",
                "person": self.operator, "cautions_shown": caution})
            history.change(at(date, "18:00"), self.operator, "realisation", self._freeze(cell),
                           {"state": "ended", "ended": at(date, "18:00")}, "measured in; let go")

    def realisations(self):
        """In which mantle or freeze each visit lies."""
        mantles = self.laboratory.mantles
        in_visits = [mantles.of(self.water, self.days()[0])]
        for date, cell in zip(self.days(), self.points()):
            in_visits += [self._freeze(cell), mantles.of(self.water, date)]
        return in_visits

    def _measure(self, history):
        self.laboratory.jobs.append(self)
        self._freezes(history)
        beside = check_visits.of(self)
        if beside:
            self.laboratory.jobs.append(beside)
            beside.tell(history)
        history.act(at(self.measured(), "18:30"), self.operator, "job", self.name,
                    file=f"jobs/{self.name}/job.yaml")
        for n, realisation in enumerate(self.realisations(), start=1):
            history.change(at(self.measured(), "18:40"), self.operator, "visit", f"{self.name}/{n}",
                           {"realisation": realisation, "person": self.operator},
                           "mantle or freeze named")
            if (self.name, n) in DISTURBED:
                self._set_aside(history, n)
        self._ambient(history)
        if self.fate == "broken off":
            self._break_off(history)
        elif self.fate != "measuring":
            self._finish(history)

    def _set_aside(self, history, n):
        """Of the block at the second current, from the first reading that was off to the last."""
        off, reason = DISTURBED[self.name, n]
        history.change(at(self.measured(), "18:41"), self.operator, "visit", f"{self.name}/{n}", {
            "exclusions": [{"first": _SERIES[0] + min(off), "n": max(off) - min(off) + 1,
                            "reason": reason, "person": self.operator}]}, reason)

    def _ambient(self, history):
        low, high = self._temperatures()
        history.put(at(self.measured(), "18:42"), self.operator, "ambient", f"A-{self.name}", {
            "from": at(self.days()[0], "07:45"), "until": at(self.measured(), "18:15"),
            "low_C": low, "high_C": high, "low_percent": 36, "high_percent": 47, "low_Pa": 99000,
            "high_Pa": 101600, "instrument": "H1"})
        history.change(at(self.measured(), "18:45"), self.operator, "calibration", self.name,
                       {"ambient": [f"A-{self.name}"], "customer": self.owner or "hollowmere"},
                       "conditions of the room added")

    def _break_off(self, history):
        when = workday(self.measured(), 1)
        history.put(at(when, "09:00"), self.operator, "nonconformity", "N-29-1", {
            "about": [self.name, self.water], "opened": at(when, "09:00"), "person": self.operator,
            "state": "open", "what": "W6 broke in the night after the last readings in it"})
        history.change(at(when, "10:00"), self.operator, "calibration", self.name,
                       {"state": "cancelled"}, "nobody knows how long W6 had been cracked")
        history.change(at(when, "15:00"), "edda", "nonconformity", "N-29-1", {
            "state": "closed", "closed_by": "edda",
            "decision": "measured again in W3; W7 is ordered in its place"}, "reviewed")

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
        self.laboratory.certified(self.thermometer, issued, self._found_r_tpw_ohm())
        for received, date, *_ in REPLACED:
            if day(received) == self.start:
                self.laboratory.certified(self.thermometer, day(date),
                                          self._found_r_tpw_ohm(day(date)))
        if self.order:
            history.change(at(issued, "13:00"), "ilse", "order", self.order, {"state": "done"},
                           "certificate and thermometer sent")
        self._return(history, issued)

    def _found_r_tpw_ohm(self, date=None):
        """What a certificate states that rests on the records of a day."""
        visits = self.bench.example.visits
        return found.r_tpw_ohm(self.with_equipment(self.thermometer, visits, date), visits,
                               self.bench.readings)

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
        "decision": "the drift is in the cell's record now, as a correction with its U"}, "reviewed")
