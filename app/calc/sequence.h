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

/* From where to where; kelvin. */
struct calc_span {
	double low_K, high_K;
};
struct calc_span calc_subrange_span(enum lab_subrange subrange);

/* Temperature of a fixed point; NaN where it follows from the pressure. */
double calc_point_K(enum lab_point point);

/* How far upwards from a temperature these reach without a gap, ends within CALC_NEAR_K. Where none
   holds it: from_K itself. */
#define CALC_NEAR_K 1e-4 /* ends of a range are written in degrees Celsius, to 0.1 mK */
double calc_reach_K(const struct calc_span *spans, size_t n, double from_K);

#endif
