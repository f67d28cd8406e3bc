/*
 * Heat in thermometer, well, ice and glass: closed forms. Quick answers, and the limits that any
 * numerical solution is held against. All in SI units; plain numbers.
 *
 * Statuses: FIRN_OK; FIRN_E_DOMAIN: an argument is not finite or out of the range stated for it,
 * and the result is untouched. Accuracy of the arithmetic: 1e-12 relative unless said otherwise;
 * what the forms leave out is said with each.
 */
#ifndef FIRN_HEAT_H
#define FIRN_HEAT_H

#include "firn/status.h"

#include <stdbool.h>

/* ---- Resistances to radial heat flow, for one metre of length: K m/W ---- */

/* Through the wall of a tube: ln(r_out/r_in)/(2 pi k). 0 < r_in < r_out, k above 0. */
enum firn_status firn_shell_resistance(double r_in_m, double r_out_m, double k_W_per_mK,
				       double *ret_Km_per_W);

/* Through a film on a cylinder: 1/(2 pi r h). */
enum firn_status firn_film_resistance(double r_m, double h_W_per_m2K, double *ret_Km_per_W);

/* ---- Stem conduction ---- */

/*
 * firn_fin_length - 1/m, over which the temperature of a stem falls by e: sqrt(R' sum(k A)).
 *
 * R': from the stem to a medium of one temperature; sum(k A): of all that conducts along it, W m/K.
 */
enum firn_status firn_fin_length(double radial_Km_per_W, double axial_Wm_per_K, double *ret_m);

/*
 * firn_fin_tip_error - what remains at the tip of the difference at the surface: 1/cosh(L/l).
 *
 * Tip without heat loss; length l as above; depth L of 0 and more. The error of a thermometer whose
 * middle lies at the tip is this times (ambient - medium). Source: Bird, Stewart and Lightfoot,
 * Transport Phenomena, section 10.7, (10.7-13). Left out: radiation along the sheath, convection in
 * the well, the length of the element.
 */
enum firn_status firn_fin_tip_error(double depth_m, double fin_length_m, double *ret);

/* ---- A flat wall that freezes: one-phase problem of Neumann, liquid at its freezing point ---- */

/*
 * firn_neumann_lambda - root of sqrt(pi) lambda exp(lambda^2) erf(lambda) = Ste.
 *
 * Ste = cp (Tm - Twall)/L of the solid, above 0, to 100. The front stands at 2 lambda sqrt(alpha
 * t).
 */
enum firn_status firn_neumann_lambda(double ste, double *ret_lambda);

/* What freezes. */
struct firn_solid {
	double k_W_per_mK, density_kg_per_m3, cp_J_per_kgK, latent_J_per_kg;
};

/*
 * Thickness frozen on a flat wall that is held `below` kelvin under the freezing point for t
 * seconds: by Neumann; and by Stefan's rule, sqrt(2 k below t/(rho L)), which neglects the heat
 * taken from the solid itself and is 0.5 % too thick at Ste 0.03, 7.5 % at 0.5.
 */
enum firn_status firn_neumann_thickness(const struct firn_solid *s, double below_K, double t_s,
					double *ret_m);
enum firn_status firn_stefan_thickness(const struct firn_solid *s, double below_K, double t_s,
				       double *ret_m);

/* ---- A cylinder that freezes or melts, quasi-steady: the heat of the solid itself is neglected
 * ---- */

/*
 * The front moves between r_cold and r_front; the cold surface is inside (growth on a well) or
 * outside (growth on the glass). series: resistance between that surface and the coolant, K m/W, 0
 * for a surface held cold.
 */
struct firn_cylinder {
	double r_cold_m, r_front_m; /* both above 0 */
	double below_K;             /* of the coolant under the freezing point, above 0 */
	double series_Km_per_W;     /* 0 and more */
};

/*
 * firn_cylinder_time - seconds until the front has come from the cold surface to r_front.
 *
 * Outwards: rho L/(4 k dT) (2 r^2 ln(r/r0) - r^2 + r0^2); inwards: rho L/(4 k dT)
 * (R^2 - r^2 - 2 r^2 ln(R/r)); and rho L pi |r^2 - r0^2| R'/dT for the resistance in series.
 * Standard quasi-steady forms (Carslaw and Jaeger's way of reasoning; from memory, checked against
 * an integration in the tests).
 */
enum firn_status firn_cylinder_time(const struct firn_solid *s, const struct firn_cylinder *c,
				    double *ret_s);

/* The other way round: r_front after t seconds; r_front_m of c is not read, `inward` tells the
   direction. FIRN_E_SINGULAR: inwards it has frozen through before. To 1e-9 relative. */
enum firn_status firn_cylinder_front(const struct firn_solid *s, const struct firn_cylinder *c,
				     bool inward, double t_s, double *ret_r_m);

/* ---- A mantle that melts from outside, by conduction through water and glass ---- */

struct firn_mantle {
	double r_inner_m, r_outer_m; /* of the ice: inside, and outside now; inside below outside */
	double r_glass_m, r_cell_m;  /* bore and outer radius of the envelope */
	double k_water_W_per_mK, k_glass_W_per_mK;
	double above_K; /* of the bath above the melting point, above 0 */
};

/* Heat that reaches the ice now, for one metre of length: W/m. */
enum firn_status firn_mantle_heat(const struct firn_mantle *m, double *ret_W_per_m);

/*
 * firn_mantle_life - seconds until the ice has melted to its inside, quasi-steady, its boundary
 * moving in; only latent heat and density of the solid are used.
 *
 * An upper limit: convection in water below 4 degC, conduction along the stem and every warm
 * thermometer shorten it.
 */
enum firn_status firn_mantle_life(const struct firn_solid *s, const struct firn_mantle *m,
				  double *ret_s);

/* ---- Water that was supercooled ---- */

/*
 * firn_nucleation_fraction - part of the water that freezes at once on nucleation: first order,
 * (m_w c_w + m_g c_g) dT/(m_w L).
 *
 * supercooling 0 to 40 K. Without glass (0 kg) cp dT/L is 0.1 % too small at 3 K and 1 % at 15 K,
 * against the enthalpies of IAPWS-95 and IAPWS-06.
 */
struct firn_supercooled {
	double below_K;
	double water_kg, water_J_per_kgK;
	double glass_kg, glass_J_per_kgK;
	double latent_J_per_kg;
};
enum firn_status firn_nucleation_fraction(const struct firn_supercooled *s, double *ret);

#endif
