#include "lib/series/series.h"

#include <math.h>

/* Difference of the sums of two adjacent groups of m readings, the first starting at `start`. */
static double group_step(const double *x, size_t start, size_t m)
{
	double sum = 0.0;

	for (size_t i = start; i < start + m; i++)
		sum += x[i + m] - x[i];
	return sum;
}

enum firn_status firn_series_allan(const struct firn_readings *readings, size_t m, bool overlapping,
				   double *ret)
{
	if (!series_is_valid(readings) || m == 0 || m > readings->n / 2)
		return FIRN_E_DOMAIN;

	const double *x = readings->x;
	const size_t step = overlapping ? 1 : m;
	double squares = 0.0, sum = group_step(x, 0, m);
	size_t count = 0;

	for (size_t start = 0; start + 2 * m <= readings->n; start += step) {
		if (start > 0 && overlapping) /* both groups one reading on */
			sum += (x[start + 2 * m - 1] - x[start + m - 1]) -
			       (x[start + m - 1] - x[start - 1]);
		else if (start > 0)
			sum = group_step(x, start, m);
		squares += sum * sum;
		count++;
	}
	*ret = sqrt(squares / (2.0 * (double)count)) / (double)m;
	return FIRN_OK;
}
