/* The functions of the scale for the command line: one number in, one line of numbers out. */
#ifndef CALC_SCALE_H
#define CALC_SCALE_H

#include <glib.h>
#include <stdbool.h>

struct calc_scale_function; /* reference, inverse, approximate-inverse, difference */

/* NULL when there is none of this name. */
const struct calc_scale_function *calc_scale_function_named(const char *name);

struct calc_scale_answer {
	int n;
	double values[2];
};

/* false with a sentence in *ret_wrong (release with g_free) when x is out of range. */
bool calc_scale_answer(const struct calc_scale_function *function, bool from_zero, double x,
		       struct calc_scale_answer *ret, char **ret_wrong);

/* The defining fixed points as a table or as JSON. */
void calc_scale_points(bool json, GString *to);

#endif
