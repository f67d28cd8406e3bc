/* Shared by the files of this folder only. */
#ifndef LIB_SERIES_SERIES_H
#define LIB_SERIES_SERIES_H

#include "firn/series.h"
#include "lib/num/mean.h"

/* What every function here asks of readings. */
bool series_is_valid(const struct firn_readings *readings);

/* Whether readings differ by more than rounding. */
bool series_is_constant(const struct firn_readings *readings);

/* The resolution given, or the smallest step between distinct readings (0 where none differ). */
enum firn_status series_resolution(const struct firn_readings *readings, double *ret);

/* A value of the series less what is taken out of it: the mean, or a line. */
struct series_residuals {
	size_t n;
	const double *x, *t; /* t NULL: the number of the reading */
	double mean, slope, t_mean;
};
double series_residual(const struct series_residuals *r, size_t i);

/* Sum of products of residuals k readings apart. */
double series_lag_sum(const struct series_residuals *r, size_t k);

struct series_correlation {
	double factor; /* of the variance of the mean, at least 1 */
	size_t cut_off;
};
struct series_correlation series_correlation(const struct series_residuals *r);

#endif
