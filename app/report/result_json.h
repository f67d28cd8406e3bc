/*
 * Results for programs. Numbers have as many digits as read back to the same double; what was not
 * given, or is infinite (degrees of freedom), is null. Each writes one JSON text at the end of
 * `to`.
 */
#ifndef REPORT_RESULT_JSON_H
#define REPORT_RESULT_JSON_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"
#include "app/lab/model.h"

#include <glib.h>

#define REPORT_CALIBRATION_SCHEMA 1 /* grows when a reader of the last one would go wrong */

/* "kind": "fixed-point calibration result". */
void report_calibration_json(const struct lab_calibration *calibration,
			     const struct lab_calibration_result *result, GString *to);

/* What comes of a measurement model: outputs, their budgets, and correlations of several. */
void report_evaluation_json(const struct lab_model *model, const struct lab_evaluation *evaluation,
			    GString *to);

#endif
