/* The functions that are compiled once for each instruction set. */
#ifndef LIB_TAPE_KERNELS_H
#define LIB_TAPE_KERNELS_H

#include "lib/num/level.h"
#include "lib/tape/replay.h"
#include "lib/tape/statistics.h"

/* Trials first to first + plan->block - 1; `first` is a multiple of NUM_RANDOM_GROUP. */
typedef void kernel_play(const struct replay_plan *plan, struct replay_work *work, uint64_t first,
			 replay_take *take, void *context);

/* Adds n trials of one output to its sums; keeps also in its tails what belongs there, and is false
   without memory. */
typedef void kernel_sum(const double *y, double estimate, size_t n, struct lane_sums *sums);
typedef bool kernel_gather(const double *y, double estimate, size_t n, struct lane_sums *sums,
			   struct tail tails[2]);
typedef void kernel_products(const double *x, const double *y, double estimate_x, double estimate_y,
			     size_t n, double lanes[STATISTICS_LANES]);

struct kernels {
	kernel_play *play;
	kernel_sum *sum;
	kernel_gather *gather;
	kernel_products *products;
};

/* NULL: the processor lacks it. */
const struct kernels *kernels_of(enum kernel_level level);

/* Used within one level only. */
void LEVEL(draw_block)(const struct replay_plan *plan, const struct draw *draw,
		       struct replay_work *work, uint64_t first);
void LEVEL(solve_block)(const struct replay_plan *plan, const struct step *step,
			struct replay_work *work);

#define KERNELS_DECLARED(level)                                                                    \
	kernel_play play_##level;                                                                  \
	kernel_sum statistics_sum_##level;                                                         \
	kernel_gather statistics_gather_##level;                                                   \
	kernel_products statistics_products_##level;
KERNELS_DECLARED(plain)
KERNELS_DECLARED(v3)
KERNELS_DECLARED(v4)

#endif
