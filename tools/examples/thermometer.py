"""A thermometer whose every W is known, with a behaviour between the points that is drawn."""
from . import scale


class Thermometer:
    """W(T90) of an invented thermometer.

    below, above: (subrange, coefficients) for both sides of the triple point of water. Between the
    fixed points it departs from its deviation function as real ones do: by one drawn number for
    each interval times the published standard uncertainty there. At the points that is zero.
    """

    def __init__(self, r_tpw_ohm, below, above, draws):
        self.r_tpw_ohm, self.below, self.above = r_tpw_ohm, below, above
        self._draws = draws
        self._w_al = None
        if above is not None and above[0] == "H2O_Ag":
            self._w_al = self._solve("H2O_Al", above[1][:3], scale.wr(scale.POINTS["Al"][0])[0])

    def _between(self, t):
        """The departure as W at a temperature."""
        place, u_K = scale.non_uniqueness(t)
        return self._draws.normal(f"between points, interval {place}", u_K) * scale.wr(t)[1]

    def _solve(self, name, coefficients, wr):
        """W = W_r + deviation(W), by iteration: the deviation changes by 1e-3 of W at most."""
        subrange, w = scale.SUBRANGES[name], wr
        for _ in range(60):
            w = wr + subrange.deviation(coefficients, w, self._w_al)
        return w

    def w(self, t):
        """At a temperature. Both reference functions miss 1 by up to 1e-8 at the triple point of
        water, where W is 1 by definition; that much is taken off around it."""
        name, coefficients = self.below if t <= scale.T_TPW else self.above or self.below
        value = scale.wr(t)[0]
        if abs(t - scale.T_TPW) < 0.1:
            value += 1.0 - scale.wr(scale.T_TPW if t <= scale.T_TPW else scale.T_TPW + 1e-12)[0]
        return self._solve(name, coefficients, value + self._between(t))
