/* Fractions, the end by a step of power, and the fit to the liquidus point. */
#include "firn/plateau.h"

#include "firn/series.h"
#include "lib/realise/realise.h"

#include <math.h>
#include <stdlib.h>

enum firn_status firn_step_time(size_t n, const double *t_s, const double *x, double from_s,
				double *ret_t_s, double *ret_step)
{
	size_t first = 0, best = 0;
	double sum = 0.0, squares = 0.0, low = 0.0, best_score = 0.0, best_step = 0.0;

	if (n > FIRN_PLATEAU_MOST || !isfinite(from_s))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (!isfinite(t_s[i]) || !isfinite(x[i]) || (i > 0 && t_s[i] < t_s[i - 1]))
			return FIRN_E_DOMAIN;
	while (first < n && t_s[first] < from_s)
		first++;
	if (n - first < 6)
		return FIRN_E_DOMAIN;
	for (size_t i = first; i < n; i++) {
		sum += x[i] - x[first];
		squares += (x[i] - x[first]) * (x[i] - x[first]);
	}
	/* At least three readings on either side, or a single wild one would be a level. */
	for (size_t i = first; i + 3 < n; i++) {
		const double n1 = (double)(i - first + 1), n2 = (double)(n - 1 - i);

		low += x[i] - x[first];
		if (n1 < 3.0)
			continue;
		const double step = (sum - low) / n2 - low / n1;
		const double rest = squares - low * low / n1 - (sum - low) * (sum - low) / n2;
		const double u =
		    sqrt(fmax(rest, 1e-24 * squares) / (n1 + n2 - 2.0) * (1.0 / n1 + 1.0 / n2));
		if (u > 0.0 && fabs(step) / u > best_score) {
			best_score = fabs(step) / u;
			best_step = step;
			best = i + 1;
		}
	}
	if (best_score < 4.0)
		return FIRN_E_SINGULAR;
	*ret_t_s = t_s[best];
	*ret_step = best_step;
	return FIRN_OK;
}

static double held(double x)
{
	return fmin(1.0, fmax(0.0, x));
}

enum firn_status firn_fraction_by_time(double t_s, double start_s, double end_s, double at_start,
				       double *ret_fraction)
{
	if (!isfinite(t_s) || !isfinite(start_s) || !isfinite(end_s) || !(end_s > start_s) ||
	    !is_within(at_start, 0.0, 0.999))
		return FIRN_E_DOMAIN;
	*ret_fraction = held(at_start + (1.0 - at_start) * (t_s - start_s) / (end_s - start_s));
	return FIRN_OK;
}

enum firn_status firn_fraction_by_heat(size_t n, const double *t_s, const double *flow_W,
				       double start_s, double heat_J, double *ret_fraction)
{
	double heat = 0.0;

	if (n < 2 || n > FIRN_PLATEAU_MOST || !(heat_J > 0.0) || !isfinite(heat_J) ||
	    !isfinite(start_s))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (!isfinite(t_s[i]) || !isfinite(flow_W[i]) || (i > 0 && t_s[i] < t_s[i - 1]))
			return FIRN_E_DOMAIN;
	ret_fraction[0] = 0.0;
	for (size_t i = 1; i < n; i++) {
		const double from = fmax(t_s[i - 1], start_s), dt = t_s[i] - t_s[i - 1];

		if (t_s[i] > start_s) {
			/* flow where the interval begins to count */
			const double w0 =
			    flow_W[i - 1] + (flow_W[i] - flow_W[i - 1]) * (from - t_s[i - 1]) / dt;

			heat += 0.5 * (w0 + flow_W[i]) * (t_s[i] - from);
		}
		ret_fraction[i] = held(heat / heat_J);
	}
	return FIRN_OK;
}

static double abscissa(double F, enum firn_liquidus_form form)
{
	return form == FIRN_LIQUIDUS_LINEAR ? F - 1.0 : 1.0 / F - 1.0;
}

/* By how much the autocorrelation of residuals raises the variance, and its first lag. */
static enum firn_status correlation_of(size_t n, const double *rest, double *ret_factor,
				       double *ret_r1)
{
	const struct firn_readings readings = { .n = n, .x = rest };
	struct firn_mean mean;
	const enum firn_status status = firn_series_mean(&readings, &mean);

	*ret_factor = 1.0;
	*ret_r1 = (double)NAN;
	if (status == FIRN_E_MEMORY)
		return status;
	if (status == FIRN_OK) {
		*ret_factor = (double)n / mean.n_eff;
		*ret_r1 = mean.r1;
	}
	return FIRN_OK;
}

enum firn_status firn_liquidus_fit(size_t n, const double *F, const double *dt_K,
				   enum firn_liquidus_form form, struct firn_liquidus *ret)
{
	double x_mean = 0.0, y_mean = 0.0, xx = 0.0, xy = 0.0, squares = 0.0, factor, r1;
	double *rest;
	enum firn_status status;

	if (n < 5 || n > FIRN_PLATEAU_MOST ||
	    (form != FIRN_LIQUIDUS_LINEAR && form != FIRN_LIQUIDUS_RECIPROCAL))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++) {
		if (!is_within(F[i], 0.01, 1.0) || !is_within(dt_K[i], -1000.0, 1000.0))
			return FIRN_E_DOMAIN;
		x_mean += abscissa(F[i], form) / (double)n;
		y_mean += (dt_K[i] - dt_K[0]) / (double)n;
	}
	for (size_t i = 0; i < n; i++) {
		const double dx = abscissa(F[i], form) - x_mean;

		xx += dx * dx;
		xy += dx * (dt_K[i] - dt_K[0] - y_mean);
	}
	if (!(xx > 1e-12 * (double)n))
		return FIRN_E_SINGULAR;
	rest = malloc(n * sizeof(*rest));
	if (rest == NULL)
		return FIRN_E_MEMORY;
	const double slope = xy / xx;
	for (size_t i = 0; i < n; i++) {
		rest[i] = dt_K[i] - dt_K[0] - y_mean - slope * (abscissa(F[i], form) - x_mean);
		squares += rest[i] * rest[i];
	}
	status = correlation_of(n, rest, &factor, &r1);
	free(rest);
	if (status < 0)
		return status;
	const double s2 = squares / ((double)n - 2.0);
	*ret = (struct firn_liquidus){
		.dt_K = dt_K[0] + y_mean - slope * x_mean,
		.u_K = sqrt(factor * s2 * (1.0 / (double)n + x_mean * x_mean / xx)),
		.slope_K = slope,
		.u_slope_K = sqrt(factor * s2 / xx),
		.s_K = sqrt(s2),
		.dof = (double)n - 2.0,
		.r1 = r1,
	};
	return FIRN_OK;
}
