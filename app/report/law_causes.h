/* Where the linear law fails: by how much, and why, in plain words and as JSON. */
#ifndef REPORT_LAW_CAUSES_H
#define REPORT_LAW_CAUSES_H

#include "app/lab/model.h"
#include "app/report/json_writer.h"

/* The interval of the trials, less the value, beside the expanded uncertainty of the linear law. */
struct report_law_failure {
	const char *name, *unit; /* unit NULL: none */
	double U, low, high, tolerance;
	double scale;         /* of the numbers above into the unit shown */
	const GArray *causes; /* struct lab_cause, or NULL: not sought */
};

/* Appends sentences: " Beside the interval of the trials, ... . Probable cause: ... ." */
void report_law_failure_text(const struct report_law_failure *failure, GString *to);

/* The member "causes", an array; empty where there are none. */
void report_law_causes_json(struct report_json *json, const GArray *causes);

#endif
