#include "firn/cell_check.h"

#include "lib/realise/realise.h"

#include <math.h>

static enum firn_status bubble_volume(const struct firn_bubble *bubble, struct firn_node *ret)
{
	const struct firn_node d = bubble->diameter_m;

	if (bubble->volume_m3.index != 0) {
		if (!is_node_within(bubble->volume_m3, 1e-12, 1e-4))
			return FIRN_E_DOMAIN;
		*ret = bubble->volume_m3;
		return FIRN_OK;
	}
	if (!is_node_within(d, 1e-5, 0.05))
		return FIRN_E_DOMAIN;
	*ret = firn_formula("V_b = 3.14159265358979323846/6*d^3", d);
	return FIRN_OK;
}

enum firn_status firn_bubble_pressure(const struct firn_bubble *bubble, struct firn_node *ret_p_Pa)
{
	const struct firn_node V_0 = bubble->headspace_m3, h = bubble->head_m,
			       rho = bubble->density_kg_per_m3, g = bubble->g_m_per_s2;
	const struct firn_node sigma = bubble->tension_N_per_m, d = bubble->diameter_m;
	struct firn_node V_b, p_b;
	enum firn_status status;

	if (!is_node_within(V_0, 1e-7, 1e-3) || !is_node_within(h, 0.0, 1.0) ||
	    !is_node_within(rho, 900.0, 1100.0) || !is_node_within(g, 9.7, 9.9) ||
	    (sigma.index != 0 && (!is_node_within(sigma, 0.0, 0.2) || d.index == 0)))
		return FIRN_E_DOMAIN;
	status = bubble_volume(bubble, &V_b);
	if (status < 0)
		return status;
	p_b = sigma.index != 0 ? firn_formula("p_b = rho*g*h + 4*sigma/d", rho, g, h, sigma, d)
			       : firn_formula("p_b = rho*g*h", rho, g, h);
	return realise_result(firn_formula("p_0 = p_b*V_b/V_0", p_b, V_b, V_0), ret_p_Pa);
}

enum firn_status firn_residual_gas(struct firn_node p_Pa, bool dissolved,
				   struct firn_node *ret_dt_K)
{
	if (!is_node_within(p_Pa, 0.0, 1e5))
		return FIRN_E_DOMAIN;
	const struct firn_node slope =
	    firn_constant(p_Pa.tape, constant_water_ice_K_per_Pa.value +
					 (dissolved ? constant_water_air_K_per_Pa.value : 0.0));
	return realise_result(firn_formula("dT_gas = slope*p_Pa", slope, p_Pa), ret_dt_K);
}

enum firn_status firn_inversion(struct firn_node before_K, struct firn_node after_K,
				struct firn_node *ret_dt_K)
{
	const double dt_K = firn_value(after_K) - firn_value(before_K);
	struct firn_node dt;
	enum firn_status status;

	if (!is_within(dt_K, -0.1, 0.1))
		return FIRN_E_DOMAIN;
	status = realise_result(
	    firn_formula("dT_inversion = after_K - before_K", after_K, before_K), &dt);
	if (status < 0)
		return status;
	*ret_dt_K = dt;
	return dt_K > 2.0 * firn_u(dt) ? FIRN_WARN_SIGN : FIRN_OK;
}

enum firn_status firn_fractionation(struct firn_node f,
				    const struct firn_water_constants *constants,
				    struct firn_node *ret_dt_K)
{
	const struct firn_node a_D = constants->a_D_K, a_18 = constants->a_18_K;

	if (!is_node_within(f, 0.0, 1.0))
		return FIRN_E_DOMAIN;
	const struct firn_node alpha_D =
	    realise_constant(f.tape, NULL, &constant_water_alpha_D, false);
	const struct firn_node alpha_18 =
	    realise_constant(f.tape, NULL, &constant_water_alpha_18, false);
	const struct firn_node d_D = firn_formula("d_D = 1/(1 + f*(alpha_D - 1)) - 1", f, alpha_D);
	const struct firn_node d_18O =
	    firn_formula("d_18O = 1/(1 + f*(alpha_18 - 1)) - 1", f, alpha_18);
	return realise_result(
	    firn_formula("dT_fractionation = a_D*d_D + a_18*d_18O", a_D, d_D, a_18, d_18O),
	    ret_dt_K);
}

enum firn_status firn_fractionation_term(struct firn_tape *tape, const char *name,
					 enum firn_freeze freeze, struct firn_node *ret_dt_K)
{
	if (freeze != FIRN_FREEZE_HOURS && freeze != FIRN_FREEZE_DAYS)
		return FIRN_E_DOMAIN;
	return realise_bounded(tape, name, freeze == FIRN_FREEZE_HOURS ? 2e-6 : 7e-6,
			       "CCT Guide, sec. 2.2 (2018), 3", ret_dt_K);
}

/* -4 and -2 uK/year; the standard deviation is as large. */
static bool drift_rate(enum firn_glass glass, double *ret_K_per_year)
{
	if (glass != FIRN_BOROSILICATE && glass != FIRN_FUSED_SILICA)
		return false;
	*ret_K_per_year = glass == FIRN_BOROSILICATE ? constant_drift_borosilicate.value
						     : constant_drift_fused_silica.value;
	return true;
}

static const char *drift_source(enum firn_glass glass)
{
	return glass == FIRN_BOROSILICATE ? constant_drift_borosilicate.source
					  : constant_drift_fused_silica.source;
}

enum firn_status firn_drift_prior(struct firn_tape *tape, const char *name, enum firn_glass glass,
				  struct firn_node *ret_K_per_year)
{
	double rate;

	if (!drift_rate(glass, &rate))
		return FIRN_E_DOMAIN;
	return realise_result(
	    firn_tape_input(tape, &(struct firn_input){ .name = name,
							.unit = "K/year",
							.source = drift_source(glass),
							.value = rate,
							.u = fabs(rate) }),
	    ret_K_per_year);
}

enum firn_status firn_drift_term(struct firn_tape *tape, const char *name, enum firn_glass glass,
				 double years, struct firn_node *ret_dt_K)
{
	double rate;

	if (!drift_rate(glass, &rate) || !is_within(years, 0.0, 100.0))
		return FIRN_E_DOMAIN;
	return realise_result(
	    firn_tape_input(tape, &(struct firn_input){ .name = name,
							.unit = "K",
							.source = drift_source(glass),
							.u = years * sqrt(2.0) * fabs(rate) }),
	    ret_dt_K);
}

enum firn_status firn_water_impurities_judged(struct firn_tape *tape, const char *name,
					      enum firn_water_cell_age age,
					      struct firn_node *ret_dt_K)
{
	if (age != FIRN_WATER_CELL_RECENT && age != FIRN_WATER_CELL_OLD)
		return FIRN_E_DOMAIN;
	const bool old = age == FIRN_WATER_CELL_OLD;
	return realise_result(
	    firn_tape_input(tape, &(struct firn_input){ .name = name,
							.unit = "K",
							.source = "CCT Guide, sec. 2.2 (2018), 4",
							.value = old ? -50e-6 : 0.0,
							.u = old ? 50e-6 : 10e-6 }),
	    ret_dt_K);
}
