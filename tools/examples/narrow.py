"""Two thermometers of 100 ohm between mercury and gallium: a good one, and one that is not platinum
enough for the scale."""
from .example import Example, Said, Visit, terms

NOISE = 1.2e-8  # of a ratio to 100 ohm at 1 mA: 3 uK at the triple point of water
_EQUIPMENT = {"resistor": "R-100-3", "bridge": "B2"}
_POINTS = {
    "Ga1": ({"depth_m": 0.205, "u_depth_m": 0.004, "pressure_Pa": 101310, "u_pressure_Pa": 40},
            terms(0.02, 0.01, 0.02, 0.005, 0.03, 12, 0.01)),
    "Hg1": ({"depth_m": 0.162, "u_depth_m": 0.004}, terms(0.05, 0.02, 0.02, 0.01, 0.06, 10, 0.02)),
}
_RESISTORS = {"R-100-3": {"ohm": 100.000512, "u_ohm": 1e-5, "at_C": 23, "per_K": 3.1e-6,
                          "u_per_K": 2e-7, "u_bath_K": 0.004,
                          "certificate": "30-2277, 3 November 2030"}}
_BRIDGES = {"B2": {"u_linearity": 1.5e-8, "u_current_ratio": 1e-4, "resolution": 1e-10,
                   "certificate": "verified 21 August 2031"}}
_LABORATORY = {"laboratory": "Hollowmere Temperature Laboratory",
               "address": "4 Mill Rise, Hollowmere", "place": "measured here, room 3"}


def _water(visit, start, heating_mK, state_mK, comment=None):
    said = {"id": visit, "cell": "W5", **_EQUIPMENT, "depth_m": 0.244, "u_depth_m": 0.004,
            "mantle_age": {"effect_mK": -0.010, "u_mK": 0.006},
            "terms": terms(0.015, 0.006, 0, 0.005, 0.015, 11, 0.01)}
    return Visit(said, start, heating_mK, state_mK, noise=NOISE, bath_C=23.01, comment=comment)


def _point(visit, cell, start, heating_mK, state_mK, comment=None):
    geometry, budget = _POINTS[cell]
    said = {"id": visit, "cell": cell, **_EQUIPMENT, **geometry, "terms": budget}
    return Visit(said, start, heating_mK, state_mK, noise=NOISE, bath_C=23.0, comment=comment)


def _visits(month, heating, states):
    water, gallium, mercury = heating
    return [
        _water(1, f"2031-{month}T09:30:00+01:00", water, states[0]),
        _point(2, "Ga1", f"2031-{month}T11:00:00+01:00", gallium, states[1],
               "from the top downwards"),
        _water(3, f"2031-{month}T14:10:00+01:00", water, states[1]),
        _point(4, "Hg1", f"2031-{month}T15:40:00+01:00", mercury, states[2]),
        _water(5, f"2031-{month}T18:20:00+01:00", water, states[2]),
    ]


def _cells(water):
    return {"W5": {"point": "H2O", "u_cell_mK": 0.02, "total_umol_per_mol": 0.1,
                   "isotopes": water},
            "Ga1": {"point": "Ga", "u_cell_mK": 0.03, "total_umol_per_mol": 0.2},
            "Hg1": {"point": "Hg", "u_cell_mK": 0.05, "total_umol_per_mol": 0.1}}


_GOOD_JOB = {
    "#": {"cells": ["The water of W5 was never analysed: the CCT's +50 uK with u = 35 uK is used."],
          "subranges": ["One range over both sides of the triple point of water."]},
    "kind": "fixed-point calibration",
    "thermometer": {
        "id": "S-088", "sensor": "long stem", "nominal_ohm": 100, "element_mm": 35,
        "tip_to_element_mm": 5, "maker": "Hollowmere workshop",
        "type": "four wires, silica sheath 420 mm by 6 mm",
        "serial": "S-088", "condition": "Received in good order."},
    "resistors": _RESISTORS,
    "bridges": _BRIDGES,
    "cells": _cells("unknown"),
    "visits": None,
    "tpw": "after",
    "subranges": ["Hg_Ga"],
    "coverage_factor": 2,
    "readings": "readings.csv",
    "release": {"number": "31-058", "date": "2031-09-12", "name": "Edda Mossgarth",
                "function": "head of laboratory"},
    "report": {
        **_LABORATORY,
        "customer": "Upper Tarn Tide and Weather Office",
        "customer_address": "Signal Cottage, Upper Tarn",
        "received": "2031-08-25",
        "method": Said("Procedure FP-04, revision 6, for the range from mercury to gallium: "
                       "gallium, mercury, R(0.01 °C) after each, 1 mA and 1.41 mA extrapolated to "
                       "zero current."),
        "departures": "none",
        "conditions": Said("20.2 °C to 20.9 °C, 44 % to 49 % relative humidity, 100.2 kPa to "
                           "100.5 kPa"),
        "traceability": Said(
            "ITS-90 realised in cells W5, Ga1 and Hg1, each compared with others of this "
            "laboratory and, in 2030, with those of a national institute; ratio bridge B2, "
            "verified 21 August 2031; standard resistor R-100-3, certificate 30-2277, 3 November "
            "2030."),
        "stabilisation": Said("three hours at 450 °C; R(0.01 °C) changed by 0.03 mK."),
        "measured_by": "Tam Quillbeck",
        "checked_by": "Ilse Fennimoor"},
}

_BAD_JOB = {
    "#": {"visits": ["Nothing is wrong with these readings; the wire is of industrial grade."]},
    "kind": "fixed-point calibration",
    "thermometer": {
        "id": "P-512", "sensor": "long stem", "nominal_ohm": 100, "element_mm": 25,
        "tip_to_element_mm": 4, "maker": "Hollowmere workshop",
        "type": "of industrial grade, four wires, steel sheath 500 mm by 6 mm",
        "serial": "P-512", "condition": "Received in good order."},
    "resistors": _RESISTORS,
    "bridges": _BRIDGES,
    "cells": _cells({"dD": -0.0583, "u_dD": 0.001, "d18O": -0.0081, "u_d18O": 0.0002,
                     "r_dD_d18O": 0.6}),
    "visits": None,
    "tpw": "after",
    "subranges": ["Hg_Ga"],
    "coverage_factor": 2,
    "readings": "readings.csv",
    "report": {
        **_LABORATORY,
        "customer": "Tarn Valley Waterworks",
        "customer_address": "Weir House, Tarn Valley",
        "received": "2031-09-15",
        "method": Said("Procedure FP-04, revision 6, for the range from mercury to gallium."),
        "measured_by": "Tam Quillbeck"},
}

_INVENTED = "All of this is invented: the laboratory, its people, its customer, and every reading."
_GOOD = ("Hg_Ga", (-2.1850e-4, -1.12e-5))
# W(Hg) and W(Ga) of IEC 60751 platinum (alpha = 3.851e-3), to four digits in each coefficient.
_BAD = ("Hg_Ga", (-2.0494e-2, 5.7e-4))

GOOD = Example(
    "hundred-ohm",
    ["A thermometer of 100 ohm for the narrow range from mercury to gallium.", _INVENTED],
    _GOOD_JOB, _visits("09-03", (1.83, 1.92, 1.61), (0.0, 0.02, 0.03)), 100.0137261, _GOOD, _GOOD)
BAD = Example(
    "fails-the-criterion",
    ["A thermometer of industrial grade, asked to become a standard: its W(Ga) is below and its",
     "W(Hg) above what the ITS-90 demands, equations (8a) and (8b). firn reduce ends with exit",
     "status 1. There is no release: a draft is all that comes of it.", _INVENTED],
    _BAD_JOB, _visits("09-22", (3.42, 3.55, 3.17), (0.0, 0.04, 0.07)), 100.0061934, _BAD, _BAD)
