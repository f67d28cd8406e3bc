/* Covariance of the trials of several results: JCGM 102:2011, 7.6 (estimate and covariance matrix).
 */
#include "lib/tape/trials.h"

#include <stdlib.h>

enum { MOST_TASKS = 64 };

struct joint {
	const struct replay_plan *plan;
	uint64_t trials, n_chunks;
	size_t n, n_pairs, n_tasks;
	const double *estimates;
	double *totals; /* [chunk][n + n_pairs]: of every result, then of every pair */
	enum firn_status *statuses;
};

struct joint_task {
	const struct joint *joint;
	double *values; /* [output][block] */
	struct lane_sums *sums;
	double (*products)[STATISTICS_LANES];
	struct replay_work work;
};

static void take_joint(void *context, size_t output, const double *y)
{
	const struct joint_task *task = context;
	const size_t block = task->joint->plan->block;

	memcpy(task->values + output * block, y, block * sizeof(*y));
}

static void add_block(const struct joint_task *task, size_t valid)
{
	const struct joint *joint = task->joint;
	const struct kernels *kernels = joint->plan->kernels;
	const size_t block = joint->plan->block;
	size_t pair = 0;

	for (size_t i = 0; i < joint->n; i++) {
		const double *x = task->values + i * block;

		kernels->sum(x, joint->estimates[i], valid, &task->sums[i]);
		for (size_t j = 0; j <= i; j++)
			kernels->products(x, task->values + j * block, joint->estimates[i],
					  joint->estimates[j], valid, task->products[pair++]);
	}
}

static void play_joint_chunk(struct joint_task *task, uint64_t chunk)
{
	const struct joint *joint = task->joint;
	const size_t block = joint->plan->block;
	double *totals = joint->totals + chunk * (joint->n + joint->n_pairs);

	memset(task->sums, 0, joint->n * sizeof(*task->sums));
	memset(task->products, 0, joint->n_pairs * sizeof(*task->products));
	for (size_t i = 0; i < STATISTICS_CHUNK / block; i++) {
		const uint64_t first = chunk * STATISTICS_CHUNK + i * block;

		if (first >= joint->trials)
			break;
		joint->plan->kernels->play(joint->plan, &task->work, first, take_joint, task);
		add_block(task,
			  joint->trials - first < block ? (size_t)(joint->trials - first) : block);
	}
	for (size_t i = 0; i < joint->n; i++)
		totals[i] = statistics_total(task->sums[i].first);
	for (size_t i = 0; i < joint->n_pairs; i++)
		totals[joint->n + i] = statistics_total(task->products[i]);
}

static void play_joint_task(void *context, size_t i)
{
	const struct joint *joint = context;
	struct joint_task task = { .joint = joint };
	const bool has_work = replay_work_new(joint->plan, &task.work);

	task.values = malloc(joint->n * joint->plan->block * sizeof(*task.values));
	task.sums = malloc(joint->n * sizeof(*task.sums));
	task.products = malloc(joint->n_pairs * sizeof(*task.products));
	if (has_work && task.values != NULL && task.sums != NULL && task.products != NULL)
		for (uint64_t chunk = joint->n_chunks * i / joint->n_tasks;
		     chunk < joint->n_chunks * (i + 1) / joint->n_tasks; chunk++)
			play_joint_chunk(&task, chunk);
	else
		joint->statuses[i] = FIRN_E_MEMORY;
	free(task.values);
	free(task.sums);
	free(task.products);
	replay_work_free(&task.work);
}

/* Chunk after chunk, into the totals of the first. */
static void finish(const struct joint *joint, double *ret_cov)
{
	const size_t n = joint->n, size = n + joint->n_pairs;
	const double m = (double)joint->trials;
	double *total = joint->totals;
	size_t pair = n;

	for (uint64_t chunk = 1; chunk < joint->n_chunks; chunk++)
		for (size_t i = 0; i < size; i++)
			total[i] += joint->totals[chunk * size + i];
	for (size_t i = 0; i < n; i++)
		for (size_t j = 0; j <= i; j++)
			ret_cov[i * n + j] = ret_cov[j * n + i] =
			    (total[pair++] - total[i] * total[j] / m) / (m - 1.0);
}

enum firn_status firn_monte_carlo_covariance(size_t n, const struct firn_node *y,
					     const struct firn_monte_carlo_settings *settings,
					     double *ret_cov)
{
	struct replay_plan *plan = NULL;
	enum firn_status status = trials_plan(n, y, settings, &plan);
	double *estimates, *totals;
	enum firn_status statuses[MOST_TASKS] = { FIRN_OK };

	if (status < 0)
		return status;
	struct joint joint = { .plan = plan,
			       .trials = settings->trials,
			       .n_chunks =
				   (settings->trials + STATISTICS_CHUNK - 1) / STATISTICS_CHUNK,
			       .n = n,
			       .n_pairs = n * (n + 1) / 2,
			       .statuses = statuses };
	joint.n_tasks = joint.n_chunks < MOST_TASKS ? (size_t)joint.n_chunks : MOST_TASKS;
	estimates = malloc(n * sizeof(*estimates));
	totals = calloc(joint.n_chunks * (n + joint.n_pairs), sizeof(*totals));
	if (estimates != NULL && totals != NULL) {
		for (size_t i = 0; i < n; i++)
			estimates[i] = firn_value(y[i]);
		joint.estimates = estimates;
		joint.totals = totals;
		trials_run(settings, joint.n_tasks, play_joint_task, &joint);
		for (size_t i = 0; i < joint.n_tasks; i++)
			status = status < 0 ? status : statuses[i];
		if (status >= 0)
			finish(&joint, ret_cov);
	} else {
		status = FIRN_E_MEMORY;
	}
	free(estimates);
	free(totals);
	replay_plan_free(plan);
	return status;
}
