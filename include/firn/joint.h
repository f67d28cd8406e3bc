/*
 * What the trials of a recorded model give beyond single intervals: a histogram of each result, and
 * regions that hold several results at once (JCGM 102:2011, 7.7, read through secondary sources).
 *
 * As with firn/monte_carlo.h nothing depends on threads, blocks or the processor. Each function
 * plays the trials anew: the same trials for the same settings.
 */
#ifndef FIRN_JOINT_H
#define FIRN_JOINT_H

#include "firn/monte_carlo.h"

#define FIRN_HISTOGRAM_MOST_BINS 64

/*
 * How many trials lie where. Bin i holds values from from + i*width up to from + (i + 1)*width, its
 * lower edge included, to within the rounding of these edges.
 */
struct firn_histogram {
	double from, width;    /* width: 1, 2 or 5 times a power of ten; edges are whole widths */
	size_t n;              /* bins, 20 to 53; 0: the values don't spread, or have no numbers */
	uint64_t below, above; /* trials outside */
	uint64_t counts[FIRN_HISTOGRAM_MOST_BINS];
};

/*
 * firn_monte_carlo_histogram - of n results.
 *
 * The bins are fixed by the first 4096 trials, or by all where there are fewer: they reach from the
 * smallest value to the largest, but not farther than 2.5 times the distance of the quartiles
 * beyond these (some 4 u of a normal result), in at most 50 widths. These numbers are ours. Memory:
 * 32 kB a result and 0.5 kB a result and task (at most 64), however many trials there are.
 *
 * Status: as firn_monte_carlo().
 */
enum firn_status firn_monte_carlo_histogram(size_t n, const struct firn_node *y,
					    const struct firn_monte_carlo_settings *settings,
					    struct firn_histogram *ret);

/*
 * Regions that hold all n results at once in a fraction p of the trials, about their means m:
 *   ellipsoid   (y - m)' V^-1 (y - m) <= k_ellipsoid^2, V the covariance of the trials
 *   rectangle   |y_i - m_i| <= k_rectangle u(y_i) for every i, u of the trials
 * Both k are exact order statistics of the trials.
 */
struct firn_joint_region {
	double k_ellipsoid; /* NaN: V has no inverse (the results hang together rigidly) */
	double k_rectangle; /* NaN: a result has no spread or no finite value */
	double k_ellipsoid_noise, k_rectangle_noise; /* standard deviations from run to run */
};

#define FIRN_JOINT_MOST_TRIALS UINT64_C(100000000) /* ours: bounds the memory */

/*
 * firn_monte_carlo_joint - means, covariance and regions of n results: ret_mean[n], ret_cov[n][n].
 * Plays the trials twice. About a fiftieth of the trials is kept, 16 bytes each.
 *
 * Status: as firn_monte_carlo(); FIRN_E_DOMAIN also for more trials than the limit above.
 */
enum firn_status firn_monte_carlo_joint(size_t n, const struct firn_node *y,
					const struct firn_monte_carlo_settings *settings,
					double *ret_mean, double *ret_cov,
					struct firn_joint_region *ret);

/*
 * The same factors for n jointly normal results, as the linear law has them (JCGM 102:2011, 6.5):
 * of the ellipsoid the root of the chi-squared quantile with n degrees of freedom; of the rectangle
 * the one-dimensional factor for 1 - (1 - p)/n, which is enough whatever the correlations
 * (Bonferroni). NaN for n = 0 or p not between 0 and 1.
 */
double firn_joint_factor_ellipsoid(size_t n, double p);
double firn_joint_factor_rectangle(size_t n, double p);

#endif
