/* The immersion profile of a thermometer in a cell. */
#ifndef CALC_CELL_PROFILE_H
#define CALC_CELL_PROFILE_H

#include "app/lab/cell_profile.h"

/*
 * calc_cell_profile - residuals about the head line, the conduction that is left at full depth, and
 * the term that a budget takes. NULL, with messages, when something that it needs is not stated.
 *
 * Left out of the file, the zone is 50 mm, and for water the limit is 20 uK (common practice, no
 * source). Accepted: the readings reach the top of the zone, and all up to there follow the line.
 *
 * The term is the larger of two: the root mean square of the residuals in the zone (CCT Guide ch. 5
 * (2018), equation (28)), and the error that was found, taken as a bound on both sides, with its u.
 */
lab_cell_profile *calc_cell_profile(const struct lab_cell_study *study, base_messages *messages);

#endif
