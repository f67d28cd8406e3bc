"""The ITS-90 as far as the examples need it, written down a second time.

Nothing here is shared with libfirn: the constants are typed in from the sources named, so that a
slip on either side shows as a disagreement. Double precision; temperatures in kelvin.
"""
import math

# ITS-90 text (1990), Table 4; A8 and A5 as in the French text and the CCT Guide ch. 5 (2018).
A = (-2.13534729, 3.18324720, -1.80143597, 0.71727204, 0.50344027, -0.61899395, -0.05332322,
     0.28021362, 0.10715224, -0.29302865, 0.04459872, 0.11868632, -0.05248134)
C = (2.78157254, 1.64650916, -0.13714390, -0.00649767, -0.00234444, 0.00511868, 0.00187982,
     -0.00204472, -0.00046122, 0.00045724)
T_TPW = 273.16

# Point: T90/K, W_r, dT/dp in K/Pa, dT/dl in K/m (ITS-90 text, Tables 1 and 2), and the first
# cryoscopic constant in 1/K (CCT Guide sec. 2.1 (2018), Table 1). Only melting and freezing points
# have a dT/dp that the gas over them works through; that of triple points acts through the head.
POINTS = {
    "e-H2": (13.8033, 0.00119007, None, 0.25e-3, 0.0739),
    "Ne": (24.5561, 0.00844974, None, 1.9e-3, 0.0668),
    "O2": (54.3584, 0.09171804, None, 1.5e-3, 0.0181),
    "Ar": (83.8058, 0.21585975, None, 3.3e-3, 0.0203),
    "Hg": (234.3156, 0.84414211, None, 7.1e-3, 0.005041),
    "H2O": (273.16, 1.0, None, -0.73e-3, 0.009684),
    "Ga": (302.9146, 1.11813889, -2.0e-8, -1.2e-3, 0.007714),
    "In": (429.7485, 1.60980185, 4.9e-8, 3.3e-3, 0.002143),
    "Sn": (505.078, 1.89279768, 3.3e-8, 2.2e-3, 0.003377),
    "Zn": (692.677, 2.56891730, 4.3e-8, 2.7e-3, 0.001772),
    "Al": (933.473, 3.37600860, 7.0e-8, 1.6e-3, 0.001489),
    "Ag": (1234.93, 4.28642053, 6.0e-8, 5.4e-3, 0.000890),
}


def wr(t):
    """Reference function and its slope: equation (9a) up to 273.16 K, (10a) above."""
    if t <= T_TPW:
        x = (math.log(t / T_TPW) + 1.5) / 1.5
        value, slope = _polynomial(A, x)
        w = math.exp(value)
        return w, w * slope / (1.5 * t)
    value, slope = _polynomial(C, (t - 754.15) / 481.0)
    return value, slope / 481.0


def _polynomial(coefficients, x):
    value = slope = 0.0
    for c in reversed(coefficients):
        slope = slope * x + value
        value = value * x + c
    return value, slope


def vapour_t(p_Pa):
    """T90 of equilibrium hydrogen at its vapour pressure: ITS-90, equations (11a), (11b)."""
    if p_Pa < 60e3:
        return 17.035 + (p_Pa * 1e-3 - 33.3213) / 13.32
    return 20.27 + (p_Pa * 1e-3 - 101.292) / 30.0


# Standard uncertainty between neighbouring fixed points, in mK: factor (T - low)^p (high - T)^q,
# zero at the points. CCT Guide ch. 5 (2018), Tables 6 and 7; ours where nothing is published (below
# neon) and where the published one does not vanish at gallium and indium.
NON_UNIQUENESS = (
    (13.8033, 17.035, 0.04, 1, 1), (17.035, 20.27, 0.04, 1, 1), (20.27, 24.5561, 0.02, 1, 1),
    (24.5561, 54.3584, 1.5e-4, 1, 1.5), (54.3584, 83.8058, 1.1e-3, 0.75, 0.75),
    (83.8058, 234.3156, 2.2e-4, 0.75, 0.75), (234.3156, 273.16, 1.1e-5, 2, 1),
    (273.16, 302.9146, 3e-5, 1, 1), (302.9146, 429.7485, 3e-5, 1, 1),
    (429.7485, 505.078, 3e-5, 1, 1), (505.078, 692.677, 3e-5, 1, 1),
    (692.677, 933.473, 3e-5, 1, 1), (933.473, 1234.93, 5e-5, 1, 1))


def non_uniqueness(t):
    """The interval that holds t, by its place above, and the standard uncertainty there in K."""
    for place, (low, high, factor, p, q) in enumerate(NON_UNIQUENESS):
        if low <= t <= high:
            return place, 1e-3 * factor * (t - low) ** p * (high - t) ** q
    return -1, 0.0


class Subrange:
    """A deviation function W - W_r: its terms, their names and the points that fix them."""

    def __init__(self, points, names, terms):
        self.points, self.names, self.terms = points, names, terms

    def deviation(self, coefficients, w, w_al=None):
        return sum(c * f(w, w_al) for c, f in zip(coefficients, self.terms))

    def solve(self, values):
        """Coefficients from {point: (W, W_r)}; None when a point is missing."""
        if any(p not in values for p in self.points):
            return None
        w_al = values["Al"][0] if "Al" in values else None
        rows = [[f(values[p][0], w_al) for f in self.terms] + [values[p][0] - values[p][1]]
                for p in self.points]
        return eliminate(rows)


def eliminate(rows):
    """Solution of linear equations, given as rows with the right-hand side last."""
    n = len(rows)
    rows = [list(r) for r in rows]
    for i in range(n):
        best = max(range(i, n), key=lambda k: abs(rows[k][i]))
        rows[i], rows[best] = rows[best], rows[i]
        for k in range(i + 1, n):
            factor = rows[k][i] / rows[i][i]
            rows[k] = [a - factor * b for a, b in zip(rows[k], rows[i])]
    x = [0.0] * n
    for i in reversed(range(n)):
        x[i] = (rows[i][n] - sum(rows[i][k] * x[k] for k in range(i + 1, n))) / rows[i][i]
    return x


def _power(i):
    return lambda w, w_al: (w - 1.0) ** i


def _log(i):
    return lambda w, w_al: math.log(w) ** i


def _beyond_al(w, w_al):
    return (w - w_al) ** 2 if w > w_al else 0.0


_AB, _ABC = (_power(1), _power(2)), (_power(1), _power(2), _power(3))
# ITS-90 text, 3.3.1 to 3.3.3, equations (12) to (14), Table 5. The two vapour-pressure points are
# told apart here by their temperature.
SUBRANGES = {
    "e-H2_H2O": Subrange(("e-H2", "vapour-17", "vapour-20", "Ne", "O2", "Ar", "Hg"),
                         ("a", "b", "c1", "c2", "c3", "c4", "c5"),
                         _AB + tuple(_log(i + 2) for i in range(1, 6))),
    "Ne_H2O": Subrange(("e-H2", "Ne", "O2", "Ar", "Hg"), ("a", "b", "c1", "c2", "c3"),
                       _AB + tuple(_log(i) for i in range(1, 4))),
    "O2_H2O": Subrange(("O2", "Ar", "Hg"), ("a", "b", "c1"), _AB + (_log(2),)),
    "Ar_H2O": Subrange(("Ar", "Hg"), ("a", "b"),
                       (_power(1), lambda w, w_al: (w - 1.0) * math.log(w))),
    "Hg_Ga": Subrange(("Hg", "Ga"), ("a", "b"), _AB),
    "H2O_Ga": Subrange(("Ga",), ("a",), _AB[:1]),
    "H2O_In": Subrange(("In",), ("a",), _AB[:1]),
    "H2O_Sn": Subrange(("In", "Sn"), ("a", "b"), _AB),
    "H2O_Zn": Subrange(("Sn", "Zn"), ("a", "b"), _AB),
    "H2O_Al": Subrange(("Sn", "Zn", "Al"), ("a", "b", "c"), _ABC),
    "H2O_Ag": Subrange(("Sn", "Zn", "Al", "Ag"), ("a", "b", "c", "d"), _ABC + (_beyond_al,)),
}
