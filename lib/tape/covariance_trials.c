/* Covariance of the trials of several results: JCGM 102:2011, 7.6 (estimate and covariance matrix).
 */
#include "lib/tape/joint.h"

#include <stdlib.h>

struct moments {
	const struct replay_plan *plan;
	size_t n, n_pairs;
	const struct firn_node *y;
	struct lane_sums *sums;               /* [task][n], of the chunk being played */
	double (*products)[STATISTICS_LANES]; /* [task][n_pairs] */
	double *totals; /* [chunk][n + n_pairs]: of every result, then of every pair */
};

static bool add_block(void *context, size_t task, const double *values, size_t valid)
{
	const struct moments *m = context;
	const struct kernels *kernels = m->plan->kernels;
	const size_t block = m->plan->block;
	struct lane_sums *sums = m->sums + task * m->n;
	double(*products)[STATISTICS_LANES] = m->products + task * m->n_pairs;
	size_t pair = 0;

	for (size_t i = 0; i < m->n; i++) {
		const double *x = values + i * block;

		kernels->sum(x, firn_value(m->y[i]), valid, &sums[i]);
		for (size_t j = 0; j <= i; j++)
			kernels->products(x, values + j * block, firn_value(m->y[i]),
					  firn_value(m->y[j]), valid, products[pair++]);
	}
	return true;
}

static void keep_totals(void *context, size_t task, uint64_t chunk)
{
	const struct moments *m = context;
	struct lane_sums *sums = m->sums + task * m->n;
	double(*products)[STATISTICS_LANES] = m->products + task * m->n_pairs;
	double *totals = m->totals + chunk * (m->n + m->n_pairs);

	for (size_t i = 0; i < m->n; i++)
		totals[i] = statistics_total(sums[i].first);
	for (size_t i = 0; i < m->n_pairs; i++)
		totals[m->n + i] = statistics_total(products[i]);
	memset(sums, 0, m->n * sizeof(*sums));
	memset(products, 0, m->n_pairs * sizeof(*products));
}

/* Chunk after chunk, into the totals of the first. */
static void finish(const struct moments *m, const struct joint_pass *pass, double *ret_mean,
		   double *ret_cov)
{
	const size_t n = m->n, size = n + m->n_pairs;
	const double trials = (double)pass->trials;
	double *total = m->totals;
	size_t pair = n;

	for (uint64_t chunk = 1; chunk < pass->n_chunks; chunk++)
		for (size_t i = 0; i < size; i++)
			total[i] += m->totals[chunk * size + i];
	for (size_t i = 0; i < n; i++) {
		ret_mean[i] = firn_value(m->y[i]) + total[i] / trials;
		for (size_t j = 0; j <= i; j++)
			ret_cov[i * n + j] = ret_cov[j * n + i] =
			    (total[pair++] - total[i] * total[j] / trials) / (trials - 1.0);
	}
}

enum firn_status joint_moments(const struct replay_plan *plan, const struct firn_node *y,
			       const struct firn_monte_carlo_settings *settings, double *ret_mean,
			       double *ret_cov)
{
	const size_t n = plan->n_outputs, n_pairs = n * (n + 1) / 2;
	struct joint_pass pass = joint_pass_of(plan, settings->trials);
	struct moments m = { .plan = plan, .n = n, .n_pairs = n_pairs, .y = y };
	enum firn_status status = FIRN_E_MEMORY;

	m.sums = calloc(pass.n_tasks * n, sizeof(*m.sums));
	m.products = calloc(pass.n_tasks * n_pairs, sizeof(*m.products));
	m.totals = calloc(pass.n_chunks * (n + n_pairs), sizeof(*m.totals));
	if (m.sums != NULL && m.products != NULL && m.totals != NULL) {
		pass.take = add_block;
		pass.end_chunk = keep_totals;
		pass.context = &m;
		status = joint_play(&pass, settings);
	}
	if (status >= 0)
		finish(&m, &pass, ret_mean, ret_cov);
	free(m.sums);
	free(m.products);
	free(m.totals);
	return status;
}

enum firn_status firn_monte_carlo_covariance(size_t n, const struct firn_node *y,
					     const struct firn_monte_carlo_settings *settings,
					     double *ret_cov)
{
	struct replay_plan *plan = NULL;
	enum firn_status status = trials_plan(n, y, settings, &plan);
	double *mean = NULL;

	if (status >= 0)
		mean = malloc(n * sizeof(*mean));
	if (status >= 0 && mean == NULL)
		status = FIRN_E_MEMORY;
	if (status >= 0)
		status = joint_moments(plan, y, settings, mean, ret_cov);
	free(mean);
	replay_plan_free(plan);
	return status;
}
