/* The adaptive procedure, and the linear law held to the trials: JCGM 101:2008, 7.9 and 8. */
#include "lib/tape/trials.h"

#include <stdlib.h>

enum {
	QUANTITIES = 4, /* value, u, low, high */
	BATCH = 16,     /* blocks played before the rule is applied to each in turn */
};

double firn_numerical_tolerance(double u, int digits)
{
	double unit;

	if (!(u > 0.0) || !isfinite(u) || digits < 1)
		return u == 0.0 ? 0.0 : (double)NAN;
	/* u = c 10^l with c of that many digits; rounding to them may carry: 9.96 is 10 */
	int l = (int)floor(log10(u)) - digits + 1;
	unit = pow(10.0, l);
	if (floor(u / unit + 0.5) >= pow(10.0, digits))
		unit = pow(10.0, l + 1);
	return 0.5 * unit;
}

bool firn_linear_law_holds(double value, double U, const struct firn_monte_carlo_result *trials,
			   double tolerance)
{
	return fabs(value - U - trials->low) <= tolerance + 2.0 * trials->low_noise &&
	       fabs(value + U - trials->high) <= tolerance + 2.0 * trials->high_noise;
}

/* Blocks of the procedure: what each gives for every output. */
struct adaptive {
	struct replay_plan **plans; /* of `group` outputs each, the last of what is left */
	size_t n_plans, group;
	const struct firn_node *y;
	size_t n, size; /* outputs; trials a block */
	uint64_t first_block, q, r;
	double *found; /* [block of the batch][output][QUANTITIES] */
	enum firn_status statuses[BATCH];
};

static void summarise(const struct adaptive *a, double estimate, double *x, double *ret)
{
	const double m = (double)a->size;
	double first = 0.0, second = 0.0;

	for (size_t i = 0; i < a->size; i++)
		first += x[i] - estimate;
	const double mean = estimate + first / m;
	for (size_t i = 0; i < a->size; i++)
		second += (x[i] - mean) * (x[i] - mean);
	ret[0] = mean;
	ret[1] = sqrt(second / (m - 1.0));
	ret[2] = ret[3] = (double)NAN;
	if (!isfinite(mean))
		return;
	ret[2] = statistics_select(a->size, x, a->r - 1);
	ret[3] = statistics_select(a->size, x, a->r + a->q - 1);
}

static bool play_group(struct adaptive *a, size_t i, size_t plan, double *values)
{
	const size_t first = plan * a->group;
	struct replay_work work;
	const bool has_work = replay_work_new(a->plans[plan], &work);

	if (has_work) {
		trials_values(a->plans[plan], &work, (a->first_block + i) * a->size, a->size,
			      values);
		for (size_t j = 0; j < a->plans[plan]->n_outputs; j++)
			summarise(a, firn_value(a->y[first + j]), values + j * a->size,
				  a->found + (i * a->n + first + j) * QUANTITIES);
	}
	replay_work_free(&work);
	return has_work;
}

static void play_block(void *context, size_t i)
{
	struct adaptive *a = context;
	double *values = malloc(a->group * a->size * sizeof(*values));

	for (size_t plan = 0; plan < a->n_plans; plan++)
		if (values == NULL || !play_group(a, i, plan, values))
			a->statuses[i] = FIRN_E_MEMORY;
	free(values);
}

/* Means and sums of squared deviations so far, carried along (Welford's updating). */
struct spread {
	double mean, squares;
};

static void include(struct spread *s, double x, double h)
{
	const double d = x - s->mean;

	s->mean += d / h;
	s->squares += d * (x - s->mean);
}

/* 7.9.4 for one output after h blocks. Without u its interval's half width stands in its place. */
static bool is_stable(const struct firn_monte_carlo_result *flags, const struct spread *s, double h,
		      int digits)
{
	const double u = flags->no_u ? 0.5 * (s[3].mean - s[2].mean) : s[1].mean;
	const double tolerance = firn_numerical_tolerance(u, digits);

	for (int i = 0; i < QUANTITIES; i++) {
		if ((i == 0 && flags->no_mean) || (i == 1 && flags->no_u))
			continue;
		if (!(2.0 * sqrt(s[i].squares / (h * (h - 1.0))) < tolerance) &&
		    !(tolerance == 0.0 && s[i].squares == 0.0))
			return false;
	}
	return true;
}

static bool all_stable(const struct adaptive *a, const struct firn_monte_carlo_result *flags,
		       const struct spread *spreads, uint64_t h, int digits)
{
	if (h < 2)
		return false;
	for (size_t i = 0; i < a->n; i++)
		if (!is_stable(&flags[i], spreads + i * QUANTITIES, (double)h, digits))
			return false;
	return true;
}

static enum firn_status play_batch(struct adaptive *a,
				   const struct firn_monte_carlo_settings *settings, size_t n)
{
	trials_run(settings, n, play_block, a);
	for (size_t i = 0; i < n; i++)
		if (a->statuses[i] < 0)
			return a->statuses[i];
	return FIRN_OK;
}

static enum firn_status until_stable(struct adaptive *a,
				     const struct firn_monte_carlo_settings *settings,
				     const struct firn_monte_carlo_result *flags,
				     struct spread *spreads, int digits, uint64_t *ret_trials,
				     bool *ret_stable)
{
	const uint64_t most = settings->trials / a->size;
	enum firn_status status = FIRN_OK;

	*ret_stable = false;
	for (uint64_t h = 0; h < most && !*ret_stable && status >= 0;) {
		const size_t n = most - h < BATCH ? (size_t)(most - h) : BATCH;

		a->first_block = h;
		status = play_batch(a, settings, n);
		for (size_t i = 0; i < n && !*ret_stable && status >= 0; i++) {
			h++;
			for (size_t j = 0; j < a->n * QUANTITIES; j++)
				include(&spreads[j], a->found[i * a->n * QUANTITIES + j],
					(double)h);
			*ret_stable = all_stable(a, flags, spreads, h, digits);
		}
		*ret_trials = h * a->size;
	}
	return status;
}

static void plans_free(struct adaptive *a)
{
	for (size_t i = 0; a->plans != NULL && i < a->n_plans; i++)
		replay_plan_free(a->plans[i]);
	free(a->plans);
}

/* A block's values are kept while it is judged: of so many outputs at a time as AT_ONCE allows. */
static enum firn_status plans_new(struct adaptive *a,
				  const struct firn_monte_carlo_settings *settings)
{
	enum { AT_ONCE = 1 << 22 };
	enum firn_status status = FIRN_OK;

	a->group = a->size >= AT_ONCE ? 1 : AT_ONCE / a->size;
	if (a->group > a->n)
		a->group = a->n;
	a->n_plans = (a->n + a->group - 1) / a->group;
	a->plans = calloc(a->n_plans, sizeof(struct replay_plan *));
	if (a->plans == NULL)
		return FIRN_E_MEMORY;
	for (size_t i = 0; i < a->n_plans && status >= 0; i++) {
		const size_t first = i * a->group;
		const size_t n = a->n - first < a->group ? a->n - first : a->group;

		status = trials_plan(n, a->y + first, settings, &a->plans[i]);
	}
	return status;
}

enum firn_status firn_monte_carlo_enough(size_t n, const struct firn_node *y,
					 const struct firn_monte_carlo_settings *settings,
					 int digits, uint64_t *ret_trials, bool *ret_stable)
{
	const double p = settings->coverage_probability;
	const double at_least = ceil(100.0 / (1.0 - p) * (1.0 - 1e-9));
	struct adaptive a = { .y = y, .n = n };
	struct firn_monte_carlo_result *flags;
	struct replay_plan *whole = NULL;
	struct spread *spreads;
	enum firn_status status = trials_plan(n, y, settings, &whole);

	replay_plan_free(whole);
	if (status < 0)
		return status;
	a.size = at_least > 1e4 ? (size_t)fmin(at_least, 1e8) : 10000;
	statistics_ranks(a.size, p, &a.q, &a.r);
	a.found = malloc(BATCH * n * QUANTITIES * sizeof(*a.found));
	spreads = calloc(n * QUANTITIES, sizeof(*spreads));
	flags = calloc(n, sizeof(*flags));
	if (digits < 1 || digits > 4 || settings->trials < 2 * a.size)
		status = FIRN_E_DOMAIN;
	else if (a.found == NULL || spreads == NULL || flags == NULL)
		status = FIRN_E_MEMORY;
	if (status >= 0)
		status = plans_new(&a, settings);
	if (status >= 0)
		status = trials_beneath(n, y, flags);
	if (status >= 0)
		status = until_stable(&a, settings, flags, spreads, digits, ret_trials, ret_stable);
	free(a.found);
	free(spreads);
	free(flags);
	plans_free(&a);
	return status;
}
