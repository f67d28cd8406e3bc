"""Visits of thermometers to cells, brought into a book of a test by a job file each."""
import json

SLOPE = 3.988527904664923e-3  # dWr/dT at 273.16 K by equation (9a) of the ITS-90, 1/K


def r_tpw(nominal_ohm, off_mK):
    """R(TPW) of a thermometer that is so far off its nominal value."""
    return nominal_ohm * (1 + SLOPE * 1e-3 * off_mK)


def measure(book, name, thermometer, visits, n=6):
    """A calibration of one or more visits: (id, cell, point, ohm, time of the first reading)."""
    cells = {c: {"point": p} for _, c, p, _, _ in visits}
    job = {"kind": "fixed-point calibration", "readings": f"{name}.csv",
           "thermometer": {"id": thermometer, "sensor": "long stem", "nominal_ohm": 25.5},
           "cells": cells,
           "visits": [{"id": v, "cell": c, "depth_m": 0.2} for v, c, _, _, _ in visits]}
    lines = ["time,visit,current_mA,resistance_ohm"]
    for visit, _, _, ohm, start in visits:
        day, clock = start.split("T")
        hour, minute = clock.split(":")[:2]
        lines += [f"{day}T{hour}:{minute}:{second:02}Z,{visit},1,{ohm!r}" for second in range(n)]
    (book.folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    path = book.folder / f"{name}.yaml"
    path.write_text(json.dumps(job), encoding="utf-8")  # JSON is YAML
    return book.say("job", path, name)
