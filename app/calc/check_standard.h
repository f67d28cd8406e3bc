/* The history of check thermometers at one fixed point. */
#ifndef CALC_CHECK_STANDARD_H
#define CALC_CHECK_STANDARD_H

#include "app/lab/calibration.h"

/* R(TPW) in ohm, or W at another point, of a check thermometer on one occasion. */
struct calc_check_value {
	const char *standard; /* the thermometer */
	const char
	    *occasion; /* one mantle or freeze; values of one occasion share its realisation */
	double value;
	bool counts; /* false: set aside; it is judged, and takes no part in mean and s */

	/* what calc_check_history finds; NaN and false where nothing of its thermometer counts */
	double mean, deviation_K; /* of its thermometer; from that mean */
	bool outside;             /* of the mean plus and minus k s */
};

struct calc_check_history {
	int n, n_standards, n_occasions; /* values that count, and of how many */
	double s_K; /* pooled over the thermometers, about the mean of each; NaN with dof 0 */
	double dof;
	double limit_K; /* k s */
};

/*
 * calc_check_history - mean of each thermometer, their pooled standard deviation, and which values
 * lie outside mean plus and minus k s (Shewhart; include/firn/control.h).
 *
 * Given: values (struct calc_check_value), of which the last fields are filled in; the point; k
 * above 0. s is the reproducibility of the point with these thermometers, in kelvin by the slope of
 * the reference function. Its degrees of freedom are the sum of n - 1 over the thermometers, but
 * not more than the occasions less one: thermometers that were measured in one mantle saw one
 * realisation, and don't count twice (the bound is ours). Returned: false when a value is not
 * finite or not above 0.
 */
bool calc_check_history(enum lab_point point, double k, GArray *values,
			struct calc_check_history *ret);

/* Kelvin in one unit of such a value near this one; NaN for the vapour pressure point. */
double calc_check_kelvin(enum lab_point point, double value);

/* The temperature that a change of R(TPW) amounts to. */
double calc_tpw_change_K(double from_ohm, double to_ohm);

#endif
