/*
 * The immersion profile: does a thermometer in a cell follow the temperature of the interface,
 * which falls or rises with the head of liquid, or what its stem carries?
 *
 * Heights are above the deepest position; temperatures at zero current, in K as differences from
 * any one value; K_per_m is dT/dl of the point (firn_head), so an undisturbed profile is T(h) =
 * T(0) - K_per_m h. Statuses as in firn/correction.h, and as said.
 */
#ifndef FIRN_PROFILE_H
#define FIRN_PROFILE_H

#include "firn/tape.h"

#include <stdbool.h>

#define FIRN_PROFILE_MOST 100 /* points; the limit is ours */

struct firn_profile_point {
	double height_m;       /* 0 for the deepest; each point higher than the one before it */
	struct firn_node dt_K; /* zero-current, its u in it */
	double u_K;            /* what of u this point does not share with the others; above 0 */
};

struct firn_profile {
	size_t n; /* 2 to FIRN_PROFILE_MOST */
	const struct firn_profile_point *points;
	struct firn_node K_per_m; /* within +/-0.1 */
};

/* How one point stands to the line through the deepest. */
enum firn_profile_verdict {
	FIRN_PROFILE_FOLLOWS,   /* within the limit */
	FIRN_PROFILE_UNDECIDED, /* beyond the limit, but not by more than 2 u */
	FIRN_PROFILE_DEPARTS,   /* beyond it by more */
};

struct firn_profile_line {
	struct firn_node *residual_K;       /* n: T(h) - T(0) + K_per_m h; the first is 0 */
	enum firn_profile_verdict *verdict; /* n */
	double follows_m;                   /* height up to which every point follows */
	double u_K;    /* root of sum residual^2/(n - 1) over the points up to zone_m; NaN: fewer
			  than two there */
	size_t n_zone; /* points up to zone_m */
};

/*
 * firn_profile_line - residuals about the head line, and how far up the profile follows it.
 *
 * Given:
 *   zone_m    lowest part that has to follow: CCT Guide sec. 2.4 (2018), 5.3 asks for 0.03 m, ch.
 *             5 (2018), 5.2.1 for 0.03 m to 0.05 m; 0 to 1
 *   limit_K   within which a point follows, above 0, to 0.1. The Guide has no number; for water 10
 *             uK to 20 uK over the lowest 0.05 m is called good (common practice, no source)
 *   ret       its two arrays are the caller's
 *
 * u_K is the estimate of immersion and stray heat for a budget: CCT Guide ch. 5, equation (28).
 * A profile is not the undisturbed temperature of the well: moving the thermometer changes it.
 */
enum firn_status firn_profile_line(const struct firn_profile *profile, double zone_m,
				   double limit_K, struct firn_profile_line *ret);

struct firn_profile_fit {
	struct firn_node true_K;   /* temperature at the deepest point without the conduction */
	struct firn_node error_K;  /* what conduction adds there: reading minus true_K */
	struct firn_node length_m; /* D, over which it grows by e upwards */
	double chi2, dof;          /* of the residuals against u_K of the points */
};

/*
 * firn_profile_fit - conduction that decays exponentially with depth: T(h) = true - K_per_m h +
 * error exp(h/D), by least squares with the weights 1/u_K^2.
 *
 * Given:
 *   length_m   what is known of D beforehand (value and u above 0), say from the model of the
 *              thermometer or from profiles with other errors: it takes part as one observation.
 *              Index 0: D is fitted from the profile alone
 * Points: 4 and more; 3 with D known.
 *
 * Status: FIRN_E_SINGULAR when the profile does not determine D: it follows its line within the
 * noise, and then nothing is found but a bound (firn_profile_two_points with a known D).
 *
 * Notes: 1) The result is recorded as a linear map at the solution, so its u is that of the linear
 * law; with an error of less than about 3 u the distribution of D is lopsided.
 * 2) The first point may not be one where the element is only partly immersed: the form holds with
 * the whole element below the liquid (White & Jongenelen 2010, Gaiser & Fellmuth 2013, in CCT Guide
 * ch. 5, 5.2.1). Source of the form: Nicholas & White, Traceable Temperatures (from memory).
 */
enum firn_status firn_profile_fit(const struct firn_profile *profile, struct firn_node length_m,
				  struct firn_profile_fit *ret);

/*
 * firn_profile_two_points - error left at full depth, from one withdrawal: change/(exp(lift/D) -
 * 1).
 *
 * Given: change_K, reading withdrawn by lift_m less the reading at full depth, with what the head
 * makes of it (-K_per_m lift_m) taken off, within +/-10; lift_m 1e-3 to 0.5; D 1e-3 to 0.2.
 */
enum firn_status firn_profile_two_points(struct firn_node change_K, struct firn_node lift_m,
					 struct firn_node length_m, struct firn_node *ret_error_K);

/*
 * firn_immersion_error - the exponential law: difference_K K exp(-depth/D), K up to 1; and its
 * inverse, the D at which the error is e at a depth.
 *
 * difference: surroundings less medium. depth 0 to 2 m, beyond the sensor's length; D 1e-4 to 0.5.
 * Rule of thumb behind it: 5 diameters 1 %, 10 diameters 0.01 % (from memory), which is D = 1.09
 * diameters. Inverse: FIRN_E_DOMAIN where |e| is 0 or not below |K difference|.
 */
enum firn_status firn_immersion_error(struct firn_node difference_K, double K,
				      struct firn_node depth_m, struct firn_node length_m,
				      struct firn_node *ret_error_K);
enum firn_status firn_immersion_length(double difference_K, double K, double depth_m,
				       double error_K, double *ret_length_m);

#endif
