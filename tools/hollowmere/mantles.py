"""Ice mantles of the water cells: made every few weeks, looked at every week, given up at last."""
import datetime

from .equipment import BROKEN, W4_BACK, W4_FOUND, W6_BROKEN, W7_READY, tell_end_of_w6
from .history import at, day, workday

_METHODS = ("dry ice", "cooled rod", "heat pipe")
_CAUTIONS = ("gloves and goggles; dry ice only with the window open; a bridge of ice at the surface "
             "breaks the cell: look before leaving it")
_LIFE_DAYS = 42


class Mantles:
    """of(): which mantle a cell had on a day; its record is told when it is first asked for or not."""

    def __init__(self, last):
        self._all = {"W3": [], "W4": [], "W6": [], "W7": []}  # (first usable, given up, id)
        for cell, spans in self._all.items():
            begun = W7_READY if cell == "W7" else day("2028-01-10")
            while begun < last:
                ended = workday(begun + datetime.timedelta(days=_LIFE_DAYS))
                if cell == BROKEN and ended >= W6_BROKEN:
                    ended = W6_BROKEN
                spans.append((workday(begun), ended, f"M-{cell}-{begun:%y%m%d}"))
                if ended == W6_BROKEN:
                    break
                begun = workday(ended, 1)

    def of(self, cell, date):
        for begun, ended, name in self._all[cell]:
            if begun <= date <= ended:
                return name
        raise ValueError(f"{cell} had no mantle on {date}")

    def tell(self, history, last):
        for cell, spans in self._all.items():
            for n, (begun, ended, name) in enumerate(spans):
                _tell_one(history, cell, name, begun, ended, n, last)


def _tell_one(history, cell, name, begun, ended, n, last):
    who = ("ilse", "tam")[n % 2]
    start = at(begun, "06:30")
    history.put(start, who, "realisation", name, {
        "cell": cell, "method": _METHODS[n % 3], "begun": start, "person": who,
        "cautions_shown": _CAUTIONS, "state": "preparing"})
    history.change(at(begun, "07:00"), who, "realisation", name, {"state": "ageing"}, "frozen")
    history.change(at(begun, "08:00"), who, "realisation", name, {"state": "usable"},
                   "free mantle; its age is in the budget")
    for week in range(1, 7):
        _inspect(history, cell, name, begun + datetime.timedelta(days=7 * week), ended, week, who,
                 last)
    if ended == W6_BROKEN:
        tell_end_of_w6(history, name)
    elif ended <= last:
        history.change(at(ended, "19:00"), who, "realisation", name, {
            "state": "ended", "ended": at(ended, "18:45")}, "less than 3 mm of ice")


def _inspect(history, cell, name, date, ended, week, who, last):
    if date >= ended or date > last:
        return
    body = {"realisation": name, "time": at(date, "07:40"), "person": who, "free": True,
            "bridge": False, "ice_mm": round(11.0 - 1.2 * week, 1), "found": "clear and free"}
    if cell == BROKEN and (W6_BROKEN - date).days <= 7:
        body.update(bridge=True, found="ice over the well; melted off by hand, cell put back deeper")
    elif cell == "W4" and W4_FOUND <= date < W4_BACK:
        body["found"] = "clear and free; the cell is being compared with W3"
    elif week == 4:
        body.update(free=False, found="stuck; freed with a warm rod for 40 s")
    history.put(at(date, "07:45"), who, "inspection", f"I-{name[2:]}-{week}", body)
