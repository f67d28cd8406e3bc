/* Why the linear law fails for a result, as plain numbers and names. */
#ifndef CALC_LAW_CAUSES_H
#define CALC_LAW_CAUSES_H

#include "app/lab/model.h"

#include "firn/tape.h"

/*
 * The most likely causes (struct lab_cause), largest first: an empty array where none stands out.
 * p, k: coverage probability of the trials, factor of the linear law; what moves less than a
 * quarter of the tolerance (ours) is left out. Names are kept in `text`.
 */
GArray *law_causes_find(struct firn_node y, double p, double k, double tolerance,
			GStringChunk *text);

#endif
