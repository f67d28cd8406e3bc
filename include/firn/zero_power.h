/* What the measuring current heats, and the resistance without it. */
#ifndef FIRN_ZERO_POWER_H
#define FIRN_ZERO_POWER_H

#include "firn/tape.h"

#define FIRN_ZERO_POWER_MIN_RATIO 1.1 /* of the two currents; the limit is ours (Note 3) */
#define FIRN_ZERO_POWER_MOST      16  /* currents on one line; the limit is ours */

struct firn_reading {
	struct firn_node i_A;   /* measuring current, 1e-9 to 1 */
	struct firn_node r_ohm; /* resistance, above 0, to 1e12 */
};

struct firn_zero_power {
	struct firn_node r0_ohm, k_ohm_per_A2; /* of the line R(I) = R0 + k I^2 */
};

/*
 * firn_zero_power - resistance at zero measuring current.
 *
 * Given:
 *   lo, hi    readings at the smaller and the larger current, at one temperature
 * Returned (untouched when the status is negative):
 *   ret       the line through both, recorded on their tape
 * Status:
 *   FIRN_OK
 *   FIRN_WARN_SIGN    computed, but k is negative by more than 2 u(k) (Note 2)
 *   FIRN_E_DOMAIN     a value is outside its range above, or its tape has failed
 *   FIRN_E_SINGULAR   the currents are closer than FIRN_ZERO_POWER_MIN_RATIO
 *   or the tape's own failure; the two above are found before anything is recorded
 *
 * Notes:
 *   1) What the readings share (standard resistor, bridge, current source) correlates them
 *      by being the same node; separate inputs count as independent.
 *   2) Heating cannot be negative. Within noise k may come out so; beyond it the
 *      temperature moved, or the readings were exchanged. The factor 2 is ours.
 *   3) With equal, independent u(R), u(R0) is 1.4 u(R) at the ratio 2 and 7.5 u(R) at 1.1.
 *
 * Source: CCT Guide to the Realization of the ITS-90, ch. 5 (2018), equation (34).
 */
enum firn_status firn_zero_power(const struct firn_reading *lo, const struct firn_reading *hi,
				 struct firn_zero_power *ret);

/*
 * firn_zero_power_of - the same from two or more currents, by a line in I^2.
 *
 * Given:
 *   n, x      readings at 2 to FIRN_ZERO_POWER_MOST currents, the smallest first; the others in
 *             any order. Two: the line through both; more: unweighted least squares (Note 4)
 *   scale     a factor of (i/i1)^2, i1 the smallest current: 1 with the relative uncertainty of the
 *             bridge's current ratio squared; one node for all that the bridge measures. 0.5 to 2;
 *             index 0: none
 * Status: as firn_zero_power; FIRN_E_SINGULAR when the largest current is below
 *         FIRN_ZERO_POWER_MIN_RATIO times the smallest; FIRN_E_DOMAIN also for n out of range or a
 *         current below the first.
 *
 * Notes:
 *   4) Weights would have to be those of the parts that the readings do not share, which nobody
 *      states; and a common part does no harm to equal weights.
 */
enum firn_status firn_zero_power_of(size_t n, const struct firn_reading *x, struct firn_node scale,
				    struct firn_zero_power *ret);

/* What the line leaves of a reading: R - R0 - k I^2, recorded. The status is the tape's. */
enum firn_status firn_zero_power_residual(const struct firn_zero_power *line,
					  const struct firn_reading *x, struct firn_node *ret_ohm);

/*
 * A resistance at one current: self-heating included, no zero-power value. A type of its own, since
 * a ratio must not mix both kinds, nor two currents.
 */
struct firn_heated {
	struct firn_node r_ohm, i_A;
};

/* Takes a single reading for what it is: FIRN_OK, or FIRN_E_DOMAIN as above. */
enum firn_status firn_heated(const struct firn_reading *x, struct firn_heated *ret);

/*
 * firn_heated_ratio - W of two resistances at one current.
 *
 * Status: FIRN_OK; FIRN_E_DOMAIN: the currents differ by more than FIRN_SAME_CURRENT, relative
 * (ours: with 4 mK of self-heating 8 uK), or a value is out of range; or the tape's failure.
 * What the two media heat differently stays in W: 0.2 mK to 4 mK (CCT Guide ch. 5 (2018), 5.3.3).
 */
#define FIRN_SAME_CURRENT 1e-3
enum firn_status firn_heated_ratio(const struct firn_heated *x, const struct firn_heated *tpw,
				   struct firn_node *ret_w);

#endif
