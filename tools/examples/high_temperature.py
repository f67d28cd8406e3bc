"""A high-temperature thermometer to silver that drifts and is annealed."""
from .example import Example, Said, Visit, terms

NOISE = 5e-8  # of a ratio to 1 ohm at 10 mA: 50 uK at the triple point of water
_EQUIPMENT = {"resistor": "R-1-2", "bridge": "B2"}
_POINTS = {
    "Ag1": ({"depth_m": 0.171, "u_depth_m": 0.005, "pressure_Pa": 101640, "u_pressure_Pa": 90},
            terms(0.6, 0.3, 0.4, 0.1, 0.8, 7, 0.8, 1.0)),
    "Al2": ({"depth_m": 0.166, "u_depth_m": 0.005, "pressure_Pa": 101520, "u_pressure_Pa": 60},
            terms(0.3, 0.15, 0.2, 0.05, 0.4, 9, 0.4, 0.15)),
    "Zn1": ({"depth_m": 0.174, "u_depth_m": 0.005, "pressure_Pa": 101360, "u_pressure_Pa": 50},
            terms(0.12, 0.06, 0.1, 0.03, 0.2, 14, 0.15, 0.02)),
    "Sn2": ({"depth_m": 0.173, "u_depth_m": 0.005, "pressure_Pa": 101280, "u_pressure_Pa": 50},
            terms(0.08, 0.04, 0.06, 0.02, 0.15, 16, 0.1)),
}


def _water(visit, start, state_mK, comment=None):
    said = {"id": visit, "cell": "W3", **_EQUIPMENT, "depth_m": 0.258, "u_depth_m": 0.004,
            "mantle_age": {"effect_mK": -0.008, "u_mK": 0.005},
            "terms": terms(0.02, 0.01, 0, 0.005, 0.03, 11, 0.04)}
    return Visit(said, start, 0.92, state_mK, noise=NOISE, i1_mA=10.0, bath_C=23.02,
                 comment=comment)


def _point(visit, cell, start, heating_mK, state_mK, comment=None):
    geometry, budget = _POINTS[cell]
    said = {"id": visit, "cell": cell, **_EQUIPMENT, **geometry, "terms": budget}
    return Visit(said, start, heating_mK, state_mK, noise=NOISE, i1_mA=10.0, bath_C=23.01,
                 comment=comment)


def _visits():
    return [
        _water(1, "2031-05-05T09:30:00+01:00", 0.0, "as it came from the second anneal"),
        _point(2, "Ag1", "2031-05-06T10:40:00+01:00", 1.36, 0.31, "from the top downwards"),
        _water(3, "2031-05-07T15:05:00+01:00", 0.31),
        _water(4, "2031-05-09T09:20:00+01:00", 0.10, "annealed again; most of it has gone"),
        _point(5, "Al2", "2031-05-12T10:15:00+01:00", 1.28, 0.17),
        _water(6, "2031-05-13T09:00:00+01:00", 0.17),
        _point(7, "Zn1", "2031-05-14T10:30:00+01:00", 1.17, 0.16),
        _water(8, "2031-05-14T15:00:00+01:00", 0.16),
        _point(9, "Sn2", "2031-05-15T10:05:00+01:00", 1.08, 0.18),
        _water(10, "2031-05-15T14:10:00+01:00", 0.18),
    ]


_JOB = {
    "#": {
        "cells": ["u_cell_mK: from the comparison of our cells, common to all visits to one cell.",
                  "total_umol_per_mol: overall maximum estimate of impurities, from the assay."],
        "visits": ["10 mA and 14.1 mA. leakage: what the silica may cost at 960 °C; the wires",
                   "stood at +6 V against ground."],
        "subranges": ["A thermometer that has been to silver is of little use below zinc; no range",
                      "of its own is issued there."],
    },
    "kind": "fixed-point calibration",
    "thermometer": {
        "id": "H-031", "sensor": "high temperature", "nominal_ohm": 0.25, "element_mm": 36,
        "tip_to_element_mm": 9, "maker": "Hollowmere workshop",
        "type": "four wires, silica sheath 650 mm by 7 mm",
        "serial": "H-031",
        "condition": Said("Received with faint milky spots above the element; R(0.01 °C) 1.4 mK "
                          "above its last value.")},
    "resistors": {"R-1-2": {"ohm": 1.00000347, "u_ohm": 1.5e-7, "at_C": 23, "per_K": 2.4e-6,
                            "u_per_K": 3e-7, "u_bath_K": 0.004,
                            "certificate": "30-2278, 4 November 2030"}},
    "bridges": {"B2": {"u_linearity": 3e-8, "u_current_ratio": 1e-4, "resolution": 1e-10,
                       "certificate": "verified 21 February 2031"}},
    "cells": {
        "W3": {"point": "H2O", "u_cell_mK": 0.018, "total_umol_per_mol": 0.1,
               "isotopes": {"dD": -0.0612, "u_dD": 0.001, "d18O": -0.0085, "u_d18O": 0.0002,
                            "r_dD_d18O": 0.6}},
        "Ag1": {"point": "Ag", "u_cell_mK": 0.5, "total_umol_per_mol": 1.0},
        "Al2": {"point": "Al", "u_cell_mK": 0.2, "total_umol_per_mol": 1.0},
        "Zn1": {"point": "Zn", "u_cell_mK": 0.1, "total_umol_per_mol": 0.5},
        "Sn2": {"point": "Sn", "u_cell_mK": 0.06, "total_umol_per_mol": 0.5}},
    "visits": None,
    "events": [
        {"after": 1, "kind": "anneal", "note": "975 °C for 30 min, then into the silver cell"},
        {"after": 2, "kind": "anneal", "note": "975 °C for 1 h, to 480 °C in 11 h"},
        {"after": 3, "kind": "anneal",
         "note": "drifted by 0.3 mK: 975 °C for 5 h, to 480 °C in 11 h"},
        {"after": 5, "kind": "anneal", "note": "675 °C for 30 min, to 480 °C in 5 h"}],
    "tpw": "after",
    "subranges": ["H2O_Ag"],
    "coverage_factor": 2,
    "limits": {"r_tpw_change_mK": 0.8},
    "readings": "readings.csv",
    "release": {"number": "31-034", "date": "2031-05-23", "name": "Edda Mossgarth",
                "function": "head of laboratory"},
    "report": {
        "laboratory": "Hollowmere Temperature Laboratory",
        "address": "4 Mill Rise, Hollowmere",
        "place": "measured here, room 3",
        "customer": "Scarth Fell Glassworks",
        "customer_address": "Kiln Lane, Scarth Fell",
        "received": "2031-04-14",
        "method": Said(
            "Procedure FP-06, revision 3: silver, aluminium, zinc and tin, R(0.01 °C) after each "
            "in the same state, 10 mA and 14.1 mA extrapolated to zero current."),
        "departures": Said(
            "after silver R(0.01 °C) had risen by 0.3 mK, and the thermometer was annealed "
            "once more at 975 °C before aluminium. Silver was divided by the R(0.01 °C) found "
            "before that anneal."),
        "conditions": Said("20.1 °C to 21.0 °C, 40 % to 52 % relative humidity, 99.6 kPa to "
                           "101.4 kPa"),
        "traceability": Said(
            "ITS-90 realised in cells W3, Ag1, Al2, Zn1 and Sn2, each compared with others of this "
            "laboratory and, in 2030, with those of a national institute; ratio bridge B2, "
            "verified 21 February 2031; standard resistor R-1-2, certificate 30-2278, 4 November "
            "2030."),
        "stabilisation": Said("twice five hours at 975 °C, cooled at 45 °C an hour; the second "
                              "changed R(0.01 °C) by 0.4 mK."),
        "measured_by": "Ilse Fennimoor",
        "checked_by": "Tam Quillbeck"},
}

_ABOVE = ("H2O_Ag", (-1.5870e-4, 9.4e-6, -2.1e-6, 3.6e-5))
EXAMPLE = Example(
    "high-temperature",
    ["A high-temperature thermometer of 0.25 ohm to the silver point. It drifts there and is",
     "annealed in the middle of the series.",
     "All of this is invented: the laboratory, its people, its customer, and every reading."],
    _JOB, _visits(), 0.25034817, _ABOVE, _ABOVE)
