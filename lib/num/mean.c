#include "lib/num/mean.h"

double num_mean(size_t n, const double *x)
{
	double sum = 0.0, rest = 0.0;

	/* Differences from the first value hold few digits, so little is lost in adding them. */
	for (size_t i = 0; i < n; i++)
		sum += x[i] - x[0];
	const double mean = x[0] + sum / (double)n;
	for (size_t i = 0; i < n; i++)
		rest += x[i] - mean;
	return mean + rest / (double)n;
}
