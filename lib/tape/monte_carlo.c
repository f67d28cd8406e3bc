/* Trials played, summed and brought to intervals: JCGM 101:2008, 7.2 to 7.7. */
#include "lib/tape/trials.h"

#include <stdlib.h>

enum {
	PILOT = 1024, /* trials that set the first ends of the tails */
	PHASE_GROWTH = 4,
	MOST_TASKS = 64,
};
#define GROUP_BYTES ((size_t)128 << 20)

/* A group of outputs played together. */
struct run {
	const struct replay_plan *plan;
	const struct firn_monte_carlo_settings *settings;
	size_t n;
	const double *estimates;
	uint64_t q, r, n_chunks;
	double *sums;       /* [chunk][output][2] */
	struct tail *tails; /* [output][2]: what all tasks have kept */
	uint64_t first_chunk, end_chunk;
	size_t n_tasks;
	struct task *tasks;
};

/* Chunks that follow one another, played by one thread. */
struct task {
	const struct run *run;
	enum firn_status status;
	struct lane_sums *sums; /* of the outputs, for the chunk being played */
	struct tail *tails;
	size_t valid; /* trials of the block that count */
};

static void take_block(void *context, size_t output, const double *y)
{
	struct task *task = context;
	const struct run *run = task->run;
	const struct kernels *kernels = run->plan->kernels;

	if (!kernels->gather(y, run->estimates[output], task->valid, &task->sums[output],
			     task->tails + 2 * output))
		task->status = FIRN_E_MEMORY;
}

static void play_chunk(struct task *task, struct replay_work *work, uint64_t chunk)
{
	const struct run *run = task->run;
	const size_t block = run->plan->block;
	const uint64_t end = run->settings->trials;
	double *totals = run->sums + chunk * run->n * 2;

	memset(task->sums, 0, run->n * sizeof(*task->sums));
	for (size_t i = 0; i < STATISTICS_CHUNK / block; i++) {
		const uint64_t first = chunk * STATISTICS_CHUNK + i * block;

		if (first >= end)
			break;
		task->valid = end - first < block ? (size_t)(end - first) : block;
		run->plan->kernels->play(run->plan, work, first, take_block, task);
	}
	for (size_t i = 0; i < run->n; i++) {
		totals[2 * i] = statistics_total(task->sums[i].first);
		totals[2 * i + 1] = statistics_total(task->sums[i].second);
	}
}

static void play_task(void *context, size_t i)
{
	struct run *run = context;
	struct task *task = &run->tasks[i];
	const uint64_t n = run->end_chunk - run->first_chunk;
	const uint64_t from = run->first_chunk + n * i / run->n_tasks,
		       to = run->first_chunk + n * (i + 1) / run->n_tasks;
	struct replay_work work;
	const bool has_work = replay_work_new(run->plan, &work);

	task->sums = calloc(run->n, sizeof(*task->sums));
	if (!has_work || task->sums == NULL)
		task->status = FIRN_E_MEMORY;
	for (uint64_t chunk = from; chunk < to && task->status >= 0; chunk++)
		play_chunk(task, &work, chunk);
	free(task->sums);
	replay_work_free(&work);
}

/* ---- tails ---- */

static bool shortest(const struct run *run)
{
	return run->settings->shortest;
}

/* The rank that a finite end of a tail is about, and whether it has a lower and an upper end. */
static uint64_t rank_of(const struct run *run, int tail, bool *ret_low, bool *ret_high)
{
	*ret_low = tail == 1 || !shortest(run);
	*ret_high = tail == 0 || !shortest(run);
	if (shortest(run))
		return tail == 0 ? run->settings->trials - run->q : run->q + 1;
	return tail == 0 ? run->r : run->r + run->q;
}

/* What a tail will keep of m trials when its ends have these places among n. Twice as much is a
   sign that they don't serve. */
static void expect(struct tail *tail, uint64_t m, uint64_t n, size_t low, size_t high)
{
	const double expected = (double)m * (double)(high - low) / (double)n;

	tail->expected = (size_t)expected;
	tail->limit = (size_t)(2.0 * expected) + 4096;
}

/* Of places that mostly ascend. */
static double select_next(size_t n, double *x, size_t place, size_t *from)
{
	const size_t last = place < *from ? 0 : *from;

	*from = place;
	return statistics_select_after(n, x, last, place);
}

/* Ends from the first trials of an output, reordered here. */
static void set_ends(const struct run *run, size_t n, double *pilot, struct tail tails[2])
{
	const uint64_t m = run->settings->trials;
	size_t from = 0;

	for (int t = 0; t < 2; t++) {
		bool has_low, has_high;
		size_t low, high;

		statistics_bracket(rank_of(run, t, &has_low, &has_high), m, n, &low, &high);
		tails[t] = (struct tail){ .low = -(double)INFINITY, .high = (double)INFINITY };
		if (has_low && low >= 1)
			tails[t].low = select_next(n, pilot, low - 1, &from);
		if (has_high && high <= n)
			tails[t].high = select_next(n, pilot, high - 1, &from);
		expect(&tails[t], m, n, has_low ? low : 0, has_high && high <= n ? high : n);
	}
}

static enum firn_status set_tails(struct run *run)
{
	const uint64_t m = run->settings->trials;
	const size_t n = m < PILOT ? (size_t)m : PILOT;
	double *pilot = malloc(run->n * n * sizeof(*pilot));
	struct replay_work work;
	const bool has_work = replay_work_new(run->plan, &work);

	if (pilot != NULL && has_work) {
		trials_values(run->plan, &work, 0, n, pilot);
		for (size_t i = 0; i < run->n; i++)
			set_ends(run, n, pilot + i * n, run->tails + 2 * i);
	}
	replay_work_free(&work);
	free(pilot);
	return pilot != NULL && has_work ? FIRN_OK : FIRN_E_MEMORY;
}

/* Everything in the first tail: for an output whose ends did not serve. */
static void keep_all(const struct run *run)
{
	run->tails[0] =
	    (struct tail){ .low = -(double)INFINITY, .high = (double)INFINITY, .limit = SIZE_MAX };
	run->tails[1] = (struct tail){ .low = (double)INFINITY, .high = (double)INFINITY };
}

static void narrow(const struct run *run, struct tail *tail, int which, uint64_t n)
{
	bool has_low, has_high;
	size_t low, high, found = 0;
	uint64_t ranks[2];
	double y[2], low_end = tail->low, high_end = tail->high;

	statistics_bracket(rank_of(run, which, &has_low, &has_high), run->settings->trials,
			   (size_t)n, &low, &high);
	if (has_low && low >= 1)
		ranks[found++] = low;
	if (has_high && high <= n)
		ranks[found++] = high;
	if (tail_ranks(tail, found, ranks, y)) {
		if (has_low && low >= 1 && y[0] > low_end)
			low_end = y[0];
		if (has_high && high <= n && y[found - 1] < high_end)
			high_end = y[found - 1];
	}
	tail_narrow(tail, low_end, high_end);
	expect(tail, run->settings->trials, n, has_low ? low : 0,
	       has_high && high <= n ? high : (size_t)n);
}

/* ---- playing ---- */

static enum firn_status merge(struct run *run)
{
	enum firn_status status = FIRN_OK;

	for (size_t i = 0; i < run->n_tasks; i++) {
		struct task *task = &run->tasks[i];

		status = status < 0 ? status : task->status;
		for (size_t j = 0; task->tails != NULL && j < 2 * run->n; j++) {
			if (status >= 0 && !tail_merge(&run->tails[j], &task->tails[j]))
				status = FIRN_E_MEMORY;
			tail_free(&task->tails[j]);
		}
		free(task->tails);
	}
	free(run->tasks);
	run->tasks = NULL;
	return status;
}

/* An empty tail with the same ends, for a part of all trials. */
static struct tail part_of(const struct tail *tail, double part)
{
	const double expected = part * (double)tail->expected;

	return (struct tail){ .low = tail->low,
			      .high = tail->high,
			      .limit = tail->limit,
			      .expected = (size_t)(expected + 4.0 * sqrt(expected)) };
}

static enum firn_status play(struct run *run, uint64_t first_chunk, uint64_t end_chunk)
{
	const uint64_t n = end_chunk - first_chunk;
	const size_t n_tasks = n < MOST_TASKS ? (size_t)n : MOST_TASKS;

	run->first_chunk = first_chunk;
	run->end_chunk = end_chunk;
	run->n_tasks = n_tasks;
	if (n == 0)
		return FIRN_OK;
	run->tasks = calloc(run->n_tasks, sizeof(*run->tasks));
	if (run->tasks == NULL)
		return FIRN_E_MEMORY;
	for (size_t i = 0; i < run->n_tasks; i++) {
		struct task *task = &run->tasks[i];

		task->run = run;
		task->tails = calloc(2 * run->n, sizeof(*task->tails));
		if (task->tails == NULL)
			task->status = FIRN_E_MEMORY;
		for (size_t j = 0; task->tails != NULL && j < 2 * run->n; j++)
			task->tails[j] = part_of(&run->tails[j], (double)n / (double)n_tasks /
								     (double)run->n_chunks);
	}
	trials_run(run->settings, run->n_tasks, play_task, run);
	return merge(run);
}

/* Outputs that one of MOST_TASKS threads sees to. */
static size_t first_output(const struct run *run, size_t task)
{
	return run->n * task / MOST_TASKS;
}

static void narrow_task(void *context, size_t i)
{
	struct run *run = context;

	for (size_t j = 2 * first_output(run, i); j < 2 * first_output(run, i + 1); j++)
		narrow(run, &run->tails[j], (int)(j % 2), run->end_chunk * STATISTICS_CHUNK);
}

/* In phases, four times as many trials each time, after which the tails are as narrow as what has
   been played so far allows. */
static enum firn_status play_all(struct run *run)
{
	const bool narrows = run->tails[0].limit < SIZE_MAX;
	uint64_t played = 0, end = 1;
	enum firn_status status = FIRN_OK;

	while (played < run->n_chunks && status >= 0) {
		if (!narrows || end * PHASE_GROWTH > run->n_chunks)
			end = run->n_chunks;
		status = play(run, played, end);
		if (status >= 0 && end < run->n_chunks)
			trials_run(run->settings, MOST_TASKS, narrow_task, run);
		played = end;
		end *= PHASE_GROWTH;
	}
	return status;
}

/* ---- results ---- */

static bool find_rank(struct tail tails[2], uint64_t rank, double *ret)
{
	return tail_rank(&tails[0], rank, ret) || tail_rank(&tails[1], rank, ret);
}

/* An end of the interval, and what it scatters: the values one standard deviation of the count away
   on both sides. */
static bool find_end(const struct run *run, struct tail tails[2], uint64_t rank, double *ret,
		     double *ret_noise)
{
	const double m = (double)run->settings->trials, r = (double)rank;
	const uint64_t away = (uint64_t)ceil(sqrt(r * (m - r) / m));
	const uint64_t below = rank > away ? rank - away : 1;
	const uint64_t above =
	    rank + away < run->settings->trials ? rank + away : run->settings->trials;
	const uint64_t ranks[] = { below, rank, above };
	double y[3];

	if (!tail_ranks(&tails[0], 3, ranks, y) && !tail_ranks(&tails[1], 3, ranks, y))
		for (int i = 0; i < 3; i++)
			if (!find_rank(tails, ranks[i], &y[i]))
				return false;
	*ret = y[1];
	*ret_noise = 0.5 * (y[2] - y[0]);
	return true;
}

static bool interval(const struct run *run, struct tail tails[2],
		     struct firn_monte_carlo_result *ret)
{
	return find_end(run, tails, run->r, &ret->low, &ret->low_noise) &&
	       find_end(run, tails, run->r + run->q, &ret->high, &ret->high_noise);
}

static bool shortest_interval(const struct run *run, struct tail tails[2],
			      struct firn_monte_carlo_result *ret)
{
	double least = (double)INFINITY;

	tail_sort(&tails[0]);
	tail_sort(&tails[1]);
	for (uint64_t r = 1; r + run->q <= run->settings->trials; r++) {
		double low, high;

		if ((!tail_sorted(&tails[0], r, &low) && !tail_sorted(&tails[1], r, &low)) ||
		    (!tail_sorted(&tails[1], r + run->q, &high) &&
		     !tail_sorted(&tails[0], r + run->q, &high)))
			return false;
		if (high - low < least) {
			least = high - low;
			ret->shortest_low = low;
			ret->shortest_high = high;
		}
	}
	return least < (double)INFINITY;
}

static void moments(const struct run *run, size_t output, struct firn_monte_carlo_result *ret)
{
	const double m = (double)run->settings->trials;
	double first = 0.0, second = 0.0, variance;

	for (uint64_t i = 0; i < run->n_chunks; i++) {
		first += run->sums[(i * run->n + output) * 2];
		second += run->sums[(i * run->n + output) * 2 + 1];
	}
	variance = (second - first * first / m) / (m - 1.0);
	ret->no_value = !isfinite(first);
	ret->value = ret->no_mean ? (double)NAN : run->estimates[output] + first / m;
	ret->u = ret->no_u ? (double)NAN : sqrt(variance > 0.0 ? variance : 0.0);
}

/* One output: false when its tails did not hold what was needed. */
static bool result(const struct run *run, size_t output, struct firn_monte_carlo_result *ret)
{
	struct tail *tails = run->tails + 2 * output;

	ret->low = ret->high = ret->shortest_low = ret->shortest_high = (double)NAN;
	ret->low_noise = ret->high_noise = (double)NAN;
	moments(run, output, ret);
	if (ret->no_value) {
		ret->value = ret->u = (double)NAN;
		return true;
	}
	return interval(run, tails, ret) && (!shortest(run) || shortest_interval(run, tails, ret));
}

static void run_free(struct run *run)
{
	for (size_t i = 0; run->tails != NULL && i < 2 * run->n; i++)
		tail_free(&run->tails[i]);
	free(run->tails);
	free(run->sums);
}

struct found {
	struct run *run;
	struct firn_monte_carlo_result *results;
	bool *good; /* of the outputs; false: its tails did not serve */
};

static void results_task(void *context, size_t i)
{
	const struct found *found = context;
	struct run *run = found->run;

	for (size_t j = first_output(run, i); j < first_output(run, i + 1); j++) {
		found->good[j] = result(run, j, &found->results[j]);
		tail_free(&run->tails[2 * j]);
		tail_free(&run->tails[2 * j + 1]);
	}
}

static enum firn_status play_group(size_t n, const struct firn_node *y,
				   const struct firn_monte_carlo_settings *settings, bool all,
				   struct firn_monte_carlo_result *ret);

static enum firn_status results(struct run *run, const struct firn_node *y, bool all,
				struct firn_monte_carlo_result *ret)
{
	struct found found = { run, ret, calloc(run->n, sizeof(*found.good)) };
	enum firn_status status = found.good == NULL ? FIRN_E_MEMORY : FIRN_OK;

	if (status >= 0)
		trials_run(run->settings, MOST_TASKS, results_task, &found);
	for (size_t i = 0; i < run->n && status >= 0; i++)
		if (!found.good[i])
			status = all ? FIRN_E_DOMAIN
				     : play_group(1, y + i, run->settings, true, &ret[i]);
	free(found.good);
	return status;
}

static enum firn_status play_group(size_t n, const struct firn_node *y,
				   const struct firn_monte_carlo_settings *settings, bool all,
				   struct firn_monte_carlo_result *ret)
{
	const uint64_t m = settings->trials;
	struct run run = { .settings = settings,
			   .n = n,
			   .n_chunks = (m + STATISTICS_CHUNK - 1) / STATISTICS_CHUNK };
	struct replay_plan *plan = NULL;
	double *estimates = malloc(n * sizeof(*estimates));
	enum firn_status status = trials_plan(n, y, settings, &plan);

	if (status >= 0) {
		run.plan = plan;
		run.estimates = estimates;
		run.sums = calloc(run.n_chunks * n * 2, sizeof(*run.sums));
		run.tails = calloc(2 * n, sizeof(*run.tails));
		statistics_ranks(m, settings->coverage_probability, &run.q, &run.r);
		status = estimates == NULL || run.sums == NULL || run.tails == NULL ? FIRN_E_MEMORY
										    : FIRN_OK;
	}
	for (size_t i = 0; i < n && status >= 0; i++)
		estimates[i] = firn_value(y[i]);
	if (status >= 0 && all)
		keep_all(&run);
	else if (status >= 0)
		status = set_tails(&run);
	if (status >= 0)
		status = play_all(&run);
	if (status >= 0)
		status = results(&run, y, all, ret);
	run_free(&run);
	replay_plan_free(plan);
	free(estimates);
	return status;
}

/*
 * How many outputs at once keep their tails within the memory allowed: each further group draws and
 * solves all trials again. The ends of a tail are 10 standard deviations of a count apart, found
 * when at least a quarter of the trials have been played, so that it keeps 20 of those of all
 * trials; the first chunk, whose ends come from the pilot, 2700 at the most. Measured, that takes
 * 2.5 times as much with what tasks keep and arrays have to spare.
 */
static size_t group_size(const struct firn_monte_carlo_settings *s)
{
	const double p = s->coverage_probability, m = (double)s->trials;
	const double outside = s->shortest ? 1.0 - p : 0.5 * (1.0 - p);
	const double about_ends = 2.0 * (20.0 * sqrt(m * outside * (1.0 - outside)) + 2700.0);
	const double whole_tails = s->shortest ? 2.0 * (1.0 - p) * m : 0.0;
	const double bytes =
	    8.0 * (1.25 * whole_tails + 2.5 * about_ends) + 16.0 * (m / STATISTICS_CHUNK + 1.0);

	return bytes >= (double)GROUP_BYTES ? 1 : (size_t)((double)GROUP_BYTES / bytes);
}

enum firn_status firn_monte_carlo(size_t n, const struct firn_node *y,
				  const struct firn_monte_carlo_settings *settings,
				  struct firn_monte_carlo_result *ret)
{
	const size_t most = group_size(settings);
	struct replay_plan *plan = NULL;
	enum firn_status status = trials_plan(n, y, settings, &plan);

	replay_plan_free(plan);
	if (status >= 0)
		status = trials_beneath(n, y, ret);
	for (size_t i = 0; i < n && status >= 0; i += most)
		status = play_group(n - i < most ? n - i : most, y + i, settings, false, ret + i);
	return status < 0 ? status : FIRN_OK;
}
