/*
 * Readings as a time series: what their mean is worth, whether it moves, what stands out.
 *
 * Nothing here drops, replaces or reorders a reading. Numbers, not nodes: a series enters a
 * measurement model as one input, with the mean, u and dof found here.
 */
#ifndef FIRN_SERIES_H
#define FIRN_SERIES_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

#define FIRN_SERIES_FEWEST   5    /* readings from which a type A term is formed */
#define FIRN_SERIES_OVERLOAD 9e37 /* magnitudes from here on stand for overload or no value */

/*
 * Readings in the order in which they were taken.
 *
 * Each is finite and below FIRN_SERIES_OVERLOAD in magnitude. Their spread may be as small as
 * 1e-150 (squares are formed). Autocorrelation counts by reading, so it wants even intervals.
 */
struct firn_readings {
	size_t n;          /* at least 1 */
	const double *x;   /* in any one unit */
	const double *t_s; /* times in s, finite, never falling; NULL: none */
	double resolution; /* last digit of the instrument, in the unit of x; 0: to be found */
};

struct firn_mean {
	double mean;
	double s;          /* sample standard deviation; NaN for one reading */
	double u;          /* standard uncertainty of the mean (type A); NaN: none can be formed */
	double dof;        /* of u: n_eff - 1; 0 for infinite, where resolution alone made u */
	double n_eff;      /* readings that are worth as much and independent: 1 to n */
	double r1;         /* lag-1 autocorrelation; NaN where it is undefined */
	size_t cut_off;    /* largest lag that counts as correlated; 0: independent */
	double resolution; /* as given, or the smallest step found; 0: neither */
	bool resolution_was_given;
	bool is_at_resolution; /* u is resolution/sqrt(12) */
};

/*
 * firn_series_mean - mean of readings and its standard uncertainty.
 *
 * u^2 = (s^2/n) [1 + 2 sum (1 - k/n) r_k], the sum going to the cut-off (Note 1); at least
 * resolution^2/12.
 *
 * Status:
 *   FIRN_OK
 *   FIRN_WARN_CONSTANT  no two readings differ (Note 2)
 *   FIRN_WARN_FEW       fewer than FIRN_SERIES_FEWEST readings: u and dof are NaN
 *   FIRN_E_DOMAIN       no reading; one that is not finite or an overload; times that fall back;
 *                       a resolution that is negative or not finite
 *   FIRN_E_MEMORY       no memory for a sorted copy (made only to find the resolution)
 *   *ret is untouched when the status is negative.
 *
 * Notes:
 *   1) Cut-off: the largest lag k up to n/4 (and FIRN_SERIES_LAGS) at which r_k is further from
 *      0 than chance allows, with sd(r_k)^2 = [1 + 2 sum_{i<k} r_i^2]/n. Zhang judges every lag
 *      at 5 %; in long records some far lag then always passes, and what is summed up to it is
 *      noise. Here lag k is judged at 5 %/k^2: lag 1 as Zhang does, and in a record of any length
 *      independent readings raise a false alarm in at most 8.3 % of cases. From there the sum goes
 *      on while r_k stays positive, or the tail of a slow correlation would be lost. n_eff is never
 *      above n: negative correlation does not lower u. All three are ours; what they do in
 *      simulated records stands in docs/methods/series.md. Below some 50 readings a correlation can
 *      be too weak to be seen and still double u^2.
 *   2) A hung instrument, or noise below the last digit. With a given resolution u is
 *      resolution/sqrt(12). Without one there is nothing to found u on, and it is NaN.
 *      Differences below 1e-15 of the reading are rounding and count as none.
 *   3) A resolution that was not given is the smallest step between distinct readings: the
 *      instrument's digit or a multiple of it.
 *   4) A drift shows as long correlation and raises u; correct it or wait, see firn_series_drift.
 *
 * Accuracy: mean and s as good as the readings as doubles allow (two passes over shifted values).
 * Source: Zhang, Metrologia 43 (2006) S276-S281; Witt, Metrologia 44 (2007) 201-209.
 */
#define FIRN_SERIES_LAGS 1000 /* longest lag looked at; the limit is ours, for time */
enum firn_status firn_series_mean(const struct firn_readings *readings, struct firn_mean *ret);

/* Autocorrelation r_k at the lags 1 to `lags`, into ret_r[0] to ret_r[lags - 1]; lags below n.
   FIRN_E_SINGULAR for readings that do not differ. */
enum firn_status firn_series_autocorrelation(const struct firn_readings *readings, size_t lags,
					     double *ret_r);

struct firn_drift {
	double slope;        /* per second; per reading where there are no times */
	double u_slope;      /* autocorrelation of the residuals and resolution included */
	double dof;          /* of u_slope */
	double change;       /* of the fitted line from the first reading to the last */
	double u_change;     /* of it */
	bool is_significant; /* |slope| > t u_slope, two-sided 95 % */
};

/*
 * firn_series_drift - straight line through readings by least squares.
 *
 * Status: as firn_series_mean, but FIRN_WARN_FEW (fewer than FIRN_SERIES_FEWEST), and
 * FIRN_WARN_CONSTANT without a given resolution, leave u_slope, dof and u_change NaN and
 * is_significant false, and FIRN_E_SINGULAR means a single reading, or times that are all the same.
 */
enum firn_status firn_series_drift(const struct firn_readings *readings, struct firn_drift *ret);

/*
 * firn_series_outliers - flags readings that stand out; flags only.
 *
 * Given:
 *   alpha        chance of a flag in a series without outliers, 1e-6 to 0.5 (usual: 0.01, 0.05)
 * Returned:
 *   ret_flags    n of them
 *   ret_count    how many are true
 * Status: FIRN_OK; FIRN_WARN_FEW for fewer than 3 readings (no flag is set); FIRN_E_DOMAIN.
 *
 * Notes:
 *   1) Generalised extreme studentised deviate: Grubbs's two-sided test, repeated on what is left,
 *      up to a tenth of the readings (at least one). The last step that fails the test decides, so
 *      two outliers can't hide each other. For at most 19 readings it is Grubbs's test.
 *   2) The test takes independent normal readings for granted. A drift raises flags at the ends.
 *   3) A reading within the given resolution of the mean of the others is never flagged.
 *
 * Source: Grubbs, Technometrics 11 (1969) 1-21; Rosner, Technometrics 25 (1983) 165-172;
 * NIST/SEMATECH e-Handbook, 1.3.5.17.1 and 1.3.5.17.3.
 */
enum firn_status firn_series_outliers(const struct firn_readings *readings, double alpha,
				      bool *ret_flags, size_t *ret_count);

/* Critical value of Grubbs's two-sided test, n from 3; NaN out of range. The one-sided test at
   alpha is the two-sided one at 2 alpha. */
double firn_grubbs_critical(size_t n, double alpha);

/*
 * firn_series_allan - Allan deviation at averages over m adjacent readings.
 *
 * Given: m from 1 to n/2; overlapping: every start is used, not each m-th (smaller scatter, the
 * same expectation). White noise: falls as 1/sqrt(m); where it no longer does, averaging longer
 * is no use. FIRN_E_DOMAIN as above or m out of range.
 *
 * Source: IEEE Std 1139-2008; Riley, NIST Special Publication 1065 (2008), 5.2.2 and 5.2.4.
 */
enum firn_status firn_series_allan(const struct firn_readings *readings, size_t m, bool overlapping,
				   double *ret);

#endif
