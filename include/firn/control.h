/*
 * Check standards: what a laboratory's own history says of how well a value comes out again, and
 * whether the next one is what that history lets expect.
 */
#ifndef FIRN_CONTROL_H
#define FIRN_CONTROL_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Values of one check standard in one unit, at least one; each finite. */
struct firn_check_values {
	size_t n;
	const double *x;
};

struct firn_pooled {
	double s;   /* standard deviation, in the unit of the values; NaN with dof 0 */
	double dof; /* sum of n - 1 */
};

/*
 * firn_pooled_s - standard deviation of several standards about the mean of each, pooled.
 *
 *   s^2 = sum of (x - mean of its standard)^2 over the sum of (n - 1)
 *
 * The standards may differ in value; that each scatters alike is assumed. Returned (untouched when
 * the status is negative): s to 1e-14 relative where the spread is above 1e-12 of the values,
 * less well in proportion below that.
 * Status: FIRN_OK; FIRN_E_DOMAIN: no standard, one without values, or a value that is not finite.
 *
 * Source: JCGM 100:2008 (GUM), 4.2.4 and H.5; NIST/SEMATECH e-Handbook of Statistical Methods,
 * 2.2.2 and 2.3.5 (numbers of the sections from memory).
 */
enum firn_status firn_pooled_s(size_t n, const struct firn_check_values *standards,
			       struct firn_pooled *ret);

/* Mean of the values; NaN for none. */
double firn_check_mean(const struct firn_check_values *standard);

/*
 * Control limits mean - k s and mean + k s. k = 3 (Shewhart): a value outside has a cause, or comes
 * by chance in 0.27 % of the cases when mean and s are known well and the values are normal.
 * Source: NIST/SEMATECH e-Handbook, 2.2.2 (from memory).
 */
struct firn_control_limits {
	double low, high;
};
struct firn_control_limits firn_control_limits(double mean, double s, double k);

/* A value on a limit is inside; one that is no number is outside. */
bool firn_control_is_outside(const struct firn_control_limits *limits, double x);

#endif
