/* Results as text for people: the sentence first, then the numbers, at most 100 characters wide. */
#ifndef REPORT_TEXT_H
#define REPORT_TEXT_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"
#include "app/lab/model.h"

#include <glib.h>

/* Appends what came of a calibration, from R(TPW) to what has to be known of it. */
void report_calibration_text(const struct lab_calibration *calibration,
			     const struct lab_calibration_result *result, GString *to);

/* Appends values, expanded uncertainties and budgets of a measurement model. */
void report_evaluation_text(const struct lab_model *model, const struct lab_evaluation *evaluation,
			    GString *to);

#endif
