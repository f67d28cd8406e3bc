/* Whether a temperature lies in a range, in its margin, or outside. */
#ifndef LIB_SCALE_RANGE_H
#define LIB_SCALE_RANGE_H

#include "firn/scale.h"

/* The ends of the scale for platinum resistance thermometers: e-H2 and Ag, ITS-90, Table 1. */
#define SCALE_LOW_K  13.8033
#define SCALE_HIGH_K 1234.93

/* `rounding_K` beyond an end still counts as within; NaN is outside. */
static inline enum firn_status scale_range(double t90_K, double low_K, double high_K,
					   double rounding_K)
{
	if (!(t90_K >= low_K - FIRN_SCALE_MARGIN_K && t90_K <= high_K + FIRN_SCALE_MARGIN_K))
		return FIRN_E_DOMAIN;
	if (t90_K < low_K - rounding_K || t90_K > high_K + rounding_K)
		return FIRN_WARN_EXTRAPOLATED;
	return FIRN_OK;
}

#endif
