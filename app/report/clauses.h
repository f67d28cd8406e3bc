/* What ISO/IEC 17025:2017, 7.8 wants on a calibration certificate, and the job must give. */
#ifndef REPORT_CLAUSES_H
#define REPORT_CLAUSES_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"

struct report_clause {
	const char *clause, *what, *path; /* "7.8.2.1 f", "the method", "report.method" */
};

/* The clauses that a release leaves open: struct report_clause, in order of the clauses. */
GArray *report_clauses_open(const struct lab_calibration *calibration,
			    const struct lab_calibration_result *result);

/* Adds an error for each clause that a release leaves open; true when there is none. */
bool report_clauses_met(const struct lab_calibration *calibration,
			const struct lab_calibration_result *result, base_messages *messages);

#endif
