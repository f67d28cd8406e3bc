/* A reduction by Monte Carlo trials, beside the linear law. */
#ifndef CALC_REDUCE_TRIALS_H
#define CALC_REDUCE_TRIALS_H

#include "app/base/threads.h"
#include "app/calc/reduction.h"

struct reduce_trials {
	int64_t n; /* of trials */
	base_threads *threads;
};

/* Coefficients and T90 at every table temperature by trials (reduction.result->trials); a
   reduction_look whose context is a struct reduce_trials. */
bool reduction_try(struct reduction *r, void *context);

#endif
