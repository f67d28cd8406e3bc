"""A capsule thermometer from the triple point of hydrogen to that of water."""
from . import scale
from .example import Example, Said, Visit, terms

_HIGH, _LOW = {"resistor": "R-25-1", "bridge": "B3"}, {"resistor": "R-1-2", "bridge": "B3"}
NOISE_HIGH = 5e-8   # of a ratio to 25 ohm at 1 mA
NOISE_LOW = 9e-8    # of a ratio to 1 ohm at 5 mA

# Deviation of this thermometer at the points, as a fraction of W - 1: nearly one number, with the
# steps of a few parts in 1e5 that real ones show at the lowest temperatures.
_STEEPNESS = {"e-H2": -2.163e-4, "vapour-17": -2.158e-4, "vapour-20": -2.151e-4, "Ne": -2.146e-4,
              "O2": -2.131e-4, "Ar": -2.127e-4, "Hg": -2.149e-4}


def _below():
    """Coefficients that give these deviations."""
    values = {}
    for point, part in _STEEPNESS.items():
        t = {"vapour-17": 17.035, "vapour-20": 20.27}.get(point)
        wr = scale.POINTS[point][1] if t is None else scale.wr(t)[0]
        values[point] = (1.0 + (wr - 1.0) / (1.0 - part), wr)
    return "e-H2_H2O", tuple(scale.SUBRANGES["e-H2_H2O"].solve(values))


def _point(visit, cell, start, heating_mK, budget, comment=None, low=False, **said):
    return Visit({"id": visit, "cell": cell, **(_LOW if low else _HIGH), **said, "terms": budget},
                 start, heating_mK, noise=NOISE_LOW if low else NOISE_HIGH,
                 i1_mA=5.0 if low else 1.0, bath_C=20.01, comment=comment)


def _visits():
    return [
        _point(1, "W7", "2031-01-13T10:00:00+00:00", 1.12,
               terms(0.012, 0.006, 0, 0.004, 0.015, 9, 0.01), depth_m=0.212, u_depth_m=0.003,
               mantle_age={"effect_mK": -0.010, "u_mK": 0.006},
               comment="the R(TPW) of all points, in a closed tube"),
        _point(2, "Hg3", "2031-01-15T11:20:00+00:00", 1.02,
               terms(0.03, 0.02, 0.02, 0.01, 0.04, 10, 0.015), depth_m=0.112, u_depth_m=0.003,
               comment="sealed cells in the cryostat, from the top downwards"),
        _point(3, "Ar2", "2031-01-20T14:00:00+00:00", 0.41,
               terms(0.012, 0.015, 0.012, 0, 0.014, 12, 0.008), depth_m=0.012, u_depth_m=0.004),
        _point(4, "O2-1", "2031-01-22T15:30:00+00:00", 0.36,
               terms(0.012, 0.01, 0.008, 0, 0.008, 12, 0.008), depth_m=0.014, u_depth_m=0.004),
        _point(5, "Ne1", "2031-01-24T16:10:00+00:00", 0.19,
               terms(0.012, 0.015, 0.015, 0, 0.015, 12, 0.008), low=True, depth_m=0.018,
               u_depth_m=0.004, comment="from here on 5 mA and 7.07 mA, and the 1 ohm resistor"),
        _point(6, "H2-v", "2031-01-27T11:00:00+00:00", 0.17,
               terms(0.02, 0.02, 0, 0, 0.03, 8, 0.008), low=True, vapour_pressure_Pa=101284.6,
               u_vapour_pressure_Pa=2.0),
        _point(7, "H2-v", "2031-01-27T15:40:00+00:00", 0.15,
               terms(0.02, 0.02, 0, 0, 0.03, 8, 0.008), low=True, vapour_pressure_Pa=33327.1,
               u_vapour_pressure_Pa=0.9),
        _point(8, "H2-1", "2031-01-29T13:10:00+00:00", 0.12,
               terms(0.012, 0.012, 0.008, 0, 0.012, 10, 0.008), low=True, depth_m=0.010,
               u_depth_m=0.004),
    ]


_JOB = {
    "#": {
        "cells": ["Hydrogen, neon and water are corrected for their isotopes, from analyses.",
                  "u_cell_mK: from comparisons, common to all visits to one cell."],
        "visits": ["The vapour pressure is that at the surface of the liquid, by gauge P4."],
        "tpw": ["A capsule keeps its R(TPW): one value serves all points."],
    },
    "kind": "fixed-point calibration",
    "thermometer": {
        "id": "C-207", "sensor": "capsule", "nominal_ohm": 25.5, "element_mm": 30,
        "maker": "Hollowmere workshop",
        "type": "four wires, platinum sheath 60 mm by 5.8 mm, helium filled",
        "serial": "C-207",
        "condition": "Received in good order, R(0.01 °C) 0.02 mK above its last value."},
    "resistors": {
        "R-25-1": {"ohm": 25.0003310, "u_ohm": 2e-6, "at_C": 20, "per_K": 1.8e-6, "u_per_K": 2e-7,
                   "u_bath_K": 0.005, "certificate": "30-2276, 3 November 2030"},
        "R-1-2": {"ohm": 1.00000347, "u_ohm": 8e-8, "at_C": 20, "per_K": 2.4e-6, "u_per_K": 3e-7,
                  "u_bath_K": 0.005, "certificate": "30-2279, 4 November 2030"}},
    "bridges": {"B3": {"u_linearity": 2e-8, "u_current_ratio": 1e-4, "resolution": 1e-10,
                       "certificate": "verified 17 December 2030"}},
    "cells": {
        "W7": {"point": "H2O", "u_cell_mK": 0.02, "total_umol_per_mol": 0.1,
               "isotopes": {"dD": -0.0715, "u_dD": 0.001, "d18O": -0.0097, "u_d18O": 0.0002,
                            "r_dD_d18O": 0.6}},
        "Hg3": {"point": "Hg", "u_cell_mK": 0.06, "total_umol_per_mol": 0.1},
        "Ar2": {"point": "Ar", "u_cell_mK": 0.03, "total_umol_per_mol": 0.7},
        "O2-1": {"point": "O2", "u_cell_mK": 0.03, "total_umol_per_mol": 0.6},
        "Ne1": {"point": "Ne", "u_cell_mK": 0.04, "total_umol_per_mol": 2.0,
                "isotopes": {"x22": 0.0939, "u_x22": 0.00004, "x21": 0.0027, "u_x21": 0.00002}},
        "H2-v": {"point": "e-H2-vapour", "u_cell_mK": 0.06},
        "H2-1": {"point": "e-H2", "u_cell_mK": 0.015, "total_umol_per_mol": 0.8,
                 "isotopes": {"xD_umol_per_mol": 36.2, "u_xD_umol_per_mol": 1.5}}},
    "visits": None,
    "events": [{"after": 1, "kind": "transport", "note": "by hand, room 3 to the cryostat"}],
    "tpw": "one",
    "wr_at_points": "table",
    "subranges": "all",
    "coverage_factor": 2,
    "readings": "readings.csv",
    "release": {"number": "31-009", "date": "2031-02-07", "name": "Edda Mossgarth",
                "function": "head of laboratory"},
    "report": {
        "laboratory": "Hollowmere Temperature Laboratory",
        "address": "4 Mill Rise, Hollowmere",
        "place": "measured here, rooms 3 and 7",
        "customer": "Blea Water Cold Stores",
        "customer_address": "The Old Ice House, Blea Water",
        "received": "2031-01-08",
        "method": Said(
            "Procedure FP-09, revision 2: one R(0.01 °C), then sealed triple points and two vapour "
            "pressures of hydrogen in the cryostat, 1 mA and 1.41 mA, from neon downwards 5 mA and "
            "7.07 mA, extrapolated to zero current. Triple points melted by pulses of heat; the "
            "value is that at the liquidus."),
        "departures": "none",
        "conditions": Said("19.5 °C to 20.3 °C, 35 % to 41 % relative humidity, 98.8 kPa to "
                           "101.9 kPa"),
        "traceability": Said(
            "ITS-90 realised in cells W7, Hg3, Ar2, O2-1, Ne1, H2-v and H2-1, compared with others "
            "of this laboratory and, in 2029, with those of a national institute; ratio bridge B3, "
            "verified 17 December 2030; standard resistors R-25-1 and R-1-2, certificates 30-2276 "
            "and 30-2279; pressure gauge P4, certificate 30-2301."),
        "stabilisation": "nothing, because a capsule is not annealed",
        "measured_by": "Ilse Fennimoor",
        "checked_by": "Tam Quillbeck"},
}

EXAMPLE = Example(
    "capsule-25-ohm",
    ["A capsule thermometer of 25.5 ohm, from the triple point of hydrogen to that of water: five",
     "gases, mercury, two vapour pressures, one R(TPW).",
     "All of this is invented: the laboratory, its people, its customer, and every reading."],
    _JOB, _visits(), 25.4931752, _below(), None)
