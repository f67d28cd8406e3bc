/*
 * Freezing and melting curves: where the plateau starts and ends, how much of the sample is solid
 * when, and where its liquidus point lies. Plain numbers.
 *
 * Temperatures are differences from any one value, in K. Statuses: FIRN_OK; FIRN_E_DOMAIN: too few
 * readings, times that fall, a number that is not finite or out of range; FIRN_E_SINGULAR: there is
 * no such thing in the readings; FIRN_E_MEMORY. Results are untouched when negative.
 *
 * The width or slope of a curve gives neither a correction nor an uncertainty by itself: some
 * impurities shift a point without widening it (CCT Guide sec. 2.1 (2018), 1, 7, 8.1).
 */
#ifndef FIRN_PLATEAU_H
#define FIRN_PLATEAU_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

#define FIRN_PLATEAU_FEWEST 20 /* readings; the limits are ours */
#define FIRN_PLATEAU_MOST   1000000

struct firn_curve {
	size_t n;
	const double *t_s;  /* never falling */
	const double *dt_K; /* within +/-1000 */
};

/*
 * firn_freeze - the marks of a freeze.
 *
 * The curve is smoothed by a running median over window_s (at least 3 readings). Recalescence is
 * the largest rise from a minimum to a later maximum, if it is above least_rise_K (above 0); start
 * is that maximum. Without one the record begins in the plateau, and its start is the maximum.
 * Source: CCT Guide sec. 2.4 (2018), 5.5 (start, three ways to see the end), sec. 2.1 (2018), 3.4
 * (the maximum as liquidus point); median, window and limits are ours.
 */
struct firn_freeze {
	bool is_supercooled;
	double t_nucleation_s; /* of the minimum; NaN without recalescence */
	double supercooling_K; /* start less minimum, as the thermometer in the well sees it: at
				  least so much; NaN without */
	double t_start_s, peak_K;
	double u_peak_K, dof_peak; /* of the readings about the start, and of choosing
				      the highest place; NaN: too few readings */
	double t_end_inflection_s; /* steepest fall after the start; NaN: the record ends before */
	double t_end_scatter_s;    /* spread about a line over window_s first ten times that of the
				      start of the plateau; NaN: never */
};
enum firn_status firn_freeze_marks(const struct firn_curve *curve, double window_s,
				   double least_rise_K, struct firn_freeze *ret);

/*
 * firn_melt_marks - of a melt under steady heating: the flattest place, and the steepest rises
 * before and after it, which bound the plateau. The plateau is to be at least half of the record:
 * FIRN_E_SINGULAR without a rise on both sides that is 20 times as steep as the median of the
 * record. The rule is ours.
 */
struct firn_melt {
	double t_flattest_s, flattest_K;
	double slope_K_per_s; /* there */
	double t_start_s, t_end_s;
};
enum firn_status firn_melt_marks(const struct firn_curve *curve, double window_s,
				 struct firn_melt *ret);

/*
 * firn_step_time - when a value stepped: the split of the readings from from_s on into two levels
 * with the largest t statistic, for the power of a furnace at the end of a freeze.
 *
 * *ret_step: later level less earlier one; FIRN_E_SINGULAR where the step is below four standard
 * uncertainties of it (with the scatter about both levels).
 */
enum firn_status firn_step_time(size_t n, const double *t_s, const double *x, double from_s,
				double *ret_t_s, double *ret_step);

/*
 * firn_fraction_by_time - part transformed at t_s under steady heat flow: at_start + (1 - at_start)
 * (t - start)/(end - start), held to 0 to 1.
 *
 * at_start: what nucleation froze at once (cp dT/L; firn/heat.h). Source: CCT Guide sec. 2.4
 * (2018), 5.5.
 */
enum firn_status firn_fraction_by_time(double t_s, double start_s, double end_s, double at_start,
				       double *ret_fraction);

/*
 * firn_fraction_by_heat - part transformed at each time, from the heat flow into (melt) or out of
 * (freeze) the sample: its integral by trapezoids from start_s on over heat_J, all that the sample
 * takes; held to 0 to 1.
 */
enum firn_status firn_fraction_by_heat(size_t n, const double *t_s, const double *flow_W,
				       double start_s, double heat_J, double *ret_fraction);

enum firn_liquidus_form {
	FIRN_LIQUIDUS_LINEAR,     /* T = liquidus + slope (F - 1) */
	FIRN_LIQUIDUS_RECIPROCAL, /* T = liquidus + slope (1/F - 1) */
};

struct firn_liquidus {
	double dt_K, u_K;          /* at F = 1: all liquid */
	double slope_K, u_slope_K; /* of the form; a freeze that follows Raoult: 1/F, -c/A */
	double s_K, dof;           /* scatter about the fit; n - 2 */
	double r1;                 /* lag-1 autocorrelation of what is left: a wrong form shows */
};

/*
 * firn_liquidus_fit - T against the liquid fraction F (0.01 to 1), by least squares, carried on to
 * F = 1. At least 5 points.
 *
 * u grows with the autocorrelation of what is left (as firn_series_mean does for a mean). The
 * form is chosen by residuals and repeatability, and the fit's u is a line of its own in the budget
 * (CCT Guide sec. 2.1 (2018), 3.4). The slope in 1/F validates an estimate of impurities and is
 * none: with distribution coefficients between 0.1 and 1 it falls badly short (2.2, 3.3, 7).
 */
enum firn_status firn_liquidus_fit(size_t n, const double *F, const double *dt_K,
				   enum firn_liquidus_form form, struct firn_liquidus *ret);

#endif
