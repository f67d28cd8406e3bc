/*
 * Named limits: criteria that decide whether work may go on, each with its source. The program's
 * own stand in data/limits.csv; a laboratory states others in records of the kind "limits", by the
 * same names and in the same units.
 */
#ifndef LAB_CRITERIA_H
#define LAB_CRITERIA_H

#include "app/lab/calibration.h"

#include <jansson.h>

struct lab_criterion {
	const char *name;
	double value; /* in the unit, never negative; NaN: nothing is asked */
	const char *unit, *source;
	char mark; /* R, P, A, M, C: see lab_criterion_mark; 0: the laboratory's own */
	const char *what;
};

/* In the order of the table; ends with a name of NULL. */
extern const struct lab_criterion lab_criteria[];
const struct lab_criterion *lab_criterion_named(const char *name); /* NULL: there is none */

/* How far R(TPW) of such a thermometer may move through a calibration; NULL: its kind isn't given.
 */
const struct lab_criterion *lab_criterion_of_stability(enum lab_sensor sensor);

/* How well the source of a figure is known, in words. */
const char *lab_criterion_mark(char mark);

/*
 * lab_criterion_fault - what is wrong with one of the limits that a laboratory states, as a
 * sentence behind its name; NULL: nothing. Release with g_free.
 */
char *lab_criterion_fault(const json_t *limit);

#endif
