/*
 * What a well does to a thermometer, in closed forms and on a tape: conduction along the stem,
 * self-heating, time to settle. Quick answers with uncertainty, and the limits of the grid
 * (firn/conduction.h).
 *
 * Two conductors stand within one another: what runs inside the sheath (wires, former) and the
 * sheath. A gap lies between them, and layers between the sheath and a medium of one temperature.
 * The wires of a thermometer in glass can thus bring heat to the element although the sheath has
 * long been at the temperature of the well.
 *
 * Statuses: FIRN_OK; FIRN_E_DOMAIN: a number is not finite or out of the range stated; the tape's
 * own. Results are untouched when the status is negative. Left out: radiation along the sheath,
 * convection in the well, heat that the element's own section takes up otherwise than the wires.
 */
#ifndef FIRN_STEM_H
#define FIRN_STEM_H

#include "firn/tape.h"

/* ---- Layers: resistance to radial heat flow for one metre of length, K m/W ---- */

/* Through the wall of a tube, ln(r_out/r_in)/(2 pi k). 0 < r_in < r_out, k above 0. */
enum firn_status firn_shell_of(struct firn_node r_in_m, struct firn_node r_out_m,
			       struct firn_node k_W_per_mK, struct firn_node *ret_Km_per_W);

/* Through a film on a cylinder, 1/(2 pi r h). */
enum firn_status firn_film_of(struct firn_node r_m, struct firn_node h_W_per_m2K,
			      struct firn_node *ret_Km_per_W);

/* ---- Along the stem, steady ---- */

struct firn_stem {
	struct firn_node inside_Wm_per_K;  /* sum of k A of what runs within the sheath, above 0 */
	struct firn_node sheath_Wm_per_K;  /* k A of the sheath, above 0 */
	struct firn_node gap_Km_per_W;     /* from the one to the other, above 0 */
	struct firn_node outward_Km_per_W; /* from the sheath to the medium, above 0 */
};

/* Where the element is: depth of the tip under the place at which both conductors have the
   temperature of the surroundings; its lower end above the tip; its length. */
struct firn_place {
	struct firn_node depth_m, from_tip_m, length_m;
};

struct firn_stem_answer {
	struct firn_node slow_m, fast_m; /* lengths over which the two parts fall by e */
	struct firn_node error;          /* element minus medium, of (surroundings - medium) */
	struct firn_node flow_W_per_K;   /* of heat into the medium, for that difference */
};

/*
 * firn_stem_error - the steady temperature of the element, as part of the difference between
 * surroundings and medium.
 *
 * Two coupled fins with tips without loss: k_i A_i T_i'' = (T_i - T_s)/R_gap, k_s A_s T_s'' =
 * (T_s - T_i)/R_gap + T_s/R_out. With a gap of no resistance one fin of the sum of both (Bird,
 * Stewart and Lightfoot, section 10.7), with a sheath that does not conduct one of the wires
 * through both resistances: tests hold both limits. The element has the mean of T_i over its
 * length. The equations are ours, from the same reasoning.
 *
 * Status: FIRN_E_DOMAIN also when the element is not wholly below that place.
 */
enum firn_status firn_stem_error(const struct firn_stem *stem, const struct firn_place *place,
				 struct firn_stem_answer *ret);

/* ---- In time ---- */

/* Heat capacities for one metre where the element is: J/(m K), above 0; resistances as above. */
struct firn_settling {
	struct firn_node inside_J_per_mK, sheath_J_per_mK;
	struct firn_node gap_Km_per_W, outward_Km_per_W;
};

/*
 * firn_settling_time - until the element of a thermometer that enters at `from_K` above the medium
 * is within `within_K` of it for good; also the slow time constant.
 *
 * Two lumps: the slow one of two exponentials with its amplitude, which is above the true course at
 * any time. Heat that comes along the stem and warms the well is left out, so the time is a lower
 * estimate until it is fitted to insertions. from_K above within_K above 0; both positive (only
 * sizes matter).
 */
enum firn_status firn_settling_time(const struct firn_settling *settling, struct firn_node from_K,
				    struct firn_node within_K, struct firn_node *ret_constant_s,
				    struct firn_node *ret_time_s);

/* A recorded approach to the end: |T - T_end| at times from the insertion. */
struct firn_approach {
	size_t n;
	const double *time_s, *off_K; /* off_K: any sign, not 0 */
	double from_K;                /* |T at insertion - T_end|, above 0 */
};

/*
 * firn_settling_fit - one time constant for all recorded approaches, and the amplitude of the
 * exponential at the insertion, as part of from_K.
 *
 * ln|off| = ln(amplitude from) - t/constant, a common slope and one amplitude, by unweighted least
 * squares over all rows; u from the residuals. The rows should be of the last, exponential part.
 *
 * Status: FIRN_E_SINGULAR: fewer than three rows, or they don't fall; FIRN_WARN_FEW: fewer than
 * six.
 */
enum firn_status firn_settling_fit(struct firn_tape *tape, size_t n,
				   const struct firn_approach *approaches,
				   struct firn_node *ret_constant_s,
				   struct firn_node *ret_amplitude);

#endif
