/* Trials of several results taken together: whole blocks of all of them, chunk after chunk. */
#ifndef LIB_TAPE_JOINT_H
#define LIB_TAPE_JOINT_H

#include "lib/tape/trials.h"

enum { JOINT_MOST_TASKS = 64 };

/* values[output][plan->block], of which `valid` trials count. False: no memory. */
typedef bool joint_take(void *context, size_t task, const double *values, size_t valid);
/* After the last block of a chunk; NULL where nothing is to be done. */
typedef void joint_end_chunk(void *context, size_t task, uint64_t chunk);

struct joint_pass {
	const struct replay_plan *plan;
	uint64_t trials, n_chunks;
	size_t n_tasks; /* each has chunks that follow one another */
	joint_take *take;
	joint_end_chunk *end_chunk;
	void *context;
};

/* What follows from the number of trials; take, end_chunk and context are the caller's. */
struct joint_pass joint_pass_of(const struct replay_plan *plan, uint64_t trials);

enum firn_status joint_play(const struct joint_pass *pass,
			    const struct firn_monte_carlo_settings *settings);

/* Means and covariance of the trials of a plan's outputs y: ret_mean[n], ret_cov[n][n]. */
enum firn_status joint_moments(const struct replay_plan *plan, const struct firn_node *y,
			       const struct firn_monte_carlo_settings *settings, double *ret_mean,
			       double *ret_cov);

#endif
