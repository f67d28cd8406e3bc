/* States of liquid and vapour from IAPWS-95, and what liquid and ice do together. */
#include "firn/water.h"

#include "lib/heat/water_fluid.h"
#include "lib/num/elementary.h"

#include <math.h>
#include <stdbool.h>

static double pressure_of(double rho, double T_K, double *ret_slope)
{
	const double delta = rho / WATER_RHO_C;
	const struct water_phi r = water_residual(delta, WATER_T_C / T_K);

	*ret_slope = WATER_R_J_PER_KGK * T_K * (1.0 + 2.0 * delta * r.d + delta * delta * r.dd);
	return rho * WATER_R_J_PER_KGK * T_K * (1.0 + delta * r.d);
}

/* Newton from a density of the right phase; the liquid is nearly a line in rho, the vapour a gas.
 */
static enum firn_status find_density(double T_K, double p_Pa, double start, double *ret)
{
	double rho = start;

	for (int i = 0; i < 50; i++) {
		double slope;
		const double step = (pressure_of(rho, T_K, &slope) - p_Pa) / slope;

		if (!(slope > 0.0) || !(rho - step > 0.0))
			return FIRN_E_SINGULAR;
		rho -= step;
		if (fabs(step) <= 4e-16 * rho || (i > 6 && fabs(step) <= 1e-13 * rho)) {
			*ret = rho;
			return FIRN_OK;
		}
	}
	return FIRN_E_SINGULAR;
}

static struct firn_water_state state_at(double rho, double T_K)
{
	const double delta = rho / WATER_RHO_C, tau = WATER_T_C / T_K, R = WATER_R_J_PER_KGK;
	const struct water_phi i = water_ideal(delta, tau), r = water_residual(delta, tau);
	const double slope = 1.0 + 2.0 * delta * r.d + delta * delta * r.dd;
	const double bend = 1.0 + delta * r.d - delta * tau * r.dt;

	return (struct firn_water_state){
		.density_kg_per_m3 = rho,
		.enthalpy_J_per_kg = R * T_K * (1.0 + tau * (i.t + r.t) + delta * r.d),
		.entropy_J_per_kgK = R * (tau * (i.t + r.t) - i.phi - r.phi),
		.gibbs_J_per_kg = R * T_K * (1.0 + i.phi + r.phi + delta * r.d),
		.cp_J_per_kgK = R * (-tau * tau * (i.tt + r.tt) + bend * bend / slope),
	};
}

static bool is_within(double x, double low, double high)
{
	return x >= low && x <= high;
}

/* Density of the liquid at its vapour pressure, well enough to start from. */
static double liquid_start(double T_K)
{
	return T_K < 400.0 ? 1000.0 : 1000.0 - 1.75 * (T_K - 380.0);
}

static enum firn_status state_from(double T_K, double p_Pa, double start,
				   struct firn_water_state *ret)
{
	double rho;
	enum firn_status status;

	if (!is_within(T_K, 235.0, 640.0) || !(p_Pa > 0.0) || !(p_Pa <= 1e8))
		return FIRN_E_DOMAIN;
	status = find_density(T_K, p_Pa, start, &rho);
	if (status != FIRN_OK)
		return status;
	*ret = state_at(rho, T_K);
	return FIRN_OK;
}

enum firn_status firn_water_liquid(double T_K, double p_Pa, struct firn_water_state *ret)
{
	struct firn_water_state x;
	const enum firn_status status = state_from(T_K, p_Pa, liquid_start(T_K), &x);

	if (status != FIRN_OK)
		return status;
	if (x.density_kg_per_m3 < WATER_RHO_C)
		return FIRN_E_SINGULAR;
	*ret = x;
	return T_K < 273.15 ? FIRN_WARN_EXTRAPOLATED : FIRN_OK;
}

enum firn_status firn_water_vapour(double T_K, double p_Pa, struct firn_water_state *ret)
{
	struct firn_water_state x;
	const enum firn_status status = state_from(T_K, p_Pa, p_Pa / (WATER_R_J_PER_KGK * T_K), &x);

	if (status != FIRN_OK)
		return status;
	if (x.density_kg_per_m3 > WATER_RHO_C)
		return FIRN_E_SINGULAR;
	*ret = x;
	return FIRN_OK;
}

/* dg/dp is the volume, so Newton in p on the difference of both Gibbs energies. */
enum firn_status firn_water_saturation(double T_K, double *ret_p_Pa,
				       struct firn_water_state *ret_liquid,
				       struct firn_water_state *ret_vapour)
{
	struct firn_water_state liquid, vapour;
	double p;

	if (!is_within(T_K, 250.0, 600.0))
		return FIRN_E_DOMAIN;
	/* Clausius and Clapeyron through the boiling point, near enough to start from. */
	p = 101325.0 * num_exp(4890.0 * (1.0 / 373.124 - 1.0 / T_K));
	for (int i = 0; i < 50; i++) {
		double step;

		if (firn_water_liquid(T_K, p, &liquid) < 0 ||
		    firn_water_vapour(T_K, p, &vapour) < 0)
			return FIRN_E_SINGULAR;
		step = (vapour.gibbs_J_per_kg - liquid.gibbs_J_per_kg) /
		       (1.0 / vapour.density_kg_per_m3 - 1.0 / liquid.density_kg_per_m3);
		if (fabs(step) <= 1e-12 * p) {
			*ret_p_Pa = p;
			*ret_liquid = liquid;
			*ret_vapour = vapour;
			return FIRN_OK;
		}
		p = fmax(p - step, 0.5 * p);
	}
	return FIRN_E_SINGULAR;
}

enum firn_status firn_water_melting(double p_Pa, struct firn_melting *ret)
{
	struct firn_water_state liquid, ice;
	double T = 273.16;

	if (!is_within(p_Pa, 0.1, 1e7))
		return FIRN_E_DOMAIN;
	for (int i = 0; i < 20; i++) {
		double step;

		if (firn_water_liquid(T, p_Pa, &liquid) < 0 || firn_ice(T, p_Pa, &ice) < 0)
			return FIRN_E_SINGULAR;
		/* dg/dT = -s */
		step = (liquid.gibbs_J_per_kg - ice.gibbs_J_per_kg) /
		       (ice.entropy_J_per_kgK - liquid.entropy_J_per_kgK);
		if (fabs(step) < 1e-11)
			break;
		T -= step;
	}
	const double latent = liquid.enthalpy_J_per_kg - ice.enthalpy_J_per_kg;
	*ret = (struct firn_melting){
		.T_K = T,
		.latent_J_per_kg = latent,
		.K_per_Pa =
		    T * (1.0 / liquid.density_kg_per_m3 - 1.0 / ice.density_kg_per_m3) / latent,
	};
	return FIRN_OK;
}

enum firn_status firn_nucleation_by_enthalpy(double below_K, double p_Pa, double *ret_fraction)
{
	struct firn_melting melting;
	struct firn_water_state warm, cold;
	enum firn_status status;

	if (!is_within(below_K, 0.0, 35.0))
		return FIRN_E_DOMAIN;
	status = firn_water_melting(p_Pa, &melting);
	if (status < 0)
		return status;
	if (firn_water_liquid(melting.T_K, p_Pa, &warm) < 0 ||
	    firn_water_liquid(melting.T_K - below_K, p_Pa, &cold) < 0)
		return FIRN_E_SINGULAR;
	*ret_fraction = (warm.enthalpy_J_per_kg - cold.enthalpy_J_per_kg) / melting.latent_J_per_kg;
	return FIRN_OK;
}

enum firn_status firn_water_tension(double T_K, double *ret_N_per_m)
{
	if (!is_within(T_K, 248.0, 647.0))
		return FIRN_E_DOMAIN;
	const double tau = 1.0 - T_K / WATER_T_C;

	*ret_N_per_m = 0.2358 * num_exp(1.256 * num_ln(tau)) * (1.0 - 0.625 * tau);
	return FIRN_OK;
}
