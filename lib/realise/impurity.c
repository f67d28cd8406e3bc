#include "firn/impurity.h"
#include "lib/num/elementary.h"
#include "lib/realise/realise.h"

#include <stdlib.h>
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

enum firn_status firn_cryoscopic_from_heat(double T_K, double L_J_per_mol, double *ret_per_K)
{
	const double R = 1.380649e-23 * 6.02214076e23; /* J/(mol K), SI Brochure (2019) */

	if (!is_within(T_K, 1.0, 4000.0) || !is_within(L_J_per_mol, 10.0, 1e6))
		return FIRN_E_DOMAIN;
	*ret_per_K = L_J_per_mol / (R * T_K * T_K);
	return FIRN_OK;
}

enum firn_status firn_liquidus_slope(double A_per_K, struct firn_node k, struct firn_node *ret_K)
{
	if (!is_within(A_per_K, 1e-5, 1.0) || !is_node_within(k, 0.0, 20.0))
		return FIRN_E_DOMAIN;
	const struct firn_node A = firn_constant(k.tape, A_per_K);
	return realise_result(firn_formula("m = -(1 - k)/A", k, A), ret_K);
}

static bool are_impurities(size_t n, const struct firn_node *x, const struct firn_node *slope_K)
{
	for (size_t i = 0; i < n; i++)
		if (!is_node_within(x[i], 0.0, LARGEST_FRACTION) ||
		    !is_node_within(slope_K[i], -1e5, 1e5))
			return false;
	return n > 0;
}

enum firn_status firn_impurities(size_t n, const struct firn_node *x,
				 const struct firn_node *slope_K, struct firn_node *ret_dt_K)
{
	if (!are_impurities(n, x, slope_K))
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

enum firn_status firn_impurities_left(size_t n, const struct firn_node *x,
				      const struct firn_node *slope_K, const struct firn_node *k,
				      struct firn_node F, struct firn_node *ret_dt_K)
{
	struct firn_node *parts, sum;

	if (!are_impurities(n, x, slope_K) || !is_node_within(F, 1e-3, 1.0))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (!is_node_within(k[i], 0.0, 20.0))
			return FIRN_E_DOMAIN;
	parts = malloc(n * sizeof(*parts));
	if (parts == NULL)
		return FIRN_E_MEMORY;
	for (size_t i = 0; i < n; i++) {
		const struct firn_node c = x[i], m = slope_K[i], k_i = k[i];

		parts[i] = firn_formula("dT = m*c*F^(k_i - 1)", m, c, F, k_i);
	}
	sum = firn_sum(n, parts);
	free(parts);
	return realise_result(firn_name("dT_impurities", sum), ret_dt_K);
}

enum firn_status firn_effective_k(struct firn_node k, struct firn_node vd_over_D,
				  struct firn_node *ret_k)
{
	if (!is_node_within(k, 0.0, 20.0) || !is_node_within(vd_over_D, 0.0, 100.0))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("k_eff = k/(k + (1 - k)*exp(-vd_over_D))", k, vd_over_D),
			      ret_k);
}

enum firn_status firn_unmixed_solid(double k, double vx_over_D, double *ret_of_c)
{
	if (!is_within(k, 0.0, 20.0) || !is_within(vx_over_D, 0.0, 1e6))
		return FIRN_E_DOMAIN;
	*ret_of_c = 1.0 - (1.0 - k) * num_exp(-k * vx_over_D);
	return FIRN_OK;
}

enum firn_status firn_estimated_dof(double q, double *ret_dof)
{
	if (!is_within(q, 0.01, 10.0))
		return FIRN_E_DOMAIN;
	*ret_dof = 0.5 * (1.0 + 3.0 * q + 1.2 * q * q) / (q * q);
	return FIRN_OK;
}
