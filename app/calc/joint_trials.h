/* What the trials of a measurement model give beyond single intervals. */
#ifndef CALC_JOINT_TRIALS_H
#define CALC_JOINT_TRIALS_H

#include "app/lab/model.h"

#include "firn/monte_carlo.h"

/* A histogram of every output y. */
enum firn_status joint_trials_histograms(const struct firn_node *y,
					 const struct firn_monte_carlo_settings *settings,
					 struct lab_evaluation *e);

/* Of several outputs: covariance by both methods, correlations of the trials, joint regions. */
enum firn_status joint_trials_add(const struct firn_node *y,
				  const struct firn_monte_carlo_settings *settings,
				  struct lab_evaluation *e);

/* Adds a sentence to the reservations. */
void trials_reserve(struct lab_evaluation *e, const char *format, ...) G_GNUC_PRINTF(2, 3);

#endif
