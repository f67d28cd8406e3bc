#include "firn/profile.h"

#include "lib/num/elementary.h"
#include "lib/num/qr.h"
#include "lib/realise/realise.h"

#include <math.h>

static bool is_profile(const struct firn_profile *profile, size_t fewest)
{
	const struct firn_profile_point *p = profile->points;

	if (profile->n < fewest || profile->n > FIRN_PROFILE_MOST || p[0].height_m != 0.0 ||
	    !is_node_within(profile->K_per_m, -0.1, 0.1))
		return false;
	for (size_t i = 0; i < profile->n; i++)
		if (!is_within(p[i].height_m, 0.0, 2.0) || !isfinite(firn_value(p[i].dt_K)) ||
		    !(p[i].u_K > 0.0) || !isfinite(p[i].u_K) ||
		    (i > 0 && !(p[i].height_m > p[i - 1].height_m)))
			return false;
	return true;
}

/* T(h) - T(0) + K_per_m h */
static struct firn_node residual_of(const struct firn_profile *profile, size_t i)
{
	const struct firn_node T = profile->points[i].dt_K, T_0 = profile->points[0].dt_K,
			       slope = profile->K_per_m;
	const struct firn_node h = firn_constant(T.tape, profile->points[i].height_m);

	if (i == 0)
		return firn_constant(T.tape, 0.0);
	return firn_formula("residual = T - T_0 + slope*h", T, T_0, slope, h);
}

static enum firn_profile_verdict verdict_of(struct firn_node residual, double limit_K)
{
	const double beyond = fabs(firn_value(residual)) - limit_K;

	if (beyond <= 0.0)
		return FIRN_PROFILE_FOLLOWS;
	return beyond <= 2.0 * firn_u(residual) ? FIRN_PROFILE_UNDECIDED : FIRN_PROFILE_DEPARTS;
}

enum firn_status firn_profile_line(const struct firn_profile *profile, double zone_m,
				   double limit_K, struct firn_profile_line *ret)
{
	double squares = 0.0, follows = 0.0;
	bool still = true;
	size_t n_zone = 0;

	if (!is_profile(profile, 2) || !is_within(zone_m, 0.0, 1.0) || !(limit_K > 0.0) ||
	    !(limit_K <= 0.1))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < profile->n; i++)
		ret->residual_K[i] = residual_of(profile, i);
	const enum firn_status status = firn_tape_status(ret->residual_K[0].tape);
	if (status < 0)
		return status;
	for (size_t i = 0; i < profile->n; i++) {
		const double r = firn_value(ret->residual_K[i]);

		ret->verdict[i] = verdict_of(ret->residual_K[i], limit_K);
		still = still && ret->verdict[i] == FIRN_PROFILE_FOLLOWS;
		if (still)
			follows = profile->points[i].height_m;
		/* A height that was typed as 0.03 is in the zone of 0.03. */
		if (profile->points[i].height_m <= zone_m * (1.0 + 1e-12)) {
			squares += r * r;
			n_zone++;
		}
	}
	ret->follows_m = follows;
	ret->n_zone = n_zone;
	ret->u_K = n_zone >= 2 ? sqrt(squares / ((double)n_zone - 1.0)) : (double)NAN;
	return FIRN_OK;
}

/* ---- The exponential ---- */

enum { PARAMETERS = 3 };

/* What is fitted: unknowns (true, error, D), rows the points, and D's own where it is known. */
struct problem {
	size_t m;
	double h[FIRN_PROFILE_MOST], y[FIRN_PROFILE_MOST], u[FIRN_PROFILE_MOST];
	bool length_is_known;
	double length_m, u_length_m;
	double jacobian[(FIRN_PROFILE_MOST + 1) * PARAMETERS], residual[FIRN_PROFILE_MOST + 1];
};

static double linearise(struct problem *p, const double *x)
{
	double chi2 = 0.0;

	for (size_t i = 0; i < p->m; i++) {
		const double e = num_exp(p->h[i] / x[2]), u = p->u[i];
		double *row = p->jacobian + PARAMETERS * i;

		row[0] = 1.0 / u;
		row[1] = e / u;
		row[2] = -x[1] * e * p->h[i] / (x[2] * x[2]) / u;
		p->residual[i] = (p->y[i] - x[0] - x[1] * e) / u;
		chi2 += p->residual[i] * p->residual[i];
	}
	if (p->length_is_known) {
		double *row = p->jacobian + PARAMETERS * p->m;

		row[0] = row[1] = 0.0;
		row[2] = 1.0 / p->u_length_m;
		p->residual[p->m] = (p->length_m - x[2]) / p->u_length_m;
		chi2 += p->residual[p->m] * p->residual[p->m];
	}
	return chi2;
}

static size_t rows_of(const struct problem *p)
{
	return p->m + (p->length_is_known ? 1 : 0);
}

/* Columns differ by the units of their unknowns; rank is judged when they have length 1. */
static bool scale_columns(size_t m, double *a, double *ret_scale)
{
	for (size_t k = 0; k < PARAMETERS; k++) {
		double norm = 0.0;

		for (size_t i = 0; i < m; i++)
			norm = hypot(norm, a[PARAMETERS * i + k]);
		if (!(norm > 0.0) || !isfinite(norm))
			return false;
		ret_scale[k] = norm;
		for (size_t i = 0; i < m; i++)
			a[PARAMETERS * i + k] /= norm;
	}
	return true;
}

/* For one D the other two are linear: the best of them, and chi2 there. */
static double best_for(struct problem *p, double length_m, double *ret_x)
{
	double s = 0.0, se = 0.0, see = 0.0, sy = 0.0, sye = 0.0, chi2;

	for (size_t i = 0; i < p->m; i++) {
		const double w = 1.0 / (p->u[i] * p->u[i]), e = num_exp(p->h[i] / length_m);

		s += w;
		se += w * e;
		see += w * e * e;
		sy += w * p->y[i];
		sye += w * e * p->y[i];
	}
	ret_x[1] = (s * sye - se * sy) / (s * see - se * se);
	ret_x[0] = (sy - ret_x[1] * se) / s;
	ret_x[2] = length_m;
	chi2 = linearise(p, ret_x);
	return isfinite(chi2) ? chi2 : (double)INFINITY;
}

/* A start: the best of many D from a hundredth of the whole height to three times it; beyond that a
   profile is a straight line. */
static void find_start(struct problem *p, double *ret_x)
{
	const double low = fmax(p->h[p->m - 1] / 100.0, 5e-4), high = 3.0 * p->h[p->m - 1];
	double best = (double)INFINITY;

	for (int i = 0; i <= 200; i++) {
		double x[PARAMETERS];
		const double chi2 = best_for(p, low * num_exp(i / 200.0 * num_ln(high / low)), x);

		if (chi2 < best) {
			best = chi2;
			for (size_t k = 0; k < PARAMETERS; k++)
				ret_x[k] = x[k];
		}
	}
}

/* Gauss and Newton, halving steps that do not go down. */
static enum firn_status minimise(struct problem *p, double *x)
{
	double chi2 = linearise(p, x);

	for (int i = 0; i < 100; i++) {
		const size_t m = rows_of(p);
		double head[PARAMETERS], scale[PARAMETERS], next[PARAMETERS], part = 1.0, lower;

		if (!scale_columns(m, p->jacobian, scale) ||
		    num_qr(m, PARAMETERS, p->jacobian, head) < 0)
			return FIRN_E_SINGULAR;
		num_qr_apply_transposed(m, PARAMETERS, p->jacobian, head, p->residual);
		num_qr_solve(PARAMETERS, p->jacobian, p->residual);
		double step[PARAMETERS];
		for (size_t k = 0; k < PARAMETERS; k++)
			step[k] = p->residual[k] / scale[k];
		for (;; part *= 0.5) {
			if (part < 1e-10)
				return FIRN_OK; /* nothing lower in that direction */
			for (size_t k = 0; k < PARAMETERS; k++)
				next[k] = x[k] + part * step[k];
			if (!(next[2] > 1e-4) || !(next[2] < 2.0))
				continue;
			lower = linearise(p, next);
			if (lower <= chi2)
				break;
		}
		for (size_t k = 0; k < PARAMETERS; k++)
			x[k] = next[k];
		if (chi2 - lower <= 1e-14 * (1.0 + chi2) && fabs(step[2]) <= 1e-9 * x[2])
			return FIRN_OK;
		chi2 = lower;
	}
	return FIRN_OK;
}

/* The solution as a linear map of the observations, recorded on the tape. */
static enum firn_status record_fit(struct problem *p, const struct firn_profile *profile,
				   struct firn_node length_m, const double *x,
				   struct firn_profile_fit *ret)
{
	struct firn_node parts[FIRN_PROFILE_MOST + 1], unknowns[PARAMETERS];
	double coefficients[PARAMETERS][FIRN_PROFILE_MOST + 1], head[PARAMETERS], scale[PARAMETERS];
	const double chi2 = linearise(p, x);
	const size_t m = rows_of(p);
	struct firn_tape *tape = profile->K_per_m.tape;
	const struct firn_node slope = profile->K_per_m;

	if (!scale_columns(m, p->jacobian, scale) || num_qr(m, PARAMETERS, p->jacobian, head) < 0)
		return FIRN_E_SINGULAR;
	for (size_t i = 0; i < m; i++) {
		double unit[FIRN_PROFILE_MOST + 1] = { 0 };

		unit[i] = 1.0 / (i < p->m ? p->u[i] : p->u_length_m);
		num_qr_apply_transposed(m, PARAMETERS, p->jacobian, head, unit);
		num_qr_solve(PARAMETERS, p->jacobian, unit);
		for (size_t k = 0; k < PARAMETERS; k++)
			coefficients[k][i] = unit[k] / scale[k];
	}
	/* What each observation is away from the model there, as nodes of value about 0: the
	   solution's own value is added once, so rounding and the sum stay apart. */
	for (size_t i = 0; i < p->m; i++) {
		const struct firn_node T = profile->points[i].dt_K;
		const struct firn_node h = firn_constant(tape, p->h[i]),
				       model = firn_constant(tape,
							     x[0] + x[1] * num_exp(p->h[i] / x[2]));

		parts[i] = firn_formula("rest = T + slope*h - model", T, slope, h, model);
	}
	if (p->length_is_known) {
		const struct firn_node D = length_m, model = firn_constant(tape, x[2]);

		parts[p->m] = firn_formula("rest = D - model", D, model);
	}
	for (size_t k = 0; k < PARAMETERS; k++)
		unknowns[k] =
		    firn_add(firn_constant(tape, x[k]), firn_linear(m, coefficients[k], parts));
	const enum firn_status status = firn_tape_status(tape);
	if (status < 0)
		return status;
	/* A D that is not known to a factor is none. */
	if (!(firn_u(unknowns[2]) < 0.7 * x[2]))
		return FIRN_E_SINGULAR;
	*ret = (struct firn_profile_fit){ .true_K = firn_name("true", unknowns[0]),
					  .error_K = firn_name("conduction", unknowns[1]),
					  .length_m = firn_name("D", unknowns[2]),
					  .chi2 = chi2,
					  .dof = (double)m - PARAMETERS };
	return FIRN_OK;
}

enum firn_status firn_profile_fit(const struct firn_profile *profile, struct firn_node length_m,
				  struct firn_profile_fit *ret)
{
	const bool known = length_m.index != 0;
	struct problem p = { .m = profile->n, .length_is_known = known };
	double x[PARAMETERS] = { 0 };
	enum firn_status status;

	if (!is_profile(profile, known ? 3 : 4))
		return FIRN_E_DOMAIN;
	if (known) {
		p.length_m = firn_value(length_m);
		p.u_length_m = firn_u(length_m);
		if (!is_within(p.length_m, 1e-3, 0.2) || !(p.u_length_m > 0.0))
			return FIRN_E_DOMAIN;
	}
	for (size_t i = 0; i < p.m; i++) {
		p.h[i] = profile->points[i].height_m;
		p.y[i] =
		    firn_value(profile->points[i].dt_K) + firn_value(profile->K_per_m) * p.h[i];
		p.u[i] = profile->points[i].u_K;
	}
	if (known)
		(void)best_for(&p, p.length_m, x);
	else
		find_start(&p, x);
	status = minimise(&p, x);
	if (status < 0)
		return status;
	return record_fit(&p, profile, length_m, x, ret);
}

/* ---- By hand ---- */

enum firn_status firn_profile_two_points(struct firn_node change_K, struct firn_node lift_m,
					 struct firn_node length_m, struct firn_node *ret_error_K)
{
	const struct firn_node d = change_K, lift = lift_m, D = length_m;

	if (!is_node_within(d, -10.0, 10.0) || !is_node_within(lift, 1e-3, 0.5) ||
	    !is_node_within(D, 1e-3, 0.2))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("error = d/(exp(lift/D) - 1)", d, lift, D), ret_error_K);
}

enum firn_status firn_immersion_error(struct firn_node difference_K, double K,
				      struct firn_node depth_m, struct firn_node length_m,
				      struct firn_node *ret_error_K)
{
	const struct firn_node difference = difference_K, depth = depth_m, D = length_m;

	if (!is_node_within(difference, -2000.0, 2000.0) || !(K > 0.0 && K <= 1.0) ||
	    !is_node_within(depth, 0.0, 2.0) || !is_node_within(D, 1e-4, 0.5))
		return FIRN_E_DOMAIN;
	const struct firn_node k = firn_constant(difference.tape, K);
	return realise_result(
	    firn_formula("error = difference*k*exp(-depth/D)", difference, k, depth, D),
	    ret_error_K);
}

enum firn_status firn_immersion_length(double difference_K, double K, double depth_m,
				       double error_K, double *ret_length_m)
{
	const double ratio = fabs(K * difference_K / error_K);

	if (!isfinite(difference_K) || !(K > 0.0 && K <= 1.0) || !(depth_m > 0.0) ||
	    !(depth_m <= 2.0) || !isfinite(ratio) || !(ratio > 1.0))
		return FIRN_E_DOMAIN;
	*ret_length_m = depth_m / num_ln(ratio);
	return FIRN_OK;
}
