/* In which order the fixed points of a calibration are visited. */
#ifndef CALC_SEQUENCE_H
#define CALC_SEQUENCE_H

#include "app/lab/calibration.h"

struct calc_step {
	enum lab_point point;
	const char *advice; /* before the visit, for people; NULL: none. Static text */
};

/*
 * calc_sequence - the points that these subranges need, from the highest down, R(TPW) first and
 * after each of them.
 *
 * check: indium too, as a redundant point, where a subrange passes it. Returned: struct calc_step.
 * Source: CCT Guide to the Realization of the ITS-90, ch. 5 (2018), 4.4.1.
 */
GArray *calc_sequence(const bool subranges[LAB_SUBRANGES], bool check);

#endif
