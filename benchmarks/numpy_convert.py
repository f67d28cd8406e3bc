"""CSV to CSV in pandas: numpy_convert.py RESULT IN OUT. Reads time, W and current and adds t90_K and
t90_C by the subrange H2O_Al of the result, with fixed decimals. No uncertainty, no messages."""
import json
import sys

import numpy as np
import pandas

from numpy_arrays import to_aluminium

with open(sys.argv[1], encoding="utf-8") as file:
    found = next(s for s in json.load(file)["subranges"] if s["name"] == "H2O_Al")
series = to_aluminium(*(found["coefficients"][name]["value"] for name in found["order"]))
frame = pandas.read_csv(sys.argv[2])
w = frame["W"].to_numpy()
t90_K = np.where((w >= 0.99996) & (w <= 3.3754), series.t90_K_of(w), np.nan)
frame["t90_K"], frame["t90_C"] = t90_K, t90_K - 273.15
frame.to_csv(sys.argv[3], index=False, float_format="%.7f")
