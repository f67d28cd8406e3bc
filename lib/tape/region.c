/* Regions for several results by trials: JCGM 102:2011, 7.7. */
#include "firn/joint.h"
#include "lib/tape/joint.h"

#include <gsl/gsl_cdf.h>
#include <stdlib.h>

enum { REGION_PILOT = 16384, KINDS = 2, ELLIPSOID = 0, RECTANGLE = 1 };

/* A pivot this small against 1 is what rounding leaves of none (ours). */
#define LEAST_PIVOT 1e-12

struct regions {
	const struct replay_plan *plan;
	size_t n;
	const double *mean;
	double *u, *factor; /* Cholesky's of the correlations, n x n, lower half */
	bool kinds[KINDS];  /* which of the two there are */
	double *scratch;    /* [task][n + KINDS][block] */
	struct tail *tails; /* [task][KINDS] */
};

double firn_joint_factor_ellipsoid(size_t n, double p)
{
	if (n == 0 || !(p > 0.0 && p < 1.0))
		return (double)NAN;
	/* chi-squared is a gamma distribution of mean n and shape n/2 */
	const struct firn_input chi_squared = { .distribution = FIRN_GAMMA,
						.value = (double)n,
						.shape = 0.5 * (double)n };

	return sqrt(quantile_of_score(&chi_squared, gsl_cdf_ugaussian_Pinv(p)));
}

double firn_joint_factor_rectangle(size_t n, double p)
{
	if (n == 0 || !(p > 0.0 && p < 1.0))
		return (double)NAN;
	return gsl_cdf_ugaussian_Qinv(0.5 * (1.0 - p) / (double)n);
}

/* ---- what the covariance says ---- */

/* Lower factor of a matrix of correlations in place; false where it has no inverse. */
static bool regular_factor(size_t n, double *m)
{
	for (size_t j = 0; j < n; j++) {
		for (size_t i = j; i < n; i++) {
			double x = m[i * n + j];

			for (size_t k = 0; k < j; k++)
				x -= m[i * n + k] * m[j * n + k];
			if (i == j && !(x > LEAST_PIVOT))
				return false;
			m[i * n + j] = i == j ? sqrt(x) : x / m[j * n + j];
		}
	}
	return true;
}

static void prepare(struct regions *r, const double *cov)
{
	const size_t n = r->n;
	bool spread = true;

	for (size_t i = 0; i < n; i++) {
		r->u[i] = sqrt(cov[i * n + i]);
		spread &= r->u[i] > 0.0 && isfinite(r->u[i]); /* false for NaN */
	}
	for (size_t i = 0; spread && i < n; i++)
		for (size_t j = 0; j < n; j++)
			r->factor[i * n + j] = i == j ? 1.0 : cov[i * n + j] / (r->u[i] * r->u[j]);
	r->kinds[RECTANGLE] = spread;
	r->kinds[ELLIPSOID] = spread && regular_factor(n, r->factor);
}

/* ---- the trials ---- */

/*
 * ret[kind][count] of so many trials, values[output][stride]: squared distances in the measure of
 * the covariance, and largest distances in units of u. scaled[n][count] is scratch.
 */
static void distances(const struct regions *r, const double *values, size_t stride, size_t count,
		      double *scaled, double *ret)
{
	double *square = ret + ELLIPSOID * count, *largest = ret + RECTANGLE * count;

	for (size_t t = 0; t < KINDS * count; t++)
		ret[t] = 0.0;
	for (size_t i = 0; i < r->n; i++) {
		double *z = scaled + i * count;

		for (size_t t = 0; t < count; t++) {
			z[t] = (values[i * stride + t] - r->mean[i]) / r->u[i];
			largest[t] = fmax(largest[t], fabs(z[t]));
		}
		if (!r->kinds[ELLIPSOID])
			continue;
		for (size_t j = 0; j < i; j++)
			for (size_t t = 0; t < count; t++)
				z[t] -= r->factor[i * r->n + j] * scaled[j * count + t];
		for (size_t t = 0; t < count; t++) {
			z[t] /= r->factor[i * r->n + i];
			square[t] += z[t] * z[t];
		}
	}
}

static bool tail_take(struct tail *tail, double y)
{
	if (y > tail->low && y < tail->high)
		return tail_add(tail, y);
	tail->below += y < tail->low;
	tail->at_low += y == tail->low;
	tail->at_high += y == tail->high && tail->high != tail->low;
	return true;
}

static bool take_distances(void *context, size_t task, const double *values, size_t valid)
{
	const struct regions *r = context;
	const size_t block = r->plan->block;
	double *scaled = r->scratch + task * (r->n + KINDS) * block, *found = scaled + r->n * block;
	bool good = true;

	distances(r, values, block, valid, scaled, found);
	for (size_t kind = 0; kind < KINDS; kind++)
		for (size_t t = 0; r->kinds[kind] && t < valid; t++)
			good &= tail_take(&r->tails[task * KINDS + kind], found[kind * valid + t]);
	return good;
}

/* ---- where to look, and what is found ---- */

/* Bounds of each kind's order statistic, from the first trials. */
static enum firn_status look_ahead(const struct regions *r, uint64_t trials, uint64_t rank,
				   struct tail *ret)
{
	const size_t m = trials < REGION_PILOT ? (size_t)trials : REGION_PILOT;
	double *memory = malloc((2 * r->n + KINDS) * m * sizeof(*memory));
	struct replay_work work;
	const bool good = replay_work_new(r->plan, &work) && memory != NULL;
	size_t low, high;

	statistics_bracket(rank, trials, m, &low, &high);
	if (good) {
		double *found = memory + 2 * r->n * m;

		trials_values(r->plan, &work, 0, m, memory);
		distances(r, memory, m, m, memory + r->n * m, found);
		for (size_t kind = 0; kind < KINDS; kind++) {
			double *x = found + kind * m;

			ret[kind] = (struct tail){ .low = -(double)INFINITY,
						   .high = (double)INFINITY,
						   .limit = SIZE_MAX };
			if (!r->kinds[kind])
				continue;
			statistics_sort(m, x);
			if (low >= 1)
				ret[kind].low = x[low - 1];
			if (high <= m)
				ret[kind].high = x[high - 1];
		}
	}
	replay_work_free(&work);
	free(memory);
	return good ? FIRN_OK : FIRN_E_MEMORY;
}

static bool find_factor(struct tail *tail, uint64_t trials, uint64_t rank, double *ret,
			double *ret_noise)
{
	const double m = (double)trials, q = (double)rank;
	const uint64_t away = (uint64_t)ceil(sqrt(q * (m - q) / m));
	const uint64_t below = rank > away ? rank - away : 1;
	const uint64_t above = rank + away < trials ? rank + away : trials;
	double low, high;

	if (!tail_rank(tail, rank, ret) || !tail_rank(tail, below, &low) ||
	    !tail_rank(tail, above, &high))
		return false;
	*ret_noise = 0.5 * (high - low);
	return true;
}

static enum firn_status play_within(struct regions *r, const struct tail *bounds,
				    const struct firn_monte_carlo_settings *settings,
				    struct tail *ret)
{
	struct joint_pass pass = joint_pass_of(r->plan, settings->trials);
	enum firn_status status = FIRN_E_MEMORY;

	r->tails = malloc(pass.n_tasks * KINDS * sizeof(*r->tails));
	r->scratch = malloc(pass.n_tasks * (r->n + KINDS) * r->plan->block * sizeof(*r->scratch));
	for (size_t i = 0; r->tails != NULL && i < pass.n_tasks * KINDS; i++)
		r->tails[i] = bounds[i % KINDS];
	if (r->tails != NULL && r->scratch != NULL) {
		pass.take = take_distances;
		pass.context = r;
		status = joint_play(&pass, settings);
	}
	ret[ELLIPSOID] = bounds[ELLIPSOID];
	ret[RECTANGLE] = bounds[RECTANGLE];
	for (size_t i = 0; r->tails != NULL && i < pass.n_tasks * KINDS; i++) {
		if (status >= 0 && !tail_merge(&ret[i % KINDS], &r->tails[i]))
			status = FIRN_E_MEMORY;
		tail_free(&r->tails[i]);
	}
	free(r->tails);
	free(r->scratch);
	return status;
}

/* Once within the bounds; where these miss, which is one case in a million, with all kept. */
static enum firn_status find_region(struct regions *r,
				    const struct firn_monte_carlo_settings *settings,
				    struct firn_joint_region *ret)
{
	const struct tail everything = { .low = -(double)INFINITY,
					 .high = (double)INFINITY,
					 .limit = SIZE_MAX };
	struct tail bounds[KINDS];
	double k[KINDS], noise[KINDS];
	uint64_t q, first;
	bool found = false;

	statistics_ranks(settings->trials, settings->coverage_probability, &q, &first);
	enum firn_status status = look_ahead(r, settings->trials, q, bounds);
	while (status >= 0 && !found) {
		struct tail tails[KINDS];

		status = play_within(r, bounds, settings, tails);
		found = true;
		for (size_t kind = 0; kind < KINDS; kind++) {
			k[kind] = noise[kind] = (double)NAN;
			found &=
			    status < 0 || !r->kinds[kind] ||
			    find_factor(&tails[kind], settings->trials, q, &k[kind], &noise[kind]);
			tail_free(&tails[kind]);
		}
		bounds[ELLIPSOID] = bounds[RECTANGLE] = everything;
	}
	/* noise is of squares: half of it over k */
	if (status >= 0)
		*ret = (struct firn_joint_region){
			.k_ellipsoid = sqrt(k[ELLIPSOID]),
			.k_rectangle = k[RECTANGLE],
			.k_ellipsoid_noise = 0.5 * noise[ELLIPSOID] / sqrt(k[ELLIPSOID]),
			.k_rectangle_noise = noise[RECTANGLE],
		};
	return status;
}

enum firn_status firn_monte_carlo_joint(size_t n, const struct firn_node *y,
					const struct firn_monte_carlo_settings *settings,
					double *ret_mean, double *ret_cov,
					struct firn_joint_region *ret)
{
	struct replay_plan *plan = NULL;
	struct regions r = { .n = n, .mean = ret_mean };
	enum firn_status status = trials_plan(n, y, settings, &plan);

	if (status >= 0 && settings->trials > FIRN_JOINT_MOST_TRIALS)
		status = FIRN_E_DOMAIN;
	if (status >= 0) {
		r.plan = plan;
		r.u = malloc(n * sizeof(*r.u));
		r.factor = malloc(n * n * sizeof(*r.factor));
		status = r.u == NULL || r.factor == NULL
			     ? FIRN_E_MEMORY
			     : joint_moments(plan, y, settings, ret_mean, ret_cov);
	}
	if (status >= 0) {
		prepare(&r, ret_cov);
		status = find_region(&r, settings, ret);
	}
	free(r.u);
	free(r.factor);
	replay_plan_free(plan);
	return status;
}
