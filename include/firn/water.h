/*
 * Water as liquid, vapour and ice: densities, enthalpies and heat capacities from the formulations
 * of the IAPWS, and how much of supercooled water freezes at once. Plain numbers, SI units.
 *
 * Statuses: FIRN_OK; FIRN_WARN_EXTRAPOLATED where said; FIRN_E_DOMAIN: an argument is not finite or
 * out of the range stated, and the result is untouched; FIRN_E_SINGULAR: no such phase there.
 * Zero of enthalpy and entropy, for all phases: the liquid at the triple point (u and s).
 *
 * Constants of the formulations are from memory; that they reproduce the check values which the
 * releases print, to the last digit, is a test.
 */
#ifndef FIRN_WATER_H
#define FIRN_WATER_H

#include "firn/status.h"

struct firn_water_state {
	double density_kg_per_m3;
	double enthalpy_J_per_kg, entropy_J_per_kgK, gibbs_J_per_kg;
	double cp_J_per_kgK;
};

/*
 * firn_water_liquid, firn_water_vapour - at T_K and p_Pa; the phase is the one asked for, stable or
 * not.
 *
 * Range: 235 K to 640 K, p above 0, to 1e8 Pa. FIRN_WARN_EXTRAPOLATED: liquid below 273.15 K, where
 * IAPWS-95 was not fitted: its cp is 0.03 % too large at -2 degC and 0.1 % too small at -15 degC,
 * against IAPWS G12-15. Arithmetic: 1e-12 of the density; enthalpies to 1e-6 J/kg.
 * Source: IAPWS R6-95(2018).
 */
enum firn_status firn_water_liquid(double T_K, double p_Pa, struct firn_water_state *ret);
enum firn_status firn_water_vapour(double T_K, double p_Pa, struct firn_water_state *ret);

/* Pressure at which liquid and vapour have one Gibbs energy, and both states there: 250 K to 600 K
   (below 273.15 K extrapolated, without a status of its own). Source: IAPWS R6-95(2018). */
enum firn_status firn_water_saturation(double T_K, double *ret_p_Pa,
				       struct firn_water_state *ret_liquid,
				       struct firn_water_state *ret_vapour);

/* Ice Ih: 1 K to 273.16 K (up to 275 K extrapolated, for melting under a pressure below 0.1 MPa),
   p 0 to 2.1e8 Pa. Source: IAPWS R10-06(2009). */
enum firn_status firn_ice(double T_K, double p_Pa, struct firn_water_state *ret);

/* Supercooled liquid: density and cp only; 200 K to 300 K, p 0 to 4e8 Pa. Source: IAPWS G12-15. */
enum firn_status firn_water_supercooled(double T_K, double p_Pa, double *ret_density_kg_per_m3,
					double *ret_cp_J_per_kgK);

/*
 * firn_water_melting - where ice and liquid have one Gibbs energy, and what follows from there.
 *
 * p_Pa 0.1 to 1e7. At 101325 Pa it is the melting point without air, 273.152 519 K; at 611.657 Pa
 * the triple point within 1 uK.
 */
struct firn_melting {
	double T_K;
	double latent_J_per_kg; /* h(liquid) - h(ice) */
	double K_per_Pa;        /* dT/dp along the line: T (v_liquid - v_ice)/L */
};
enum firn_status firn_water_melting(double p_Pa, struct firn_melting *ret);

/*
 * firn_nucleation_by_enthalpy - part of supercooled water that freezes at once, without glass:
 * f = (h_liq(Tm) - h_liq(Tm - dT))/(h_liq(Tm) - h_ice(Tm)), adiabatic, constant pressure.
 *
 * below_K: 0 to 35; p_Pa 0.1 to 1e7. Liquid below 273.15 K as firn_water_liquid has it.
 * firn_nucleation_fraction (firn/heat.h) is the first order of this, with the glass.
 */
enum firn_status firn_nucleation_by_enthalpy(double below_K, double p_Pa, double *ret_fraction);

/* Surface tension against its vapour, N/m: 248 K to 647 K (below 273.16 K extrapolated, as the
   release allows). Source: IAPWS R1-76(2014). */
enum firn_status firn_water_tension(double T_K, double *ret_N_per_m);

#endif
