"""The reduction of examples/long-stem-25-ohm in NumPy with a page by matplotlib, as a laboratory would
script it: numpy_reduce.py READINGS PAGE.pdf RESULT.json

What the job file states stands here as numbers, so this side parses no job. Means, zero current,
corrections for isotopes, head and gas pressure, W, coefficients of five subranges, u of the
calibration, a table of t, W and U, and plots. No type A terms, budgets, degrees of freedom, checks
or explanation, all of which firn reduce has to do in the same time.
"""
import csv
import json
import sys

import matplotlib

matplotlib.use("pdf")
import matplotlib.pyplot as plt  # noqa: E402
import numpy as np  # noqa: E402
from matplotlib.backends.backend_pdf import PdfPages  # noqa: E402

from numpy_arrays import A, C  # noqa: E402

# point: T90 / K, W_r, dT/dl / (K/m), dT/dp / (K/Pa): ITS-90, Tables 1 and 2
POINTS = {"H2O": (273.16, 1.0, -0.73e-3, 0.0), "Al": (933.473, 3.37600860, 1.6e-3, 7e-8),
          "Zn": (692.677, 2.56891730, 2.7e-3, 4.3e-8), "Sn": (505.078, 1.89279768, 2.2e-3, 3.3e-8),
          "In": (429.7485, 1.60980185, 3.3e-3, 4.9e-8), "Hg": (234.3156, 0.84414211, 7.1e-3, 0.0),
          "Ar": (83.8058, 0.21585975, 3.3e-3, 0.0)}
# visit: point, depth / m, gas pressure / Pa, u / K
VISITS = {"2": ("Al", 0.168, 101480, 7.3e-4), "4": ("Zn", 0.176, 101390, 3.1e-4),
          "6": ("Sn", 0.175, 101210, 2.2e-4), "8": ("In", 0.178, 101330, 2.3e-4),
          "10": ("Hg", 0.162, 101325, 1.1e-4), "12": ("Ar", 0.085, 101325, 3.2e-4)}
AFTER = {"2": "3", "4": "5", "6": "7", "8": "9", "10": "11", "12": "13"}
TPW_DEPTH_M, TPW_MANTLE_K, U_TPW_K = 0.261, {"1": -12e-6, "3": -12e-6, "5": -12e-6}, 4e-5
DD, D18O = -0.0612, -0.0085
SUBRANGES = {"H2O_Al": "2 4 6", "H2O_Zn": "4 6", "H2O_Sn": "6 8", "H2O_In": "8", "Ar_H2O": "12 10"}


def resistances(path):
    """Zero-current resistance of each visit, in ohm."""
    groups = {}
    with open(path, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["flag"]:
                continue
            current = float(row["current_mA"])
            ohm = float(row["ratio"]) * 100.000512 * (1 + 3.1e-6 * (float(row["bath_C"]) - 23))
            groups.setdefault(row["visit"], {}).setdefault(current > 1.2, []).append((current, ohm))
    zero = {}
    for visit, pair in groups.items():
        (i1, r1), (i2, r2) = (np.mean(pair[k], axis=0) for k in (False, True))
        zero[visit] = (r1 * i2**2 - r2 * i1**2) / (i2**2 - i1**2)
    return zero


def reference(t90_K):
    """W_r and its slope: ITS-90, equations (9a) and (10a)."""
    t90_K = np.asarray(t90_K, float)
    a, c = A.astype(float), C.astype(float)
    p = np.polynomial.polynomial
    x, y = (t90_K - 754.15) / 481, (np.log(t90_K / 273.16) + 1.5) / 1.5
    below = np.exp(p.polyval(y, a))
    return (np.where(t90_K < 273.16, below, p.polyval(x, c)),
            np.where(t90_K < 273.16, below * p.polyval(y, p.polyder(a)) / (1.5 * t90_K),
                     p.polyval(x, p.polyder(c)) / 481))


def terms(name, w):
    x = w - 1
    if name == "Ar_H2O":
        return np.stack([x, x * np.log(w)], axis=-1)
    return np.stack([x**(k + 1) for k in range(len(SUBRANGES[name].split()))], axis=-1)


def corrected(zero):
    tpw = {}
    for visit in ("1", "3", "5", "7", "9", "11", "13", "own"):
        isotopes_K = 673e-6 * DD + 630e-6 * D18O  # data/isotopes.csv
        dt_K = isotopes_K - 0.73e-3 * TPW_DEPTH_M + TPW_MANTLE_K.get(visit, -6e-6)
        tpw[visit] = zero[visit] * (1 - 0.003988455 * dt_K)
    w = {}
    for visit, (point, depth_m, p_Pa, _) in VISITS.items():
        t90_K, _, per_m, per_Pa = POINTS[point]
        dt_K = per_m * depth_m + per_Pa * (p_Pa - 101325)
        w[visit] = zero[visit] / tpw[AFTER[visit]] - float(reference(t90_K)[1]) * dt_K
    return tpw, w


def solve(name, w):
    """Coefficients, and t / degC, W, U(t) / mK for the table."""
    visits = SUBRANGES[name].split()
    matrix = terms(name, np.array([w[v] for v in visits]))
    right = np.array([w[v] - POINTS[VISITS[v][0]][1] for v in visits])
    c = np.linalg.solve(matrix, right)
    low, high = (83.8058, 273.16) if name == "Ar_H2O" else (
        273.15, max(POINTS[VISITS[v][0]][0] for v in visits))
    t90_K = np.append(np.arange(np.ceil(low), high, 1.0), high)
    wr, slope = reference(t90_K)
    wt = wr
    for _ in range(6):
        wt = wr + terms(name, wt) @ c
    inverse = np.linalg.inv(matrix)
    slopes = reference([POINTS[VISITS[v][0]][0] for v in visits])[1]
    u_w = np.array([VISITS[v][3] for v in visits]) * slopes
    weights = terms(name, wt) @ inverse
    w_points = np.array([w[v] for v in visits])
    u_tpw = 0.003988 * U_TPW_K * (wt - weights @ w_points)
    u_K = np.sqrt(((weights * u_w)**2).sum(axis=1) + u_tpw**2) / slope
    return c, t90_K - 273.15, wt, 2e3 * u_K


def page(path, tpw, solved, w):
    with PdfPages(path) as pdf:
        figure, axes = plt.subplots(2, 2, figsize=(8.27, 11.69))
        (deviation, uncertainty), (sequence, table) = axes
        for name, (c, t_C, wt, u_mK) in solved.items():
            deviation.plot(t_C, 1e6 * terms(name, wt) @ c, label=name)
            uncertainty.plot(t_C, u_mK, label=name)
        for visit, (point, *_) in VISITS.items():
            deviation.plot(POINTS[point][0] - 273.15, 1e6 * (w[visit] - POINTS[point][1]), "ko")
        sequence.plot(list(tpw), 1e3 * (np.array(list(tpw.values())) / tpw["1"] - 1) / 0.003988, "o-")
        for axis, title in ((deviation, "W - W_r, 1e-6"), (uncertainty, "U / mK"),
                            (sequence, "R(0.01 °C), change / mK")):
            axis.set_title(title)
            axis.grid(True)
        deviation.legend()
        _, t_C, wt, u_mK = solved["H2O_Al"]
        rows = [[f"{t:.0f}", f"{x:.7f}", f"{u:.2f}"] for t, x, u in
                list(zip(t_C, wt, u_mK))[::20]]
        table.axis("off")
        table.table(cellText=rows, colLabels=["t / °C", "W", "U / mK"], loc="center")
        pdf.savefig(figure)


def main():
    tpw, w = corrected(resistances(sys.argv[1]))
    solved = {name: solve(name, w) for name in SUBRANGES}
    page(sys.argv[2], tpw, solved, w)
    with open(sys.argv[3], "w", encoding="utf-8") as file:
        json.dump({"tpw": tpw, "w": w, "coefficients": {n: list(s[0]) for n, s in solved.items()},
                   "tables": {n: [list(x) for x in s[1:]] for n, s in solved.items()}}, file)


main()
