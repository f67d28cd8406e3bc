"""A long-stem thermometer, argon to aluminium, and three temperatures measured with it."""
from .example import Example, Said, Visit, terms

NOISE = 1.6e-8  # of a ratio to 100 ohm at 1 mA: 16 uK at the triple point of water
_EQUIPMENT = {"resistor": "R-100-3", "bridge": "B2"}

# id, cell, start, depth/m, pressure/Pa, heating/mK, bath, comment. Water follows each point.
_POINTS = {
    "Al2": ({"depth_m": 0.168, "u_depth_m": 0.004, "pressure_Pa": 101480, "u_pressure_Pa": 60},
            terms(0.25, 0.1, 0.2, 0.05, 0.4, 9, 0.2, 0.05)),
    "Zn1": ({"depth_m": 0.176, "u_depth_m": 0.004, "pressure_Pa": 101390, "u_pressure_Pa": 50},
            terms(0.1, 0.05, 0.1, 0.03, 0.15, 14, 0.06, 0.01)),
    "Sn2": ({"depth_m": 0.175, "u_depth_m": 0.004, "pressure_Pa": 101210, "u_pressure_Pa": 50},
            terms(0.06, 0.03, 0.06, 0.02, 0.1, 16, 0.04)),
    "In2": ({"depth_m": 0.178, "u_depth_m": 0.004, "pressure_Pa": 101330, "u_pressure_Pa": 50},
            terms(0.06, 0.03, 0.08, 0.02, 0.12, 12, 0.04)),
    "Hg1": ({"depth_m": 0.162, "u_depth_m": 0.004}, terms(0.05, 0.02, 0.02, 0.01, 0.06, 10, 0.02)),
    "Ar1": ({"depth_m": 0.085, "u_depth_m": 0.005}, terms(0.12, 0.04, 0.02, 0, 0.07, 8, 0.03)),
}


def _water(visit, start, state_mK, age, bath_C, comment=None):
    said = {"id": visit, "cell": "W3", **_EQUIPMENT, "depth_m": 0.261, "u_depth_m": 0.003,
            "mantle_age": age, "terms": terms(0.01, 0.005, 0, 0.004, 0.012, 11, 0.015)}
    return Visit(said, start, 1.62, state_mK, noise=NOISE, bath_C=bath_C, comment=comment)


def _point(visit, cell, start, heating_mK, state_mK, bath_C, comment=None, flags=None):
    geometry, budget = _POINTS[cell]
    said = {"id": visit, "cell": cell, **_EQUIPMENT, **geometry, "terms": budget}
    return Visit(said, start, heating_mK, state_mK, noise=NOISE, bath_C=bath_C, comment=comment,
                 flags=flags)


def _place(visit, start, t_K, note, comment=None):
    said = {"id": visit, "measure": True, **_EQUIPMENT, "tpw": "own", "u_temperature_mK": 0.8,
            "note": note}
    return Visit(said, start, 2.31, 0.07, noise=NOISE, bath_C=22.99, t_K=t_K, comment=comment)


def _visits():
    old, older = {"effect_mK": -0.012, "u_mK": 0.006}, {"effect_mK": -0.006, "u_mK": 0.004}
    flags = {(1, 7): ("set aside: lamp over the cell", 46.0), (1, 8): ("set aside: lamp", 31.0)}
    return [
        _water(1, "2031-03-03T09:40:00+00:00", 0.0, old, 23.01, "after the anneal"),
        _point(2, "Al2", "2031-03-04T10:05:00+00:00", 2.94, 0.03, 23.02, "from the top downwards"),
        _water(3, "2031-03-05T08:50:00+00:00", 0.03, old, 22.99),
        _point(4, "Zn1", "2031-03-06T10:20:00+00:00", 2.58, 0.06, 23.01),
        _water(5, "2031-03-06T14:45:00+00:00", 0.06, old, 23.02),
        _point(6, "Sn2", "2031-03-07T09:55:00+00:00", 2.14, 0.05, 23.00),
        _water(7, "2031-03-07T13:30:00+00:00", 0.05, older, 23.01),
        _point(8, "In2", "2031-03-10T10:10:00+00:00", 1.97, 0.08, 23.02, flags=flags,
               comment="redundant: predicted by the other points"),
        _water(9, "2031-03-10T14:05:00+00:00", 0.08, older, 23.00),
        _point(10, "Hg1", "2031-03-11T10:30:00+00:00", 1.41, 0.07, 22.98),
        _water(11, "2031-03-11T15:10:00+00:00", 0.07, older, 22.99),
        _point(12, "Ar1", "2031-03-12T09:45:00+00:00", 0.83, 0.09, 23.00),
        _water(13, "2031-03-12T14:20:00+00:00", 0.09, older, 23.01),
        _place("top", "2031-03-14T10:00:00+00:00", 573.14617, "150 mm above the bottom of hole 1",
               "three places in comparison block D2, near 300 °C"),
        _place("middle", "2031-03-14T11:10:00+00:00", 573.15042,
               "75 mm above the bottom of hole 1"),
        _place("bottom", "2031-03-14T12:20:00+00:00", 573.15128, "at the bottom of hole 1"),
        _water("own", "2031-03-14T16:30:00+00:00", 0.07, older, 23.00,
               "the R(TPW) that belongs to these three"),
    ]


_JOB = {
    "#": {
        "resistors": ["Standard uncertainties throughout; where no dof stands, it is infinite."],
        "cells": ["u_cell_mK: from the comparison of our cells, common to all visits to one cell.",
                  "total_umol_per_mol: overall maximum estimate of impurities, from the assay."],
        "visits": ["In the order in which they were made. depth_m: liquid over the middle of the",
                   "element."],
        "tpw": ["Each point is divided by the R(TPW) that follows it."],
    },
    "kind": "fixed-point calibration",
    "thermometer": {
        "id": "S-114", "sensor": "long stem", "nominal_ohm": 25.5, "element_mm": 42,
        "tip_to_element_mm": 6, "maker": "Hollowmere workshop",
        "type": "four wires, silica sheath 480 mm by 7.5 mm",
        "serial": "S-114",
        "condition": "Received in good order, R(0.01 °C) 0.05 mK above its last value."},
    "resistors": {"R-100-3": {"ohm": 100.000512, "u_ohm": 1e-5, "at_C": 23, "per_K": 3.1e-6,
                              "u_per_K": 2e-7, "u_bath_K": 0.004,
                              "certificate": "30-2277, 3 November 2030"}},
    "bridges": {"B2": {"u_linearity": 1.5e-8, "u_current_ratio": 1e-4, "resolution": 1e-10,
                       "certificate": "verified 21 February 2031"}},
    "cells": {
        "W3": {"point": "H2O", "u_cell_mK": 0.018, "total_umol_per_mol": 0.1,
               "isotopes": {"dD": -0.0612, "u_dD": 0.001, "d18O": -0.0085, "u_d18O": 0.0002,
                            "r_dD_d18O": 0.6}},
        "Al2": {"point": "Al", "u_cell_mK": 0.2, "total_umol_per_mol": 1.0},
        "Zn1": {"point": "Zn", "u_cell_mK": 0.1, "total_umol_per_mol": 0.5},
        "Sn2": {"point": "Sn", "u_cell_mK": 0.06, "total_umol_per_mol": 0.5},
        "In2": {"point": "In", "u_cell_mK": 0.08, "total_umol_per_mol": 0.4},
        "Hg1": {"point": "Hg", "u_cell_mK": 0.05, "total_umol_per_mol": 0.1},
        "Ar1": {"point": "Ar", "u_cell_mK": 0.05, "total_umol_per_mol": 1.0}},
    "visits": None,
    "events": [
        {"after": 1, "kind": "anneal", "note": "675 °C for 30 min, then into the aluminium cell"},
        {"after": 2, "kind": "anneal",
         "note": "675 °C for 30 min, to 480 °C in 4 h, out to room temperature"},
        {"after": 13, "kind": "transport", "note": "by hand to room 5, where block D2 stands"}],
    "tpw": "after",
    "wr_at_points": "table",
    "subranges": "all",
    "coverage_factor": 2,
    "readings": "readings.csv",
    "release": {"number": "31-021", "date": "2031-03-21", "name": "Edda Mossgarth",
                "function": "head of laboratory"},
    "report": {
        "laboratory": "Hollowmere Temperature Laboratory",
        "address": "4 Mill Rise, Hollowmere",
        "place": "measured here, rooms 3 and 5",
        "customer": "Tarn Valley Waterworks",
        "customer_address": "Weir House, Tarn Valley",
        "received": "2031-02-24",
        "method": Said(
            "Procedure FP-04, revision 6: fixed points from aluminium downwards, R(0.01 °C) after "
            "each, 1 mA and 1.41 mA extrapolated to zero current. Indium was measured as a check "
            "and fixes no coefficient of the ranges to zinc and aluminium."),
        "departures": Said(
            "none from the procedure. At indium two readings were set aside, because a lamp was "
            "lit over the cell; they are kept with the record."),
        "conditions": Said("19.7 °C to 20.6 °C, 38 % to 47 % relative humidity, 99.1 kPa to "
                           "101.0 kPa"),
        "traceability": Said(
            "ITS-90 realised in cells W3, Al2, Zn1, Sn2, In2, Hg1 and Ar1, each compared with "
            "others of this laboratory and, in 2030, with those of a national institute; ratio "
            "bridge B2, verified 21 February 2031; standard resistor R-100-3, certificate 30-2277, "
            "3 November 2030."),
        "stabilisation": Said("four hours at 675 °C, cooled to 480 °C in four hours; "
                              "R(0.01 °C) changed by 0.06 mK."),
        "measured_by": "Ilse Fennimoor",
        "checked_by": "Tam Quillbeck"},
}

EXAMPLE = Example(
    "long-stem-25-ohm",
    ["A long-stem thermometer of 25.5 ohm from argon to aluminium, and three places of a",
     "comparison block measured with it afterwards.",
     "All of this is invented: the laboratory, its people, its customer, and every reading."],
    _JOB, _visits(), 25.4786143,
    ("Ar_H2O", (-2.4871e-4, 1.93e-5)), ("H2O_Al", (-2.6120e-4, -1.64e-5, 3.1e-6)))
