#include "firn/control.h"

#include "lib/num/mean.h"

#include <math.h>

double firn_check_mean(const struct firn_check_values *standard)
{
	return standard->n > 0 ? num_mean(standard->n, standard->x) : (double)NAN;
}

static bool is_valid(const struct firn_check_values *standard)
{
	for (size_t i = 0; i < standard->n; i++)
		if (!isfinite(standard->x[i]))
			return false;
	return standard->n > 0;
}

/* Two passes; the square of the sum takes back what rounding left in the mean. */
static double sum_of_squares(const struct firn_check_values *standard)
{
	const double mean = firn_check_mean(standard);
	double squares = 0.0, sum = 0.0;

	for (size_t i = 0; i < standard->n; i++) {
		const double d = standard->x[i] - mean;

		squares += d * d;
		sum += d;
	}
	return squares - sum * sum / (double)standard->n;
}

enum firn_status firn_pooled_s(size_t n, const struct firn_check_values *standards,
			       struct firn_pooled *ret)
{
	double squares = 0.0, dof = 0.0;

	if (n == 0)
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++) {
		if (!is_valid(&standards[i]))
			return FIRN_E_DOMAIN;
		squares += sum_of_squares(&standards[i]);
		dof += (double)standards[i].n - 1.0;
	}
	ret->dof = dof;
	ret->s = dof > 0.0 ? sqrt(fmax(squares, 0.0) / dof) : (double)NAN;
	return FIRN_OK;
}

struct firn_control_limits firn_control_limits(double mean, double s, double k)
{
	return (struct firn_control_limits){ mean - k * s, mean + k * s };
}

bool firn_control_is_outside(const struct firn_control_limits *limits, double x)
{
	return !(x >= limits->low && x <= limits->high);
}
