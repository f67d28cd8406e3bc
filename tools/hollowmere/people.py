"""The laboratory, who works there and since when they may what, and for whom they work."""
from .history import at, day

BEGIN = "2028-01-03"
LABORATORY = "Hollowmere Temperature Laboratory"
ADDRESS = "4 Mill Rise, Hollowmere"
CHECKED_SINCE = "2030-03-01"  # check thermometers decide on release
FIRST, FIRST_NAME = "edda", "Edda Mossgarth"

CUSTOMERS = {
    "tarn-valley": ("Tarn Valley Waterworks", "Weir House, Tarn Valley"),
    "upper-tarn": ("Upper Tarn Tide and Weather Office", "Signal Cottage, Upper Tarn"),
    "cold-stores": ("Blea Water Cold Stores", "The Old Ice House, Blea Water"),
    "glassworks": ("Fallow Ghyll Glassworks", "Kiln Yard, Fallow Ghyll"),
    "school": ("Ravenmoor Instrument School", "2 Cloister Steps, Ravenmoor"),
    "hollowmere": (LABORATORY, ADDRESS),
    "observatory": ("High Sedge Observatory", "Beacon Road, High Sedge"),
}

_ANNEAL_LIMIT = {"name": "anneal_change_mK", "value": 0.4, "unit": "mK",
                 "source": "quality manual 7.3, revision 4"}

# Ends of the ranges in °C, and the least U at a fixed point in them in mK (k = 2).
_SCOPE = [(-39.0, 29.8, 0.05), (29.7, 232.0, 0.15), (231.9, 419.6, 0.2), (419.5, 661.0, 0.6)]
_ARGON = [(-190.0, -38.8, 0.12)]


def _scope(lines):
    return [{"low_C": low, "high_C": high, "U_mK": u} for low, high, u in lines]


def _may(*acts):
    """(act, from) or (act, from, until)."""
    return [{"act": act[0], "from": act[1], "by": FIRST, **({"until": act[2]} if act[2:] else {})}
            for act in acts]


def _person(name, function, *acts, state="active"):
    return {"name": name, "function": function, "state": state, "authorisations": _may(*acts)}


def _begin(history):
    """What the first person writes on the first day."""
    now = at(day(BEGIN), "08:30")
    edda = _person(FIRST_NAME, "head of laboratory", ("manage", BEGIN), ("operate", BEGIN),
                   ("issue", BEGIN))
    for who in edda["authorisations"]:
        del who["by"]
    history.put(now, FIRST, "person", FIRST, edda, "authorised by the owner of the laboratory")
    for name, body in (
            ("ilse", _person("Ilse Fennimoor", "thermometrist", ("operate", BEGIN))),
            ("tam", _person("Tam Quillbeck", "thermometrist", ("operate", BEGIN),
                            ("check", BEGIN))),
            ("odo", _person("Odo Wrackham", "deputy head", ("operate", BEGIN), ("check", BEGIN),
                            ("issue", BEGIN)))):
        history.put(now, FIRST, "person", name, body)
    history.change(now, FIRST, "laboratory", "laboratory", {
        "place": "measured here, room 3", "scope": _scope(_SCOPE),
        "method": "Procedure FP-04, revision 4: fixed points from the highest downwards, "
                  "R(0.01 °C) after each, 1 mA and 1.41 mA extrapolated to zero current."},
        "capability as assessed in November 2027")
    history.put(now, FIRST, "limits", "quality-manual", {
        "from": BEGIN, "limits": [_ANNEAL_LIMIT]})
    for name, (title, address) in CUSTOMERS.items():
        history.put(now, "ilse", "customer", name, {"name": title, "address": address})


def _later(history):
    """Who came, who went, who was allowed more; and what the assessors granted."""
    history.change(at(day("2028-06-19")), FIRST, "laboratory", "laboratory", {
        "scope": _scope(_ARGON + _SCOPE)}, "argon assessed on 12 and 13 June 2028")
    history.put(at(day("2029-01-08")), FIRST, "person", "ilse", _person(
        "Ilse Fennimoor", "senior thermometrist", ("operate", BEGIN), ("check", "2029-01-08")),
        "training record 29-1: ten calibrations followed, two examined")
    history.put(at(day("2029-02-05")), FIRST, "person", "wren", _person(
        "Wren Hathersage", "trainee"), "begins today; may not act yet")
    history.put(at(day("2029-05-02")), FIRST, "person", "wren", _person(
        "Wren Hathersage", "thermometrist", ("operate", "2029-05-02")),
        "training record 29-4: mantles, bridges, fixed points to zinc")
    history.put(at(day("2029-06-29")), FIRST, "person", "odo", _person(
        "Odo Wrackham", "deputy head", ("operate", BEGIN, "2029-06-29"),
        ("check", BEGIN, "2029-06-29"), ("issue", BEGIN, "2029-06-29"), state="left"), "retires")
    history.put(at(day("2029-07-02")), FIRST, "person", "tam", _person(
        "Tam Quillbeck", "deputy head", ("operate", BEGIN), ("check", BEGIN),
        ("issue", "2029-07-02")), "stands in for the head of laboratory")
    history.put(at(day("2030-07-01")), FIRST, "person", "wren", _person(
        "Wren Hathersage", "thermometrist", ("operate", "2029-05-02"), ("check", "2030-07-01")),
        "training record 30-3")
    history.put(at(day("2030-01-07"), "11:30"), FIRST, "limits", "quality-manual", {
        "from": CHECKED_SINCE, "limits": [_ANNEAL_LIMIT, *(
            {"name": name, "value": value, "unit": "1", "source": "quality manual 7.7, revision 5"}
            for name, value in (("check_thermometer_visits", 1), ("check_thermometer_k", 4)))]},
        "histories are long enough now to judge by")
    history.change(at(day("2030-01-07")), FIRST, "laboratory", "laboratory", {
        "method": "Procedure FP-04, revision 5: fixed points from the highest downwards, "
                  "R(0.01 °C) after each, 1 mA and 1.41 mA extrapolated to zero current."},
        "revision 5: check thermometers first and last decide on release")


def tell(history):
    _begin(history)
    _later(history)
