/* Head, gas pressure, the sum of effects, and their way into a resistance. */
#include "firn/correction.h"
#include "lib/realise/realise.h"

#define LARGEST_EFFECT_K 0.1

enum firn_status firn_head(struct firn_node K_per_m, struct firn_node depth_m,
			   struct firn_node *ret_dt_K)
{
	if (!is_node_within(K_per_m, -0.1, 0.1) || !is_node_within(depth_m, 0.0, 2.0))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("dT_head = K_per_m*depth_m", K_per_m, depth_m),
			      ret_dt_K);
}

enum firn_status firn_gas_pressure(struct firn_node K_per_Pa, struct firn_node p_Pa,
				   struct firn_node *ret_dt_K)
{
	if (!is_node_within(K_per_Pa, -1e-6, 1e-6) || !is_node_within(p_Pa, 0.0, 1e6))
		return FIRN_E_DOMAIN;
	return realise_result(
	    firn_formula("dT_pressure = K_per_Pa*(p_Pa - 101325)", K_per_Pa, p_Pa), ret_dt_K);
}

enum firn_status firn_certificate_effect(struct firn_node correction_K, struct firn_node *ret_dt_K)
{
	if (!is_node_within(correction_K, -0.05, 0.05))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("dT_certificate = -correction_K", correction_K),
			      ret_dt_K);
}

enum firn_status firn_effects_total(struct firn_tape *tape, const struct firn_effects *effects,
				    struct firn_node *ret_dt_K)
{
	const bool certified = effects->dt_K[FIRN_EFFECT_CERTIFICATE].index != 0;
	struct firn_node present[FIRN_EFFECTS];
	size_t n = 0;

	if (firn_tape_status(tape) < 0 || effects->held[FIRN_EFFECT_CERTIFICATE])
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < FIRN_EFFECTS; i++) {
		if (effects->held[i] && !certified)
			return FIRN_E_DOMAIN;
		if (effects->dt_K[i].index != 0 && !effects->held[i])
			present[n++] = effects->dt_K[i];
	}
	if (n == 0)
		return realise_result(firn_constant(tape, 0.0), ret_dt_K);
	return realise_result(firn_name("dT", firn_sum(n, present)), ret_dt_K);
}

static bool is_resistance(struct firn_node r)
{
	return firn_value(r) > 0.0 && firn_value(r) <= 1e12;
}

enum firn_status firn_correct_tpw(struct firn_node r0_ohm, double k_per_K, struct firn_node dt_K,
				  struct firn_node *ret_ohm)
{
	if (!is_resistance(r0_ohm) || !is_within(k_per_K, 1e-3, 1e-2) ||
	    !is_node_within(dt_K, -LARGEST_EFFECT_K, LARGEST_EFFECT_K))
		return FIRN_E_DOMAIN;
	const struct firn_node r0 = r0_ohm, k = firn_constant(r0.tape, k_per_K), dT = dt_K;
	return realise_result(firn_formula("r_tpw = r0*(1 - k*dT)", r0, k, dT), ret_ohm);
}

enum firn_status firn_correct_point(struct firn_node r0_ohm, struct firn_node r_tpw_ohm,
				    double slope_per_K, struct firn_node dt_K,
				    struct firn_node *ret_ohm)
{
	if (!is_resistance(r0_ohm) || !is_resistance(r_tpw_ohm) || !(slope_per_K > 0.0) ||
	    !(slope_per_K <= 1e-2) || !is_node_within(dt_K, -LARGEST_EFFECT_K, LARGEST_EFFECT_K))
		return FIRN_E_DOMAIN;
	const struct firn_node r0 = r0_ohm, r_tpw = r_tpw_ohm, dT = dt_K;
	const struct firn_node slope = firn_constant(r0.tape, slope_per_K);
	return realise_result(firn_formula("r = r0 - r_tpw*slope*dT", r0, r_tpw, slope, dT),
			      ret_ohm);
}
