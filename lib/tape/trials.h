/* Trials of a plan: settings checked, values of a range, what is beneath an output. */
#ifndef LIB_TAPE_TRIALS_H
#define LIB_TAPE_TRIALS_H

#include "firn/monte_carlo.h"
#include "lib/tape/kernels.h"

enum { TRIALS_BLOCK = 512 };

enum firn_status trials_plan(size_t n, const struct firn_node *y,
			     const struct firn_monte_carlo_settings *settings,
			     struct replay_plan **ret);

/* ret_values[output][count] of trials first to first + count - 1, any numbers. */
void trials_values(const struct replay_plan *plan, struct replay_work *work, uint64_t first,
		   size_t count, double *ret_values);

/* What the distributions beneath n outputs take from their results: the flags of each. */
enum firn_status trials_beneath(size_t n, const struct firn_node *y,
				struct firn_monte_carlo_result *ret);

void trials_run(const struct firn_monte_carlo_settings *settings, size_t n, firn_work *work,
		void *context);

#endif
