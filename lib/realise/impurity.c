#include "firn/impurity.h"
#include "lib/realise/realise.h"

#include <string.h>

#define LARGEST_FRACTION 0.01

enum firn_status firn_cryoscopic_constant(const char *point, double *ret_per_K)
{
	static const struct {
		const char *point;
		const struct realisation_constant *constant;
	} table[] = {
		{ "e-H2", &constant_cryoscopic_e_H2 }, { "Ne", &constant_cryoscopic_Ne },
		{ "O2", &constant_cryoscopic_O2 },     { "Ar", &constant_cryoscopic_Ar },
		{ "Hg", &constant_cryoscopic_Hg },     { "H2O", &constant_cryoscopic_H2O },
		{ "Ga", &constant_cryoscopic_Ga },     { "In", &constant_cryoscopic_In },
		{ "Sn", &constant_cryoscopic_Sn },     { "Zn", &constant_cryoscopic_Zn },
		{ "Al", &constant_cryoscopic_Al },     { "Ag", &constant_cryoscopic_Ag },
	};

	for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); i++) {
		if (strcmp(table[i].point, point) == 0) {
			*ret_per_K = table[i].constant->value;
			return FIRN_OK;
		}
	}
	return FIRN_E_UNKNOWN;
}

enum firn_status firn_liquidus_slope(double A_per_K, struct firn_node k, struct firn_node *ret_K)
{
	if (!is_within(A_per_K, 1e-5, 1.0) || !is_node_within(k, 0.0, 20.0))
		return FIRN_E_DOMAIN;
	const struct firn_node A = firn_constant(k.tape, A_per_K);
	return realise_result(firn_formula("m = -(1 - k)/A", k, A), ret_K);
}

enum firn_status firn_impurities(size_t n, const struct firn_node *x,
				 const struct firn_node *slope_K, struct firn_node *ret_dt_K)
{
	if (n == 0)
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (!is_node_within(x[i], 0.0, LARGEST_FRACTION) ||
		    !is_node_within(slope_K[i], -1e5, 1e5))
			return FIRN_E_DOMAIN;
	return realise_result(firn_name("dT_impurities", firn_dot(n, x, slope_K)), ret_dt_K);
}

enum firn_status firn_impurity_maximum(struct firn_tape *tape, const char *name, double total,
				       double A_per_K, struct firn_node *ret_dt_K)
{
	if (!is_within(total, 0.0, LARGEST_FRACTION) || !is_within(A_per_K, 1e-5, 1.0))
		return FIRN_E_DOMAIN;
	return realise_bounded(tape, name, total / A_per_K,
			       "CCT Guide, sec. 2.1 (2018), equations (11) and (12)", ret_dt_K);
}
