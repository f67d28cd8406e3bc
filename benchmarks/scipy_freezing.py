"""The cell of benchmarks/heat.c, "freeze": the same equations by SciPy's sparse solvers.

Enthalpy on the same 100 x 400 cells, every step implicit in both directions at once: Newton's method
on which cells are solid, melting and liquid, each time one sparse system. Fronts lie within their
cells as in lib/heat/front.c, from the beginning of the step. Steps of 30 s: about as long as the
halves that ours takes (some 1000 steps for 24 h), so that both follow the front equally closely.
"""
import time

import numpy
import scipy.sparse
import scipy.sparse.linalg

NR, NZ, DR, DZ = 100, 400, 0.25e-3, 0.65e-3
K_ICE, K_LIQUID, DENSITY, C_ICE, C_LIQUID, LATENT = 2.14, 0.5556, 916.7, 2097.0, 4219.0, 333440.0
K_GLASS, C_GLASS = 1.1, 2230.0 * 840.0
STEP_S, THINNEST = 30.0, 0.01


class Cell:
    """Arrays [z, r]; the freezing point is the zero of temperature and of the solid's enthalpy."""

    def __init__(self):
        self.edge = 6e-3 + DR * numpy.arange(NR + 1)
        a, b = self.edge[:-1], self.edge[1:]
        self.middle = numpy.sqrt((a * a + a * b + b * b) / 3)
        self.area = numpy.pi * (b * b - a * a)
        r, z = numpy.meshgrid(self.middle, DZ * (numpy.arange(NZ) + 0.5))
        self.is_water = (r > 7.25e-3) & (r < 29.75e-3) & (z > 2.6e-3)
        volume = self.area * DZ * numpy.ones((NZ, NR))
        self.c_solid = volume * numpy.where(self.is_water, DENSITY * C_ICE, C_GLASS)
        self.c_liquid = volume * numpy.where(self.is_water, DENSITY * C_LIQUID, C_GLASS)
        self.latent = volume * numpy.where(self.is_water, DENSITY * LATENT, 0.0)
        self.t = numpy.zeros((NZ, NR))
        self.h = self.latent.copy()
        middle_z = z[:, 0]
        inner = 2 * numpy.pi * self.edge[0] * DZ
        self.film_in = numpy.where(middle_z < 0.195, 200.0, 5.0) * inner
        self.t_in = numpy.where(middle_z < 0.195, -2.0, 20.0)
        self.film_out = 50.0 * 2 * numpy.pi * self.edge[-1] * DZ
        self.film_top = 5.0 * self.area

    def halves(self):
        """Resistances from each cell to its faces: inner, outer, below, above."""
        a, b, m = self.edge[:-1], self.edge[1:], self.middle
        solid = self.h < 0
        k = numpy.where(self.is_water, numpy.where(solid, K_ICE, K_LIQUID), K_GLASS)
        along = 2 * numpy.pi * DZ
        out = [numpy.log(m / a) / (along * k), numpy.log(b / m) / (along * k),
               0.5 * DZ / (k * self.area), 0.5 * DZ / (k * self.area)]
        pad = numpy.pad(self.t, 1)
        around = [numpy.sign(pad[1:-1, :-2]), numpy.sign(pad[1:-1, 2:]), numpy.sign(pad[:-2, 1:-1]),
                  numpy.sign(pad[2:, 1:-1])]
        front = self.is_water & (self.h >= 0) & (self.h <= self.latent)
        front &= (around[0] != 0) | (around[1] != 0) | (around[2] != 0) | (around[3] != 0)
        liquid = numpy.clip(self.h / numpy.maximum(self.latent, 1e-300), 0, 1)
        for side in range(4):
            here, there = around[side], around[side ^ 1]
            frozen = (here < 0) | ((here == 0) & (there > 0))
            part = numpy.where(here < 0, 1 - liquid,
                               numpy.where(here > 0, liquid, numpy.where(there < 0, liquid, 1 - liquid)))
            part = numpy.clip(numpy.where((here != 0) & (here == there), 0.5 * part, part), THINNEST, 1)
            conductivity = numpy.where(frozen, K_ICE, K_LIQUID)
            if side == 0:
                layer = 0.5 * numpy.log(1 + part * (b * b - a * a) / (a * a)) / along
            elif side == 1:
                layer = -0.5 * numpy.log(1 - part * (b * b - a * a) / (b * b)) / along
            else:
                layer = part * DZ / self.area
            out[side] = numpy.where(front, layer / conductivity, out[side])
        return out

    def conductances(self):
        """Matrix of flows between cells, what films add to its diagonal, and what they bring in."""
        inner, outer, below, above = self.halves()
        g_r = 1 / (outer[:, :-1] + inner[:, 1:])
        g_z = 1 / (above[:-1] + below[1:])
        diagonal, brought = numpy.zeros((NZ, NR)), numpy.zeros((NZ, NR))
        for here, film, t in ((numpy.s_[:, 0], 1 / (1 / self.film_in + inner[:, 0]), self.t_in),
                              (numpy.s_[:, -1], 1 / (1 / self.film_out + outer[:, -1]), 0.02),
                              (numpy.s_[-1, :], 1 / (1 / self.film_top + above[-1]), 20.0)):
            diagonal[here] += film
            brought[here] += film * t
        diagonal[:, :-1] += g_r
        diagonal[:, 1:] += g_r
        diagonal[:-1] += g_z
        diagonal[1:] += g_z
        right = numpy.zeros((NZ, NR))
        right[:, :-1] = g_r
        flows = scipy.sparse.diags(
            [diagonal.ravel(), -right.ravel()[:-1], -right.ravel()[:-1], -g_z.ravel(), -g_z.ravel()],
            [0, 1, -1, NR, -NR], format="csc")
        return flows, brought.ravel()

    def step(self):
        """One implicit step; how many systems it took."""
        flows, brought = self.conductances()
        latent, before = self.latent.ravel(), self.h.ravel()
        h = before.copy()
        for guesses in range(1, 60):
            solid = (h < 0) | (latent == 0)
            liquid = ~solid & (h > latent)
            live = (solid | liquid).astype(float)
            c = numpy.where(liquid, self.c_liquid.ravel(), self.c_solid.ravel())
            shift = numpy.where(liquid, latent, 0.0)
            # Cells that melt stand at 0 and drop out of the rows of their neighbours.
            keep = scipy.sparse.diags(live)
            matrix = scipy.sparse.diags(live * c + (1 - live)) + STEP_S * (keep @ flows @ keep)
            t = scipy.sparse.linalg.spsolve(matrix.tocsc(),
                                            live * (before - shift + STEP_S * brought),
                                            permc_spec="MMD_AT_PLUS_A")
            h = before + STEP_S * (brought - flows @ t)
            slack = 1e-9 * latent
            strayed = numpy.where(solid, (h > slack) & (latent > 0),
                                  numpy.where(liquid, h < latent - slack,
                                              (h < -slack) | (h > latent + slack)))
            if not strayed.any():
                break
        self.t, self.h = t.reshape(NZ, NR), h.reshape(NZ, NR)
        return guesses

    def ice(self):
        return 1 - numpy.clip(self.h, 0, self.latent).sum() / self.latent.sum()


def run(until_s):
    """Processor seconds, ice fraction, systems solved."""
    cell = Cell()
    start = time.thread_time()
    solved = sum(cell.step() for _ in range(round(until_s / STEP_S)))
    return time.thread_time() - start, cell.ice(), solved


if __name__ == "__main__":
    print(*run(600.0))
