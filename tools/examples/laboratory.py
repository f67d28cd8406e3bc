"""The simulated laboratory: draws every error from the uncertainty the job states, and reads.

What is drawn, each from its own stream named after it, so that a change in one place leaves every
other number as it was: the resistors and their baths, the bridge's linearity and ratio of currents,
each cell (its own error, isotopes and their constants, impurities), and at each visit the depth,
the gas pressure, every term of the budget, and the noise. Normal, except the overall maximum
estimate of impurities, which is rectangular. The thermometer's drift is set by hand.
"""
import datetime
import math
import random
import statistics

from . import scale
from .thermometer import Thermometer

# MeP-K Technical Annex for the ITS-90 (2017), secs. 1, 2, 4: value and standard uncertainty.
A_D, A_18 = (673e-6, 4e-6), (630e-6, 10e-6)
K_D = (5.42e-6, 0.31e-6)
NEON = (-0.01382, (0.147350, 400e-6), -0.000779)
UNKNOWN_WATER = (-50e-6, 35e-6)  # CCT Guide sec. 2.2 (2018), 3
AUTOCORRELATION = 0.15  # of one reading with the next; ours


class Draws:
    def __init__(self, seed):
        self._seed, self._normal = seed, statistics.NormalDist()

    def stream(self, name):
        """Python keeps random.Random(text).random() the same from version to version."""
        return random.Random(f"{self._seed}/{name}")

    def normal(self, name, u):
        return u * self._normal.inv_cdf(self.stream(name).random()) if u else 0.0

    def normals(self, name):
        stream = self.stream(name)
        while True:
            yield self._normal.inv_cdf(stream.random())

    def rectangular(self, name, half_width):
        return half_width * (2.0 * self.stream(name).random() - 1.0)


class Laboratory:
    """One set, measured once. readings: rows of the CSV; truth: what the reduction should find."""

    def __init__(self, example, draws):
        self.example, self.job, self.draws = example, example.job, draws
        self.thermometer = Thermometer(example.r_tpw_ohm, example.below, example.above, self.draws)
        self.readings, self.seen = [], {}
        for visit in example.visits:
            self._read(visit)

    # --- equipment ---------------------------------------------------------------------------

    def _true_ohm(self, name):
        """Of a resistor at the temperature to which its certificate belongs."""
        s = self.job["resistors"][name]
        return s["ohm"] + self.draws.normal(f"resistor {name}", s["u_ohm"])

    def _resistor_ohm(self, visit, bath_C):
        name = visit.said["resistor"]
        s = self.job["resistors"][name]
        draw = self.draws.normal
        per_K = s["per_K"] + draw(f"resistor {name} per_K", s["u_per_K"])
        bath_C += draw(f"visit {visit.id} bath", s["u_bath_K"])
        return self._true_ohm(name) * (1.0 + per_K * (bath_C - s["at_C"]))

    def _bridge(self, visit):
        """Error of the ratio (one for each point and resistor) and relative one of (i2/i1)^2."""
        name = visit.said["bridge"]
        b = self.job["bridges"][name]
        at = f"visit {visit.id}" if visit.cell is None else self._point(visit)
        return (self.draws.normal(f"bridge {name} at {at} on {visit.said['resistor']}",
                                  b["u_linearity"]),
                self.draws.normal(f"bridge {name} currents", b["u_current_ratio"]))

    # --- cells -------------------------------------------------------------------------------

    def _point(self, visit):
        return self.job["cells"][visit.cell]["point"]

    def defined_K(self, visit):
        if self._point(visit) == "e-H2-vapour":
            return scale.vapour_t(visit.said["vapour_pressure_Pa"])
        return scale.POINTS[self._point(visit)][0]

    def _realised_K(self, visit):
        """As defined_K, but at the vapour pressure that there really was."""
        said = visit.said
        if "vapour_pressure_Pa" not in said:
            return self.defined_K(visit)
        return scale.vapour_t(said["vapour_pressure_Pa"] + self.draws.normal(
            f"visit {visit.id} vapour", said["u_vapour_pressure_Pa"]))

    def _isotopes_K(self, name, cell):
        said, draw = cell.get("isotopes"), self.draws.normal
        if said is None:
            return 0.0
        if said == "unknown":
            return UNKNOWN_WATER[0] + draw(f"cell {name} isotopes", UNKNOWN_WATER[1])
        if "dD" in said:
            return self._water_K(name, said)
        if "xD_umol_per_mol" in said:
            x = said["xD_umol_per_mol"] + draw(f"cell {name} xD", said["u_xD_umol_per_mol"])
            return (K_D[0] + draw("k_D", K_D[1])) * (x - 89.02)
        k0, k1, k2 = NEON
        y = (said["x22"] + draw(f"cell {name} x22", said["u_x22"])
             + (said["x21"] + draw(f"cell {name} x21", said["u_x21"])) / 2.0)
        return k0 + (k1[0] + draw("k1", k1[1])) * y + k2 * y * y

    def _water_K(self, name, said):
        draw = self.draws.normal
        first, second = draw(f"cell {name} dD", 1.0), draw(f"cell {name} d18O", 1.0)
        r = said["r_dD_d18O"]
        d_D = said["dD"] + said["u_dD"] * first
        d_18 = said["d18O"] + said["u_d18O"] * (r * first + math.sqrt(1.0 - r * r) * second)
        return ((A_D[0] + draw("A_D", A_D[1])) * d_D + (A_18[0] + draw("A_18", A_18[1])) * d_18)

    def _cell_K(self, visit):
        """The cell at the thermometer minus the defined temperature, all effects."""
        cell, said, draw = self.job["cells"][visit.cell], visit.said, self.draws.normal
        dt = self._isotopes_K(visit.cell, cell)
        dt += draw(f"cell {visit.cell}", cell["u_cell_mK"] * 1e-3)
        point = scale.POINTS.get(cell["point"])
        if "total_umol_per_mol" in cell:
            dt += self.draws.rectangular(f"cell {visit.cell} impurities",
                                         cell["total_umol_per_mol"] * 1e-6 / point[4])
        if "depth_m" in said:
            dt += point[3] * (said["depth_m"] + draw(f"visit {visit.id} depth", said["u_depth_m"]))
        if "pressure_Pa" in said:
            p = said["pressure_Pa"] + draw(f"visit {visit.id} pressure", said["u_pressure_Pa"])
            dt += point[2] * (p - 101325.0)
        dt += self._realised_K(visit) - self.defined_K(visit)
        if "mantle_age" in said:
            age = said["mantle_age"]
            dt += 1e-3 * (age["effect_mK"] + draw(f"visit {visit.id} mantle", age["u_mK"]))
        for term, stated in said["terms"].items():
            dt += draw(f"visit {visit.id} {term}", stated["u_mK"] * 1e-3)
        return dt

    # --- a visit -----------------------------------------------------------------------------

    def _temperature_K(self, visit):
        if visit.cell is not None:
            return self.defined_K(visit) + self._cell_K(visit)
        return visit.t_K + self.draws.normal(f"visit {visit.id} place",
                                             visit.said["u_temperature_mK"] * 1e-3)

    def r_tpw_ohm(self, visit):
        """R(TPW) in the state in which the thermometer was at this visit."""
        return self.thermometer.r_tpw_ohm * (1.0 + 3.98853e-6 * visit.state_mK)

    def _read(self, visit):
        t = self._temperature_K(visit)
        r_tpw = self.r_tpw_ohm(visit)
        self.seen[visit.id] = t
        r0 = r_tpw * self.thermometer.w(t)
        heating = r_tpw * scale.wr(t)[1] * visit.heating_mK * 1e-3 / visit.i1_mA ** 2
        moved_K = self.draws.rectangular(f"visit {visit.id} bath now", 0.012)
        bath_C = round(visit.bath_C + moved_K, 3)
        rs = self._resistor_ohm(visit, bath_C)
        error, currents = self._bridge(visit)
        noise = _correlated(self.draws.normals(f"visit {visit.id} noise"))
        spread = self.draws.normals(f"visit {visit.id} spread")
        time = datetime.datetime.fromisoformat(visit.start)
        series = self.example.series
        for block, (count, factor, gain) in enumerate(
                zip(series, (1.0, math.sqrt(2.0), 1.0), (1.0, 1.0 + currents, 1.0))):
            for i in range(count):
                i_mA = round(visit.i1_mA * factor * (1.00024 + 1.5e-5 * next(spread)), 5)
                r = r0 + heating * i_mA ** 2 * gain
                flag, off = visit.flags.get((block, i), ("", 0.0))
                ratio = r / rs + error + visit.noise / factor * (next(noise) + off)
                bath = bath_C + 0.0012 * next(spread)
                self.readings.append((time.isoformat(), visit.id, f"{i_mA:.5f}", f"{ratio:.10f}",
                                      f"{bath:.3f}", flag))
                time += datetime.timedelta(seconds=30)
            time += datetime.timedelta(minutes=4)  # to settle at the other current

    # --- what a reduction should find --------------------------------------------------------

    def _place(self, visit):
        point = self._point(visit)
        if point != "e-H2-vapour":
            return point
        return "vapour-17" if self.defined_K(visit) < 18.5 else "vapour-20"

    def truth(self):
        points, values = [], {}
        for visit in self.example.visits:
            if visit.cell is None or self._point(visit) == "H2O":
                continue
            t = self._realised_K(visit)
            w = self.thermometer.w(t)
            place = self._place(visit)
            values[place] = (w, scale.POINTS[place][1] if place in scale.POINTS else scale.wr(t)[0])
            points.append({"visit": visit.id, "point": self._point(visit), "t90_K": round(t, 9),
                           "w": round(w, 13)})
        subranges = []
        for name, subrange in scale.SUBRANGES.items():
            x = subrange.solve(values)
            if x is not None:
                subranges.append({"name": name, "coefficients": {
                    key: float(f"{c:.9e}") for key, c in zip(subrange.names, x)}})
        last = self.example.visits[-1]
        visits = [{"visit": v.id, "seen_K": round(self.seen[v.id], 9),
                   "r_tpw_ohm": round(self.r_tpw_ohm(v), 10), "self_heating_mK": v.heating_mK}
                  for v in self.example.visits]
        return {
            "warning": "Simulated, invented data: neither thermometer nor laboratory exists.",
            "what": "What the simulation drew and a reduction of job.yaml should find: R(TPW) at "
                    "the end, W at the defined temperatures (of a vapour-pressure point, at the "
                    "true pressure), coefficients through these W, T90 at the measured visits. "
                    "drawn: what the thermometer saw at each visit.",
            "made_by": "tools/make_examples.py",
            "job": "job.yaml",
            "r_tpw_ohm": round(self.r_tpw_ohm(last), 10),
            "points": points,
            "subranges": subranges,
            "temperatures": [{"visit": v.id, "t90_K": round(v.t_K, 9)}
                             for v in self.example.visits if v.cell is None],
            "drawn": visits,
        }


def _correlated(normals):
    """White noise with a little memory, of unit standard deviation."""
    fresh, last = math.sqrt(1.0 - AUTOCORRELATION ** 2), next(normals)
    while True:
        yield last
        last = AUTOCORRELATION * last + fresh * next(normals)
