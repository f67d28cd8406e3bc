#include "lib/tape/tape.h"

/* Two passes: the first mean is corrected by what its own residuals add up to. */
static double mean_of(size_t n, const double *x)
{
	double sum = 0.0, rest = 0.0;

	for (size_t i = 0; i < n; i++)
		sum += x[i];
	for (size_t i = 0; i < n; i++)
		rest += x[i] - sum / (double)n;
	return sum / (double)n + rest / (double)n;
}

/* Sum of products of deviations from the means. */
static double deviations(size_t n, const double *x, const double *y)
{
	const double mean_x = mean_of(n, x), mean_y = mean_of(n, y);
	double sum = 0.0;

	for (size_t i = 0; i < n; i++)
		sum += (x[i] - mean_x) * (y[i] - mean_y);
	return sum;
}

struct firn_node firn_tape_readings(struct firn_tape *tape, const char *name, const char *unit,
				    size_t n, const double *x)
{
	struct firn_input input = { .name = name, .unit = unit, .dof = (double)n - 1.0 };

	if (n < 2)
		return tape_fail(tape, FIRN_E_DOMAIN, 0, "input %s: fewer than two readings", name);
	input.value = mean_of(n, x);
	input.u = sqrt(deviations(n, x, x) / ((double)n * ((double)n - 1.0)));
	return firn_tape_input(tape, &input);
}

enum firn_status firn_tape_readings_together(struct firn_node a, struct firn_node b, size_t n,
					     const double *x, const double *y)
{
	const double scale = sqrt(deviations(n, x, x)) * sqrt(deviations(n, y, y));
	const enum firn_status status = firn_tape_pair(a, b);

	if (status < 0 || scale == 0.0)
		return status;
	return firn_tape_correlate(a, b, fmax(-1.0, fmin(1.0, deviations(n, x, y) / scale)));
}
