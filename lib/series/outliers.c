#include "lib/series/series.h"
#include "firn/tape.h"

#include <math.h>

enum { MOST_PER = 10 }; /* of so many readings one may be an outlier */

double firn_grubbs_critical(size_t n, double alpha)
{
	const double count = (double)n;

	if (n < 3 || !(alpha > 0.0 && alpha < 1.0))
		return NAN;
	/* The point of Student's t that each tail passes with probability alpha/(2 n). */
	const double t = firn_coverage_factor(1.0 - alpha / count, count - 2.0);
	return (count - 1.0) / sqrt(count) * sqrt(t * t / (count - 2.0 + t * t));
}

struct extreme {
	size_t at;
	double g; /* |x - mean|/s of the readings left */
};

/* The reading furthest from the mean of those left, and how far in their standard deviation. */
static struct extreme find_extreme(const struct firn_readings *readings, const bool *out,
				   size_t left)
{
	const double *x = readings->x;
	double sum = 0.0, squares = 0.0, furthest = -1.0;
	struct extreme found = { 0 };
	size_t first = 0;

	while (out[first])
		first++;
	for (size_t i = first; i < readings->n; i++)
		sum += out[i] ? 0.0 : x[i] - x[first];
	const double mean = x[first] + sum / (double)left;
	for (size_t i = first; i < readings->n; i++) {
		const double distance = fabs(x[i] - mean);

		if (out[i])
			continue;
		squares += distance * distance;
		if (distance > furthest) {
			furthest = distance;
			found.at = i;
		}
	}
	const double s = sqrt(squares / ((double)left - 1.0));
	/* From the mean of the others it is n/(n - 1) times as far. */
	if (furthest * (double)left / ((double)left - 1.0) > readings->resolution && s > 0.0)
		found.g = furthest / s;
	return found;
}

enum firn_status firn_series_outliers(const struct firn_readings *readings, double alpha,
				      bool *ret_flags, size_t *ret_count)
{
	if (!series_is_valid(readings) || !(alpha >= 1e-6 && alpha <= 0.5))
		return FIRN_E_DOMAIN;

	const size_t n = readings->n, most = n < 2 * MOST_PER ? 1 : n / MOST_PER;
	size_t count = 0;

	for (size_t i = 0; i < n; i++)
		ret_flags[i] = false;
	*ret_count = 0;
	if (n < 3)
		return FIRN_WARN_FEW;
	if (series_is_constant(readings))
		return FIRN_OK;

	/* Two rounds alike: the first finds how many outliers there are, the second marks them. */
	for (size_t tried = 0; tried < most; tried++) {
		const struct extreme e = find_extreme(readings, ret_flags, n - tried);

		if (e.g > firn_grubbs_critical(n - tried, alpha))
			count = tried + 1;
		ret_flags[e.at] = true;
	}
	for (size_t i = 0; i < n; i++)
		ret_flags[i] = false;
	for (size_t tried = 0; tried < count; tried++)
		ret_flags[find_extreme(readings, ret_flags, n - tried).at] = true;
	*ret_count = count;
	return FIRN_OK;
}
