/* From a bridge ratio to ohms: the standard resistor at the temperature of its bath. */
#ifndef FIRN_RESISTOR_H
#define FIRN_RESISTOR_H

#include "firn/tape.h"

#define FIRN_RESISTOR_MAX_STEP_K 50.0 /* from calibration to use; the limit is ours */

struct firn_resistor {
	struct firn_node ohm;   /* at at_C, with its drift since calibration; above 0, to 1e12 */
	struct firn_node at_C;  /* temperature at its calibration, -50 to 150 */
	struct firn_node per_K; /* relative change per kelvin, within +/-1e-3 (standards: 5e-6) */
};

/*
 * firn_resistor_at - a resistor at its bath's temperature: Rs = ohm (1 + per_K (bath - at)).
 *
 * Given: bath_C, within FIRN_RESISTOR_MAX_STEP_K of at_C.
 * Status: FIRN_OK; FIRN_E_DOMAIN (a value outside its range, or its tape has failed); or the
 * tape's own failure. *ret_ohm is untouched when it is negative.
 * Source: CCT Guide ch. 5 (2018), 5.3.2, equation (29); its uncertainty is equation (31).
 */
enum firn_status firn_resistor_at(const struct firn_resistor *resistor, struct firn_node bath_C,
				  struct firn_node *ret_ohm);

/*
 * firn_bridge_resistance - resistance from a bridge reading: R = (ratio + error) Rs.
 *
 * Given:
 *   ratio     as read, above 0, to 1e6
 *   error     what the bridge's non-linearity adds, within +/-1e-3: usually 0 with its uncertainty.
 *             The same node wherever the error is the same (visits to one point)
 *   rs_ohm    above 0, to 1e12
 * Status: as above.
 * Source: CCT Guide ch. 5 (2018), 6.1, equation (39), its first factors.
 */
enum firn_status firn_bridge_resistance(struct firn_node ratio, struct firn_node error,
					struct firn_node rs_ohm, struct firn_node *ret_ohm);

#endif
