/* What can be reached with every realisation at hand, what dominates, and what would help. */
#ifndef CALC_PLAN_H
#define CALC_PLAN_H

#include "app/lab/plan.h"

/*
 * calc_plan - the budget to expect of each realisation of a plan.
 *
 * The temperature that a visit finds: readings at both currents extrapolated to none, linearity of
 * the bridge, the resistor as far as it is stated, what the cell does at the sensor (conduction
 * along the stem, isotopes, age of the mantle, head), and the terms that are stated. All of it
 * stands on one tape; U is 2 u. What would help is found by computing it again with one thing
 * changed. Figures of practice stand beside, and nothing is tuned to them.
 *
 * A realisation in which the thermometer can't stand is told as such. NULL, with messages, when a
 * cell's file lacks something.
 */
lab_plan_result *calc_plan(const lab_plan *plan, base_messages *messages);

/* What the readings of one visit take: the first current, the second, the first again. */
double calc_plan_read_s(const lab_plan *plan);

/* Beside each outcome the largest U that result->achieved has of a visit to its cell. */
void calc_plan_compare(lab_plan_result *result);

#endif
