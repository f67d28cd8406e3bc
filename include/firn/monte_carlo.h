/*
 * The whole distribution of results, by trials of a recorded model: JCGM 101:2008 (propagation of
 * distributions), JCGM 102:2011 for the covariance of several results.
 *
 * Results depend on the model, the number of trials and the seed, to the last bit; not on threads,
 * blocks or what processor it is, as long as the model keeps to + - * / sqrt exp ln, sums,
 * polynomials, least squares and roots of these. Sine, power and the like are the C library's and
 * may differ in the last bit from one processor to another. An input that is added to a model
 * changes no draw of the others: each has a stream by its name.
 *
 * Correlated inputs: jointly normal where all are normal; jointly t where all have the same degrees
 * of freedom (readings taken together; one chi-squared for the group); otherwise their normal
 * scores have the correlations stated (Gaussian copula), which JCGM 101 doesn't cover: `copula`
 * says so.
 */
#ifndef FIRN_MONTE_CARLO_H
#define FIRN_MONTE_CARLO_H

#include "firn/tape.h"

/*
 * firn_run_all - calls work(context, i) for every i from 0 to n - 1, once each, in any order and on
 * any threads, and returns when all have returned. The engine itself makes no threads.
 */
typedef void firn_work(void *context, size_t i);
typedef void firn_run_all(void *runner, size_t n, firn_work *work, void *context);

#define FIRN_MONTE_CARLO_MIN_TRIALS 100

struct firn_monte_carlo_settings {
	uint64_t trials; /* FIRN_MONTE_CARLO_MIN_TRIALS and more */
	uint64_t seed;
	double coverage_probability; /* above 0 and below 1 */
	bool shortest;               /* the shortest interval as well */
	firn_run_all *run;           /* NULL: one after the other */
	void *runner;
	/* For tests; 0 is what serves best. */
	size_t block; /* trials at a time, a multiple of 128 */
	int level;    /* instruction set: 1 plain, 2 x86-64-v3, 3 x86-64-v4 */
};

struct firn_monte_carlo_result {
	double value, u;                    /* mean and standard deviation of the trials */
	double low, high;                   /* probabilistically symmetric interval (7.7.2) */
	double low_noise, high_noise;       /* standard deviations of its ends from run to run */
	double shortest_low, shortest_high; /* shortest (7.7.4); NaN where not asked for */
	bool no_value;      /* a trial had no finite value: every number above is NaN */
	bool no_mean, no_u; /* a t with 1, with 2 or fewer degrees of freedom is beneath: NaN */
	bool copula;        /* correlated inputs that are not jointly normal or t are beneath */
};

/*
 * firn_monte_carlo - n results of one tape. About 8 bytes a trial and result that lies within the
 * tails needed, for as many results at once as 128 MiB hold.
 *
 * Status: FIRN_E_DOMAIN (trials, probability), FIRN_E_FOREIGN, FIRN_E_UNKNOWN (a node that was
 * never made, a block or level that can't be), FIRN_E_CORRELATION, FIRN_E_MEMORY, or the tape's
 * failure.
 */
enum firn_status firn_monte_carlo(size_t n, const struct firn_node *y,
				  const struct firn_monte_carlo_settings *settings,
				  struct firn_monte_carlo_result *ret);

/* Covariance of the trials of n results: ret_cov[n][n], row by row. Costs n^2/2 products a trial.
 */
enum firn_status firn_monte_carlo_covariance(size_t n, const struct firn_node *y,
					     const struct firn_monte_carlo_settings *settings,
					     double *ret_cov);

/*
 * firn_monte_carlo_enough - how many trials the adaptive procedure takes (7.9): blocks of
 * max(ceil(100/(1 - p)), 10^4) until twice the standard deviation of the means of value, u, low and
 * high of every result is below the numerical tolerance of its u with `digits` digits (1 to 4).
 * settings->trials bounds them: *ret_stable is false when that was not enough. A result without u
 * is judged by its interval, with half its width in place of u.
 */
enum firn_status firn_monte_carlo_enough(size_t n, const struct firn_node *y,
					 const struct firn_monte_carlo_settings *settings,
					 int digits, uint64_t *ret_trials, bool *ret_stable);

/* Half a unit in the last of `digits` significant digits of u (7.9.2); 0 for u = 0. */
double firn_numerical_tolerance(double u, int digits);

/*
 * firn_linear_law_holds - whether value +/- U of the linear law agrees with the probabilistically
 * symmetric interval of the trials: both ends within the tolerance (clause 8), or by no more beyond
 * it than twice the noise of the trials. The standard asks for trials without noise to speak of;
 * with fewer, noise alone must not condemn the linear law. That allowance is ours.
 */
bool firn_linear_law_holds(double value, double U, const struct firn_monte_carlo_result *trials,
			   double tolerance);

#endif
