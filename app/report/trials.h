/* What trials of a reduction gave beside the linear law. Nothing where none were made. */
#ifndef REPORT_TRIALS_H
#define REPORT_TRIALS_H

#include "app/lab/calibration_result.h"
#include "app/report/json_writer.h"

/* The member "monte_carlo". */
void report_trials_json(struct report_json *json, const struct lab_calibration_result *result);

/* A section: how far both methods differ at most, and where. */
void report_trials_text(const struct lab_calibration_result *result, GString *to);

#endif
