/* A thermometer in a well: layers, two coupled fins, two lumps. */
#include "firn/stem.h"

#include "lib/num/elementary.h"

#include <math.h>

static bool is_positive(struct firn_node x)
{
	const double value = firn_value(x);

	return isfinite(value) && value > 0;
}

enum firn_status firn_shell_of(struct firn_node r_in_m, struct firn_node r_out_m,
			       struct firn_node k_W_per_mK, struct firn_node *ret_Km_per_W)
{
	if (!is_positive(r_in_m) || !is_positive(r_out_m) || !is_positive(k_W_per_mK) ||
	    firn_value(r_in_m) >= firn_value(r_out_m))
		return FIRN_E_DOMAIN;

	const struct firn_node r1 = r_in_m, r2 = r_out_m, k = k_W_per_mK;
	const struct firn_node shell =
	    firn_formula("R = ln(r2/r1)/(2*3.14159265358979323846*k)", r1, r2, k);
	const enum firn_status status = firn_tape_status(shell.tape);
	if (status >= 0)
		*ret_Km_per_W = shell;
	return status;
}

enum firn_status firn_film_of(struct firn_node r_m, struct firn_node h_W_per_m2K,
			      struct firn_node *ret_Km_per_W)
{
	if (!is_positive(r_m) || !is_positive(h_W_per_m2K))
		return FIRN_E_DOMAIN;

	const struct firn_node r = r_m, h = h_W_per_m2K;
	const struct firn_node film = firn_formula("R = 1/(2*3.14159265358979323846*r*h)", r, h);
	const enum firn_status status = firn_tape_status(film.tape);
	if (status >= 0)
		*ret_Km_per_W = film;
	return status;
}

/*
 * Two coupled stores or fins, inside i and sheath s: T_i' ~ a (T_i - T_s), T_s' ~ b (T_s - T_i) +
 * c T_s. The roots of mu^2 - (a + b + c) mu + a c; the smaller by division, which keeps its digits.
 */
struct pair {
	struct firn_node a, slow, fast;
};

static struct pair coupled(struct firn_node store_i, struct firn_node store_s, struct firn_node gap,
			   struct firn_node outward)
{
	const struct firn_node a = firn_formula("a = 1/(store_i*gap)", store_i, gap);
	const struct firn_node s =
	    firn_formula("s = a + 1/(store_s*gap) + 1/(store_s*outward)", a, store_s, gap, outward);
	const struct firn_node ac = firn_formula("ac = a/(store_s*outward)", a, store_s, outward);
	const struct firn_node fast = firn_formula("fast = (s + sqrt(s^2 - 4*ac))/2", s, ac);
	const struct firn_node slow = firn_formula("slow = ac/fast", ac, fast);

	return (struct pair){ a, slow, fast };
}

/* Mean of cosh(m y)/cosh(m L) for y from y1 to y2, without anything that overflows. */
static struct firn_node mean_of_mode(struct firn_node m, const struct firn_place *p)
{
	const struct firn_node L = p->depth_m, y1 = p->from_tip_m, l = p->length_m;

	return firn_formula("mean = (exp(m*(y1 + l - L)) - exp(-m*(y1 + l + L)) - exp(m*(y1 - L)) "
			    "+ exp(-m*(y1 + L)))/(m*l*(1 + exp(-2*m*L)))",
			    m, y1, l, L);
}

static struct firn_node flow_of_mode(struct firn_node m, struct firn_node mu, struct firn_node a,
				     const struct firn_stem *stem, struct firn_node L)
{
	const struct firn_node ki = stem->inside_Wm_per_K, ks = stem->sheath_Wm_per_K;

	return firn_formula("q = m*(1 - exp(-2*m*L))/(1 + exp(-2*m*L))*(ki + ks*(1 - mu/a))", m, L,
			    ki, ks, mu, a);
}

static bool is_stem(const struct firn_stem *s)
{
	return is_positive(s->inside_Wm_per_K) && is_positive(s->sheath_Wm_per_K) &&
	       is_positive(s->gap_Km_per_W) && is_positive(s->outward_Km_per_W);
}

static bool is_below_the_surface(const struct firn_place *p)
{
	const double tip = firn_value(p->from_tip_m);

	return is_positive(p->depth_m) && is_positive(p->length_m) && tip >= 0 &&
	       tip + firn_value(p->length_m) <= firn_value(p->depth_m);
}

enum firn_status firn_stem_error(const struct firn_stem *stem, const struct firn_place *place,
				 struct firn_stem_answer *ret)
{
	if (!is_stem(stem) || !is_below_the_surface(place))
		return FIRN_E_DOMAIN;

	const struct pair p = coupled(stem->inside_Wm_per_K, stem->sheath_Wm_per_K,
				      stem->gap_Km_per_W, stem->outward_Km_per_W);
	const struct firn_node a = p.a, mu1 = p.slow, mu2 = p.fast;
	const struct firn_node m1 = firn_formula("m1 = sqrt(mu1)", mu1);
	const struct firn_node m2 = firn_formula("m2 = sqrt(mu2)", mu2);
	/* both begin at the temperature of the surroundings: A1 + A2 = 1 and the same for T_s */
	const struct firn_node A1 = firn_formula("A1 = mu2/(mu2 - mu1)", mu1, mu2);
	const struct firn_node mean1 = mean_of_mode(m1, place);
	const struct firn_node mean2 = mean_of_mode(m2, place);
	const struct firn_node q1 = flow_of_mode(m1, mu1, a, stem, place->depth_m);
	const struct firn_node q2 = flow_of_mode(m2, mu2, a, stem, place->depth_m);
	const struct firn_stem_answer answer = {
		.slow_m = firn_formula("slow = 1/m1", m1),
		.fast_m = firn_formula("fast = 1/m2", m2),
		.error = firn_formula("error = A1*mean1 + (1 - A1)*mean2", A1, mean1, mean2),
		.flow_W_per_K = firn_formula("flow = A1*q1 + (1 - A1)*q2", A1, q1, q2),
	};
	const enum firn_status status = firn_tape_status(a.tape);

	if (status >= 0)
		*ret = answer;
	return status;
}

enum firn_status firn_settling_time(const struct firn_settling *s, struct firn_node from_K,
				    struct firn_node within_K, struct firn_node *ret_constant_s,
				    struct firn_node *ret_time_s)
{
	if (!is_positive(s->inside_J_per_mK) || !is_positive(s->sheath_J_per_mK) ||
	    !is_positive(s->gap_Km_per_W) || !is_positive(s->outward_Km_per_W) ||
	    !is_positive(from_K) || !is_positive(within_K) ||
	    firn_value(within_K) >= firn_value(from_K))
		return FIRN_E_DOMAIN;

	const struct pair p =
	    coupled(s->inside_J_per_mK, s->sheath_J_per_mK, s->gap_Km_per_W, s->outward_Km_per_W);
	const struct firn_node slow = p.slow, fast = p.fast, from = from_K, within = within_K;
	const struct firn_node constant = firn_formula("constant = 1/slow", slow);
	const struct firn_node t =
	    firn_formula("t = ln(fast/(fast - slow)*from/within)/slow", slow, fast, from, within);
	const enum firn_status status = firn_tape_status(t.tape);

	if (status < 0)
		return status;
	*ret_constant_s = constant;
	*ret_time_s = t;
	return FIRN_OK;
}

/* ---- fitted to recorded insertions ---- */

struct sums {
	double n, t, y, tt, ty, yy;
};

static bool add_rows(struct sums *s, const struct firn_approach *a)
{
	if (!(isfinite(a->from_K) && a->from_K > 0))
		return false;
	for (size_t i = 0; i < a->n; i++) {
		const double t = a->time_s[i], y = num_ln(fabs(a->off_K[i]) / a->from_K);

		if (!isfinite(t) || !isfinite(y))
			return false;
		s->n++;
		s->t += t;
		s->y += y;
		s->tt += t * t;
		s->ty += t * y;
		s->yy += y * y;
	}
	return true;
}

enum firn_status firn_settling_fit(struct firn_tape *tape, size_t n,
				   const struct firn_approach *approaches,
				   struct firn_node *ret_constant_s,
				   struct firn_node *ret_amplitude)
{
	struct sums s = { 0 };

	for (size_t i = 0; i < n; i++)
		if (!add_rows(&s, &approaches[i]))
			return FIRN_E_DOMAIN;

	const double tt = s.tt - s.t * s.t / s.n, ty = s.ty - s.t * s.y / s.n,
		     yy = s.yy - s.y * s.y / s.n;
	if (!(s.n >= 3) || !(tt > 0) || !(ty < 0))
		return FIRN_E_SINGULAR;

	/* Slope and the value at the mean time are uncorrelated: two inputs hold the whole fit. */
	const double slope = ty / tt, dof = s.n - 2;
	const double variance = fmax(0.0, yy - slope * ty) / dof;
	const struct firn_input inputs[] = {
		{ .name = "settling.rate",
		  .unit = "1/s",
		  .source = "fit to recorded insertions",
		  .value = -slope,
		  .u = sqrt(variance / tt),
		  .dof = dof },
		{ .name = "settling.middle",
		  .unit = "1",
		  .source = "fit to recorded insertions",
		  .value = s.y / s.n,
		  .u = sqrt(variance / s.n),
		  .dof = dof },
	};
	const struct firn_node rate = firn_tape_input(tape, &inputs[0]);
	const struct firn_node middle = firn_tape_input(tape, &inputs[1]);
	const struct firn_node at = firn_constant(tape, s.t / s.n);
	const struct firn_node constant = firn_formula("constant = 1/rate", rate);
	const struct firn_node amplitude =
	    firn_formula("amplitude = exp(middle + rate*at)", middle, rate, at);
	const enum firn_status status = firn_tape_status(tape);

	if (status < 0)
		return status;
	*ret_constant_s = constant;
	*ret_amplitude = amplitude;
	return s.n < 6 ? FIRN_WARN_FEW : FIRN_OK;
}
