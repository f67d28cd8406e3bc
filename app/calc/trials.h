/* A measurement model by Monte Carlo trials, beside the linear law. */
#ifndef CALC_TRIALS_H
#define CALC_TRIALS_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/lab/model.h"

#include "firn/tape.h"

/* Adds what the trials of the model's outputs y give to their results; false with a message. */
bool trials_add(const struct lab_model *model, const struct firn_node *y, base_threads *threads,
		base_messages *messages, struct lab_evaluation *ret);

#endif
