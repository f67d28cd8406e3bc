/*
 * What a simulated calibration draws. Each number comes from a stream named after it, and from the
 * number of the calibration: so it depends on nothing else that is drawn, and asked twice for one
 * name it is the same number.
 */
#ifndef SIMULATE_DRAWS_H
#define SIMULATE_DRAWS_H

#include "lib/num/random.h"

#include <glib.h>

struct simulate_draws {
	uint64_t seed;
	uint64_t calibration; /* its number, from 0 */
};

/* Standard normal. */
double simulate_normal(const struct simulate_draws *draws, const char *name, ...)
    G_GNUC_PRINTF(2, 3);

/* Uniform from -1 to 1. */
double simulate_uniform(const struct simulate_draws *draws, const char *name, ...)
    G_GNUC_PRINTF(2, 3);

/* sqrt(chi-squared/dof): what s is, over sigma, when it was found with that many degrees of
   freedom. 1 for infinitely many; dof from 2 on. */
double simulate_spread(const struct simulate_draws *draws, double dof, const char *name, ...)
    G_GNUC_PRINTF(3, 4);

/* A stream to go on drawing standard normal numbers from. */
struct num_lane simulate_lane(const struct simulate_draws *draws, const char *name, ...)
    G_GNUC_PRINTF(2, 3);
double simulate_next_normal(struct num_lane *lane);

#endif
