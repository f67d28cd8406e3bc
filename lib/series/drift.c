#include "lib/series/series.h"
#include "firn/tape.h"

#include <math.h>

/* Slope by least squares, from deviations; *ret_tt is the sum of squares of those of t. */
static void fit(struct series_residuals *r, double *ret_tt)
{
	double tt = 0.0, tx = 0.0;

	r->t_mean = r->t != NULL ? num_mean(r->n, r->t) : ((double)r->n - 1.0) / 2.0;
	for (size_t i = 0; i < r->n; i++) {
		const double t = (r->t != NULL ? r->t[i] : (double)i) - r->t_mean;

		tt += t * t;
		tx += t * (r->x[i] - r->mean);
	}
	r->slope = tx / tt;
	*ret_tt = tt;
}

static void set_uncertainty(struct firn_drift *d, const struct series_residuals *r, double tt,
			    double resolution)
{
	const struct series_correlation correlation = series_correlation(r);
	const double n = (double)r->n;
	const double s = fmax(sqrt(series_lag_sum(r, 0) / (n - 2.0)), resolution / sqrt(12.0));

	/* For a line the factor of the mean holds as well once the correlation is short. */
	d->u_slope = s * sqrt(correlation.factor / tt);
	d->dof = fmax(1.0, n / correlation.factor - 2.0);
	d->is_significant = fabs(d->slope) > firn_coverage_factor(0.95, d->dof) * d->u_slope;
}

enum firn_status firn_series_drift(const struct firn_readings *readings, struct firn_drift *ret)
{
	if (!series_is_valid(readings))
		return FIRN_E_DOMAIN;

	const size_t n = readings->n;
	const double *t = readings->t_s;
	const double window = t != NULL ? t[n - 1] - t[0] : (double)(n - 1);
	if (!(window > 0.0))
		return FIRN_E_SINGULAR;

	double resolution, tt;
	const enum firn_status status = series_resolution(readings, &resolution);
	if (status < 0)
		return status;

	struct series_residuals residuals = { .n = n, .x = readings->x, .t = t };
	residuals.mean = num_mean(n, readings->x);
	fit(&residuals, &tt);
	struct firn_drift d = { .slope = residuals.slope, .u_slope = NAN, .dof = NAN };
	const bool is_constant = series_is_constant(readings);
	if (n >= FIRN_SERIES_FEWEST && !(is_constant && resolution == 0.0))
		set_uncertainty(&d, &residuals, tt, resolution);
	d.change = d.slope * window;
	d.u_change = d.u_slope * window;
	*ret = d;
	if (is_constant)
		return FIRN_WARN_CONSTANT;
	return n < FIRN_SERIES_FEWEST ? FIRN_WARN_FEW : FIRN_OK;
}
