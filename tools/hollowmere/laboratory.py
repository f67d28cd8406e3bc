"""The whole of it, in the order in which it is told."""
import collections
import datetime

from . import people
from .calibrations import Calibration
from .equipment import LAST, RESISTORS, Equipment
from .history import History, at, day, workday
from .mantles import Mantles
from .schedule import REPLACED, SCHEDULE, THERMOMETERS
from .truth import Truth, years

SEED = 9
PER_mK = 3.98853e-6  # of R(TPW), from one thousandth of a kelvin


class Hollowmere:
    """history: what its people did; write() leaves it in a folder, with the jobs of the bench."""

    def __init__(self, seed):
        self.truth = Truth(seed, RESISTORS)
        self.equipment, self.mantles = Equipment(self.truth), Mantles(LAST)
        self.history, self.jobs, self._out = History(), [], set()
        self._certified = collections.defaultdict(list)  # thermometer: (day, R(TPW) in ohm)
        people.tell(self.history)
        self.equipment.tell(self.history)
        self.mantles.tell(self.history, LAST)
        self._thermometers()
        self._calibrations()

    def _thermometers(self):
        for name, (owner, ohm, _, _, _, _, kind) in THERMOMETERS.items():
            long_stem = ohm < 50
            self.history.put(at(day("2028-01-05"), "09:00"), "ilse", "thermometer", name, {
                "maker": "Hollowmere workshop", "type": kind, "serial": name, "state": "in service",
                "check_thermometer": owner is None, **({"owner": owner} if owner else {}),
                "geometry": {"sheath_mm": 7.5 if long_stem else 6, "sheath": "silica",
                             "length_mm": 480 if long_stem else 420},
                "job": {"sensor": "long stem", "nominal_ohm": 25.5 if long_stem else 100,
                        "element_mm": 42 if long_stem else 35, "tip_to_element_mm": 6}})

    def _calibrations(self):
        numbers, order, made = collections.Counter(), {}, {}
        for line in SCHEDULE:
            year, thermometer = line[0][:4], line[1]
            numbers[year] += 1
            calibration = Calibration(numbers[year], line, self, order.pop(thermometer, None))
            calibration.tell(self.history)
            made[line[0]] = calibration
            if calibration.fate == "broken off":
                order[thermometer] = calibration.order
        for received, date, why, report in REPLACED:
            made[received].tell_replacement(self.history, day(date), why, report)

    # --- asked and told by its calibrations --------------------------------------------------

    def r_tpw_ohm(self, thermometer, date):
        """True, in the state after half-years of use."""
        _, ohm, per_half_year_mK, *_ = THERMOMETERS[thermometer]
        return ohm * (1.0 + PER_mK * per_half_year_mK * 2.0 * years(date))

    def certified(self, thermometer, date, ohm):
        self._certified[thermometer].append((date, round(ohm, 6)))

    def last_r_tpw_ohm(self, thermometer, date):
        """Of its last certificate before that day; another laboratory issued one in 2026."""
        earlier = [ohm for issued, ohm in sorted(self._certified[thermometer]) if issued < date]
        if earlier:
            return earlier[-1]
        elsewhere = self.r_tpw_ohm(thermometer, day("2026-09-15"))
        return round(elsewhere * (1.0 + PER_mK * self.truth.draws.normal(
            f"{thermometer} elsewhere", 0.2)), 6)

    def is_out(self, thermometer):
        return thermometer in self._out

    def goes_out(self, thermometer):
        self._out.add(thermometer)

    def comes_in(self, thermometer):
        self._out.discard(thermometer)

    def trouble(self, calibration, checked):
        """What stood between a checked calibration and its certificate."""
        if calibration.start == day("2028-04-17"):
            when = at(checked, "16:00")
            self.history.put(when, "tam", "nonconformity", "N-28-1", {
                "about": ["R-25-1"], "opened": when, "person": "tam", "state": "open",
                "what": "bath of the resistors found at 23.41 °C; its pump had stopped"})
            self.history.change(at(workday(checked, 1), "15:00"), "edda", "nonconformity", "N-28-1", {
                "state": "closed", "closed_by": "edda",
                "decision": "the bath's log shows 23.00 °C to the end of the readings"}, "reviewed")
        elif calibration.fate == "checked":
            when = at(checked + datetime.timedelta(days=1), "09:00")
            self.history.put(when, "wren", "nonconformity", "N-30-1", {
                "about": ["B3"], "opened": when, "person": "wren", "state": "open",
                "what": "complement check of B3 off by 6e-8 once; not yet repeated"})

    # --- into files --------------------------------------------------------------------------

    def write(self, folder):
        folder.mkdir(parents=True, exist_ok=True)
        for calibration in self.jobs:
            calibration.write(folder)
        (folder / "history.jsonl").write_text("\n".join(self.history.lines()) + "\n",
                                              encoding="utf-8", newline="\n")
