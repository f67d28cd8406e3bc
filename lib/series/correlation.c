/* Autocorrelation, and what it does to the variance of a mean. */
#include "lib/series/series.h"
#include "firn/tape.h"

#include <math.h>

#define LEVEL 0.05 /* at which lag 1 is judged */

/* How far r_k may be from 0 by chance, in its standard deviations: lag k at LEVEL/k^2. */
static double chance(size_t k)
{
	const double lag = (double)k;

	return firn_coverage_factor(1.0 - LEVEL / (lag * lag), INFINITY);
}

struct series_correlation series_correlation(const struct series_residuals *r)
{
	const double n = (double)r->n, sum0 = series_lag_sum(r, 0);
	const size_t last = r->n / 4 < FIRN_SERIES_LAGS ? r->n / 4 : FIRN_SERIES_LAGS;
	struct series_correlation found = { .factor = 1.0 };
	double squares = 0.0, factor = 1.0;
	bool in_tail = false; /* every lag since one that counted was positive */

	if (!(sum0 > 0.0))
		return found;
	for (size_t k = 1; k <= last; k++) {
		const double r_k = series_lag_sum(r, k) / sum0;
		const double sd = sqrt((1.0 + 2.0 * squares) / n);
		const bool counts = fabs(r_k) > chance(k) * sd;

		factor += 2.0 * (1.0 - (double)k / n) * r_k;
		squares += r_k * r_k;
		in_tail = counts || (in_tail && r_k > 0.0);
		if (in_tail)
			found = (struct series_correlation){ .factor = factor, .cut_off = k };
	}
	found.factor = fmax(1.0, found.factor);
	return found;
}

enum firn_status firn_series_autocorrelation(const struct firn_readings *readings, size_t lags,
					     double *ret_r)
{
	if (!series_is_valid(readings) || lags >= readings->n)
		return FIRN_E_DOMAIN;
	if (series_is_constant(readings))
		return FIRN_E_SINGULAR;

	const struct series_residuals residuals = {
		.n = readings->n,
		.x = readings->x,
		.mean = num_mean(readings->n, readings->x),
	};
	const double sum0 = series_lag_sum(&residuals, 0);
	for (size_t k = 1; k <= lags; k++)
		ret_r[k - 1] = series_lag_sum(&residuals, k) / sum0;
	return FIRN_OK;
}
