#include "lib/tape/joint.h"

#include <stdlib.h>

struct joint_run {
	const struct joint_pass *pass;
	enum firn_status statuses[JOINT_MOST_TASKS];
};

struct joint_task {
	double *values;
	size_t block;
	struct replay_work work;
};

struct joint_pass joint_pass_of(const struct replay_plan *plan, uint64_t trials)
{
	const uint64_t n_chunks = (trials + STATISTICS_CHUNK - 1) / STATISTICS_CHUNK;

	return (struct joint_pass){ .plan = plan,
				    .trials = trials,
				    .n_chunks = n_chunks,
				    .n_tasks = n_chunks < JOINT_MOST_TASKS ? (size_t)n_chunks
									   : JOINT_MOST_TASKS };
}

static void take_values(void *context, size_t output, const double *y)
{
	const struct joint_task *task = context;

	memcpy(task->values + output * task->block, y, task->block * sizeof(*y));
}

static bool play_joint_chunk(const struct joint_pass *pass, size_t i, struct joint_task *task,
			     uint64_t chunk)
{
	for (size_t k = 0; k < STATISTICS_CHUNK / task->block; k++) {
		const uint64_t first = chunk * STATISTICS_CHUNK + k * task->block;
		const uint64_t left = first < pass->trials ? pass->trials - first : 0;

		if (left == 0)
			break;
		pass->plan->kernels->play(pass->plan, &task->work, first, take_values, task);
		if (!pass->take(pass->context, i, task->values,
				left < task->block ? (size_t)left : task->block))
			return false;
	}
	if (pass->end_chunk != NULL)
		pass->end_chunk(pass->context, i, chunk);
	return true;
}

static void play_joint_task(void *context, size_t i)
{
	struct joint_run *run = context;
	const struct joint_pass *pass = run->pass;
	struct joint_task task = { .block = pass->plan->block };
	bool good = replay_work_new(pass->plan, &task.work);

	task.values = malloc(pass->plan->n_outputs * task.block * sizeof(*task.values));
	good &= task.values != NULL;
	for (uint64_t chunk = pass->n_chunks * i / pass->n_tasks;
	     good && chunk < pass->n_chunks * (i + 1) / pass->n_tasks; chunk++)
		good = play_joint_chunk(pass, i, &task, chunk);
	if (!good)
		run->statuses[i] = FIRN_E_MEMORY;
	free(task.values);
	replay_work_free(&task.work);
}

enum firn_status joint_play(const struct joint_pass *pass,
			    const struct firn_monte_carlo_settings *settings)
{
	struct joint_run run = { .pass = pass };

	trials_run(settings, pass->n_tasks, play_joint_task, &run);
	for (size_t i = 0; i < pass->n_tasks; i++)
		if (run.statuses[i] < 0)
			return run.statuses[i];
	return FIRN_OK;
}
