"""10^7 resistances to T90 in NumPy: deviation function and Chebyshev series of the inverse.

Chunks stay in the cache; the chunk was chosen by trial. `convert` takes the series as
numpy.polynomial has it; `convert_by_hand` writes Horner's rule out, in place, which is the least
that NumPy can be brought to. Both are as accurate as the C side.
"""
import csv
import pathlib
import time

import numpy as np
from numpy.polynomial import chebyshev, polynomial

CHUNK, CHUNK_BY_HAND = 8192, 16384
N = 10_000_000
R_TPW_OHM = 25.5
DATA = pathlib.Path(__file__).resolve().parent.parent / "data" / "reference-functions.csv"


def constants(symbol):
    with open(DATA, encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return np.array([float(r["value"]) for r in rows if r["symbol"] == symbol], np.longdouble)


A, C = constants("A"), constants("C")
TPW_K = np.longdouble("273.16")


def wr_below(t90_K):
    """ITS-90, equation (9a)"""
    x = (np.log(t90_K / TPW_K) + np.longdouble("1.5")) / np.longdouble("1.5")
    return np.exp(polynomial.polyval(x, A))


def wr_above(t90_K):
    """ITS-90, equation (10a)"""
    return polynomial.polyval((t90_K - np.longdouble("754.15")) / 481, C)


def root(equation, wr):
    low, high = np.full(wr.shape, 50, np.longdouble), np.full(wr.shape, 1300, np.longdouble)
    for _ in range(70):
        middle = (low + high) / 2
        above = equation(middle) > wr
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return (low + high) / 2


class Range:
    def __init__(self, equation, low_w, high_w, degree, deviation, deviation_by_hand):
        self.equation, self.low_w, self.high_w = equation, low_w, high_w
        self.deviation, self.deviation_by_hand = deviation, deviation_by_hand
        low, high = low_w - 0.001, high_w + 0.001 if high_w > 1 else 0.99999999
        nodes = chebyshev.chebpts1(60).astype(np.longdouble)
        wr = (high + low) / 2 + (high - low) / 2 * nodes
        t90_K = root(equation, wr)
        centre = float(t90_K.mean())
        series = chebyshev.chebfit(nodes.astype(float), (t90_K - centre).astype(float), 40)
        series[0] += centre
        self.series = series[:degree + 1]
        self.powers = chebyshev.cheb2poly(self.series)
        self.scale, self.offset = 2 / (high - low), -(high + low) / (high - low)

    def fill(self):
        self.ohm = R_TPW_OHM * np.random.default_rng(1).uniform(self.low_w, self.high_w, N)
        self.t90_K = np.ones(N)

    def t90_K_of(self, w):
        return chebyshev.chebval((w - self.deviation(w)) * self.scale + self.offset, self.series)

    def convert(self):
        start = time.thread_time()
        for i in range(0, N, CHUNK):
            self.t90_K[i:i + CHUNK] = self.t90_K_of(self.ohm[i:i + CHUNK] * (1 / R_TPW_OHM))
        return time.thread_time() - start

    def convert_by_hand(self):
        start = time.thread_time()
        buffers = np.empty((4, CHUNK_BY_HAND))
        for i in range(0, N, CHUNK_BY_HAND):
            n = min(CHUNK_BY_HAND, N - i)
            w, x, y, z = buffers[:, :n]
            np.multiply(self.ohm[i:i + n], 1 / R_TPW_OHM, out=w)
            self.deviation_by_hand(w, x, y, z)
            w -= y
            w *= self.scale
            w += self.offset
            np.multiply(w, self.powers[-1], out=y)
            for c in self.powers[-2:0:-1]:
                y += c
                y *= w
            np.add(y, self.powers[0], out=self.t90_K[i:i + n])
        return time.thread_time() - start

    def largest_error_K(self):
        """From the exact root, over a part of the array."""
        w = self.ohm[::9973].astype(np.longdouble) / R_TPW_OHM
        exact_K = root(self.equation, w - self.deviation(w))
        return float(np.abs(self.t90_K[::9973] - exact_K).max())


def to_aluminium(a=-1.57e-4, b=-1.5e-5, c=7.8e-7):

    def deviation(w):
        x = w - 1
        return x * (a + x * (b + x * c))

    def by_hand(w, x, y, _):
        np.subtract(w, 1, out=x)
        np.multiply(x, c, out=y)
        y += b
        y *= x
        y += a
        y *= x

    return Range(wr_above, 1.0, 3.37, 18, deviation, by_hand)


def to_argon():
    a, b, c1 = -1.47e-4, -9.1e-6, 7.4e-7

    def deviation(w):
        x = w - 1
        return x * (a + x * b) + c1 * np.log(w) ** 2

    def by_hand(w, x, y, z):
        np.subtract(w, 1, out=x)
        np.multiply(x, b, out=y)
        y += a
        y *= x
        np.log(w, out=z)
        z *= z
        z *= c1
        y += z

    return Range(wr_below, 0.216, 0.9999, 25, deviation, by_hand)
