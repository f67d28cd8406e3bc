/* Whether a body can be one. */
#ifndef LIB_HEAT_BODY_H
#define LIB_HEAT_BODY_H

#include "firn/conduction.h"

struct body_extent {
	double r0_m, r1_m, z0_m, z1_m;
};

/* Every number in its range; the rectangle around all regions. */
bool body_is_valid(const struct firn_body *body, struct body_extent *ret);

/* Limits along the side of a boundary: all of it where it names none. */
void body_boundary_span(const struct firn_boundary *boundary, const struct body_extent *extent,
			double *ret_from_m, double *ret_to_m);

#endif
