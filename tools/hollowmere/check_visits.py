"""Check thermometers: first and last in each mantle and freeze in which a calibration is measured."""
import datetime

from examples.example import Example, Visit

from .equipment import VISITS
from .schedule import THERMOMETERS
from .truth import Bench

_BEFORE, _AFTER = datetime.timedelta(minutes=35), datetime.timedelta(minutes=40)
_SERIES = (8, 8, 8)  # readings; with the pauses they take 20 minutes


def of(calibration):
    """The visits beside a calibration; none beside that of a check thermometer."""
    return CheckVisits(calibration) if calibration.owner else None


class CheckVisits:
    """The 25 ohm one in the large cells, the 100 ohm one beside thermometers of that kind."""

    def __init__(self, calibration):
        self.calibration = calibration
        self.thermometer = "K-2" if THERMOMETERS[calibration.thermometer][1] > 50 else "K-1"
        noise = THERMOMETERS[self.thermometer][4]
        self._visits, self._realisations = [], []
        for realisation, cell, first, last in _stays(calibration):
            for when, which in ((first - _BEFORE, "a"), (last + _AFTER, "b")):
                n = len(self._visits) // 2 + 1
                self._realisations.append(realisation)
                self._visits.append(_visit(f"K{calibration.name}-{n}{which}", cell, when, noise,
                                           self.thermometer))

    def write(self, folder):
        """The readings of each, in a file of its own."""
        _, _, _, (below, above), *_ = THERMOMETERS[self.thermometer]
        date = self.calibration.measured()
        job = {"#": {}, **self.calibration.with_equipment(self.thermometer, self._visits)}
        example = Example(f"{self.calibration.name}/{self.thermometer}", [], job, self._visits,
                          self.calibration.laboratory.r_tpw_ohm(self.thermometer, date), below,
                          above, _SERIES)
        bench = Bench(example, self.calibration.laboratory.truth, date)
        where = folder / "checks"
        where.mkdir(parents=True, exist_ok=True)
        for visit in self._visits:
            rows = [(time, *rest) for time, which, *rest in bench.readings if which == visit.id]
            (where / f"{visit.id}.csv").write_text("\n".join(
                ["time,current_mA,ratio,bath_C,flag", *(",".join(row) for row in rows)]) + "\n",
                encoding="utf-8", newline="\n")

    def tell(self, history):
        who = self.calibration.operator
        for visit, realisation in zip(self._visits, self._realisations):
            begun = datetime.datetime.fromisoformat(visit.start)
            when, done = (f"{moment:%Y-%m-%dT%H:%M}:00Z" for moment in (
                begun, begun + datetime.timedelta(minutes=22)))
            said = {key: value for key, value in visit.said.items() if key != "id"}
            history.put(when, who, "visit", visit.id, {
                "thermometer": self.thermometer, "realisation": realisation, "job": said,
                "person": who, "provenance": "simulated", "state": "open"})
            history.act(done, who, "readings", visit.id, file=f"checks/{visit.id}.csv")
            history.change(done, who, "visit", visit.id, {"state": "closed"}, "readings complete")


def _visit(name, cell, when, noise, thermometer):
    geometry, budget, heating = VISITS[cell]
    _, _, _, _, _, (resistor, bridge), _ = THERMOMETERS[thermometer]
    return Visit({"id": name, "cell": cell, "resistor": resistor, "bridge": bridge, **geometry,
                  "terms": budget}, when.isoformat(), heating, noise=noise)


def _stays(calibration):
    """Each mantle and freeze: its name, the cell, the first and the last visit of the calibration."""
    stays = {}
    for visit, realisation in zip(calibration.visits(), calibration.realisations()):
        when = datetime.datetime.fromisoformat(visit.start)
        _, first, _ = stays.get(realisation, (None, when, None))
        stays[realisation] = (visit.cell, first, when)
    return [(name, *stay) for name, stay in stays.items()]
