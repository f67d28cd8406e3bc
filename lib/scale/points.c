/* Fixed points: ITS-90, Tables 1 and 2, equations (11a), (11b). */
#include "firn/scale.h"

#include <math.h>

/* T90 = t0 + (p - p0)/slope, where that lies from low to high. */
struct vapour_point {
	double t0_K, p0_Pa, slope_Pa_per_K, low_K, high_K;
};

/* A decimal number as a double and what that leaves of it. */
struct twofold {
	double value, rest;
};

struct point_wr {
	struct twofold table, equation;
};

#include "scale_points.h"

const struct firn_fixed_point *firn_scale_point(enum firn_point point)
{
	return (unsigned)point < FIRN_POINTS ? &fixed_points[point] : NULL;
}

enum firn_status firn_scale_wr_at(enum firn_point point, bool from_equation, double *ret_wr,
				  double *ret_dwr_per_K)
{
	const struct firn_fixed_point *p = firn_scale_point(point);
	double wr;

	if (p == NULL || p->kind == FIRN_VAPOUR_PRESSURE_POINT)
		return FIRN_E_DOMAIN;
	const enum firn_status status = point <= FIRN_H2O
					    ? firn_scale_wr_below(p->t90_K, &wr, ret_dwr_per_K)
					    : firn_scale_wr_above(p->t90_K, &wr, ret_dwr_per_K);
	if (status >= 0)
		*ret_wr = from_equation ? points_wr[point].equation.value : p->wr;
	return status;
}

struct firn_node firn_wr_at(struct firn_tape *tape, enum firn_point point, bool from_equation)
{
	const struct firn_fixed_point *p = firn_scale_point(point);
	const struct twofold *wr;

	if (p == NULL || p->kind == FIRN_VAPOUR_PRESSURE_POINT)
		return firn_constant(tape, (double)NAN);
	wr = from_equation ? &points_wr[point].equation : &points_wr[point].table;
	return firn_constant_twofold(tape, wr->value, wr->rest);
}

enum firn_status firn_scale_vapour_t90(double p_Pa, double *ret_t90_K, double *ret_dt90_per_Pa)
{
	const double rounding_K = 1e-12; /* so that the ends belong to the range */

	for (size_t i = 0; i < sizeof(vapour_points) / sizeof(vapour_points[0]); i++) {
		const struct vapour_point *v = &vapour_points[i];
		const double t90_K = v->t0_K + (p_Pa - v->p0_Pa) / v->slope_Pa_per_K;

		if (!(t90_K >= v->low_K - rounding_K && t90_K <= v->high_K + rounding_K))
			continue;
		*ret_t90_K = t90_K;
		*ret_dt90_per_Pa = 1.0 / v->slope_Pa_per_K;
		return FIRN_OK;
	}
	return FIRN_E_DOMAIN;
}
