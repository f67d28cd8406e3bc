#include "firn/resistor.h"
#include "lib/realise/realise.h"

#include <math.h>

enum firn_status firn_resistor_at(const struct firn_resistor *resistor, struct firn_node bath_C,
				  struct firn_node *ret_ohm)
{
	const struct firn_node ohm = resistor->ohm, per_K = resistor->per_K, at_C = resistor->at_C;
	const double step_K = firn_value(bath_C) - firn_value(at_C);

	if (!(firn_value(ohm) > 0.0 && firn_value(ohm) <= 1e12) ||
	    !is_node_within(per_K, -1e-3, 1e-3) || !is_node_within(at_C, -50.0, 150.0) ||
	    !(fabs(step_K) <= FIRN_RESISTOR_MAX_STEP_K))
		return FIRN_E_DOMAIN;
	return realise_result(
	    firn_formula("rs_ohm = ohm*(1 + per_K*(bath_C - at_C))", ohm, per_K, bath_C, at_C),
	    ret_ohm);
}

enum firn_status firn_bridge_resistance(struct firn_node ratio, struct firn_node error,
					struct firn_node rs_ohm, struct firn_node *ret_ohm)
{
	if (!(firn_value(ratio) > 0.0 && firn_value(ratio) <= 1e6) ||
	    !is_node_within(error, -1e-3, 1e-3) ||
	    !(firn_value(rs_ohm) > 0.0 && firn_value(rs_ohm) <= 1e12))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("r_ohm = (ratio + error)*rs_ohm", ratio, error, rs_ohm),
			      ret_ohm);
}
