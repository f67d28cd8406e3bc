#include "lib/series/series.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Doubles that came from one printed number by different ways differ by a few parts in 1e16. */
#define ROUNDING 1e-15

enum { BLOCK = 32 };

bool series_is_valid(const struct firn_readings *readings)
{
	if (readings->n == 0 || !(readings->resolution >= 0.0 && isfinite(readings->resolution)))
		return false;
	for (size_t i = 0; i < readings->n; i++)
		if (!(fabs(readings->x[i]) < FIRN_SERIES_OVERLOAD)) /* true for NaN */
			return false;
	if (readings->t_s == NULL)
		return true;
	for (size_t i = 0; i < readings->n; i++)
		if (!isfinite(readings->t_s[i]) ||
		    (i > 0 && readings->t_s[i] < readings->t_s[i - 1]))
			return false;
	return true;
}

static bool is_step(double a, double b)
{
	return fabs(b - a) > ROUNDING * fmax(fabs(a), fabs(b));
}

bool series_is_constant(const struct firn_readings *readings)
{
	for (size_t i = 1; i < readings->n; i++)
		if (is_step(readings->x[0], readings->x[i]))
			return false;
	return true;
}

static int compare(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

enum firn_status series_resolution(const struct firn_readings *readings, double *ret)
{
	const size_t n = readings->n;
	double smallest = INFINITY;

	if (readings->resolution > 0.0 || series_is_constant(readings)) {
		*ret = readings->resolution;
		return FIRN_OK;
	}
	double *sorted = n > SIZE_MAX / sizeof *sorted ? NULL : malloc(n * sizeof *sorted);
	if (sorted == NULL)
		return FIRN_E_MEMORY;
	memcpy(sorted, readings->x, n * sizeof *sorted);
	qsort(sorted, n, sizeof *sorted, compare);
	for (size_t i = 1; i < n; i++)
		if (is_step(sorted[i - 1], sorted[i]))
			smallest = fmin(smallest, sorted[i] - sorted[i - 1]);
	free(sorted);
	/* Many steps below the rounding limit can add up to a difference above it. */
	*ret = isfinite(smallest) ? smallest : 0.0;
	return FIRN_OK;
}

double series_residual(const struct series_residuals *r, size_t i)
{
	const double t = r->t != NULL ? r->t[i] : (double)i;

	return r->slope == 0.0 ? r->x[i] - r->mean
			       : (r->x[i] - r->mean) - r->slope * (t - r->t_mean);
}

/* Added up in blocks: a sum of n equal terms drifts with their number, a sum of sums hardly. */
double series_lag_sum(const struct series_residuals *r, size_t k)
{
	double sum = 0.0;

	for (size_t start = k; start < r->n; start += BLOCK) {
		const size_t end = r->n - start > BLOCK ? start + BLOCK : r->n;
		double part = 0.0;

		for (size_t i = start; i < end; i++)
			part += series_residual(r, i) * series_residual(r, i - k);
		sum += part;
	}
	return sum;
}
