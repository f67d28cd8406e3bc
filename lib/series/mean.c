#include "lib/series/series.h"

#include <math.h>

/* The type A term: from the scatter, or from the last digit where that is more. */
static void set_uncertainty(struct firn_mean *m, size_t n, bool is_constant)
{
	const double from_scatter = m->s / sqrt(m->n_eff);
	const double from_resolution = m->resolution / sqrt(12.0);

	m->u = m->dof = NAN;
	if (n < FIRN_SERIES_FEWEST || (is_constant && m->resolution == 0.0))
		return;
	m->is_at_resolution = from_resolution > from_scatter;
	m->u = fmax(from_scatter, from_resolution);
	m->dof = m->is_at_resolution ? 0.0 : m->n_eff - 1.0;
}

enum firn_status firn_series_mean(const struct firn_readings *readings, struct firn_mean *ret)
{
	if (!series_is_valid(readings))
		return FIRN_E_DOMAIN;

	const size_t n = readings->n;
	const bool is_constant = n > 1 && series_is_constant(readings);
	struct firn_mean m = { .resolution_was_given = readings->resolution > 0.0 };
	const enum firn_status status = series_resolution(readings, &m.resolution);
	if (status < 0)
		return status;

	m.mean = num_mean(n, readings->x);
	const struct series_residuals residuals = { .n = n, .x = readings->x, .mean = m.mean };
	const double sum0 = series_lag_sum(&residuals, 0);
	const struct series_correlation correlation =
	    is_constant ? (struct series_correlation){ .factor = 1.0 }
			: series_correlation(&residuals);

	m.s = n > 1 ? sqrt(sum0 / (double)(n - 1)) : NAN;
	m.r1 = n > 1 && !is_constant ? series_lag_sum(&residuals, 1) / sum0 : NAN;
	m.cut_off = correlation.cut_off;
	m.n_eff = (double)n / correlation.factor;
	set_uncertainty(&m, n, is_constant);
	*ret = m;
	if (is_constant)
		return FIRN_WARN_CONSTANT;
	return n < FIRN_SERIES_FEWEST ? FIRN_WARN_FEW : FIRN_OK;
}
