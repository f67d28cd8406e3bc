/* What ISO/IEC 17025:2017, 7.8 wants on a calibration certificate, and the job must give. */
#ifndef REPORT_CLAUSES_H
#define REPORT_CLAUSES_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"

/* Adds an error for each clause that a release leaves open; true when there is none. */
bool report_clauses_met(const struct lab_calibration *calibration,
			const struct lab_calibration_result *result, base_messages *messages);

#endif
