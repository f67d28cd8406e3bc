#!/usr/bin/python3
"""Writes the tables of the ziggurat for the standard normal distribution: make_ziggurat.py OUTPUT.h

256 layers of equal area under exp(-x^2/2) (Marsaglia and Tsang, J. Statist. Softw. 5 (2000) 8; the
base layer includes the tail beyond x[1]). Computed at 60 digits and rounded once.
"""
import sys

from mpmath import erfc, exp, findroot, log, mp, mpf, pi, sqrt

LAYERS = 256
mp.dps = 60


def density(x):
    return exp(-x * x / 2)


def area(r):
    """Of the base layer: the rectangle up to r, and the tail."""
    return r * density(r) + sqrt(pi / 2) * erfc(r / sqrt(2))


def edges(r):
    """x[1] = r down to x[255]; the layer above that one must end at density 1."""
    v, x = area(r), [r]
    while len(x) < LAYERS - 1:
        x.append(sqrt(-2 * log(v / x[-1] + density(x[-1]))))
    return x


def excess(r):
    x = edges(r)
    return density(x[-1]) + area(r) / x[-1] - 1


def array(name, values):
    lines = "".join(f"\t{float(v).hex()},\n" for v in values)
    return f"static const double {name}[{len(values)}] = {{\n{lines}}};\n"


def main():
    r = findroot(excess, (mpf("3.654"), mpf("3.6543")), tol=mpf(10) ** -50)
    x = [area(r) / density(r)] + edges(r) + [mpf(0)]
    assert len(x) == LAYERS + 1 and all(a > b for a, b in zip(x, x[1:]))
    with open(sys.argv[1], "w", encoding="ascii") as file:
        file.write("/* Made by tools/make_ziggurat.py. */\n")
        file.write(array("ziggurat_x", x))
        file.write(array("ziggurat_inside", [b / a for a, b in zip(x, x[1:])]))
        file.write(array("ziggurat_density", [density(e) for e in x]))


if __name__ == "__main__":
    main()
