/*
 * Checks of a water triple-point cell, and what each of them bounds.
 *
 * Effects dT as in firn/correction.h: the cell's temperature minus the defined one. Statuses as
 * there. What a check cannot see stands with it: none of them shows dissolved impurities but the
 * last, and that only those which the ice rejects.
 */
#ifndef FIRN_CELL_CHECK_H
#define FIRN_CELL_CHECK_H

#include "firn/correction.h"

/*
 * The bubble test: the gas above the water is swept, by tilting, into one bubble under water; the
 * vapour condenses, what does not is foreign gas.
 */
struct firn_bubble {
	struct firn_node headspace_m3; /* above the water, upright: 1e-7 to 1e-3 */
	struct firn_node diameter_m;   /* of the bubble, 1e-5 to 0.05; or index 0 and the volume */
	struct firn_node volume_m3;    /* of a plug in a tube, 1e-12 to 1e-4; index 0: a sphere */
	struct firn_node head_m;       /* of water above its middle, 0 to 1 */
	struct firn_node density_kg_per_m3;
	struct firn_node tension_N_per_m; /* index 0: the bubble fills a wide tube, none acts */
	struct firn_node g_m_per_s2;
};

/*
 * firn_bubble_pressure - pressure of the foreign gas in the upright cell: p0 = p_b V_b/V_0, p_b =
 * rho g h + 4 sigma/d (a plug: without the second term).
 *
 * An alarm for leaks, no evidence of the temperature: gas that is dissolved is not swept, and
 * impurities make no bubble. Limits for the size of a bubble are published nowhere that we know of.
 * Boyle and Laplace; principle: a glass arm of a cell used as a McLeod gauge.
 */
enum firn_status firn_bubble_pressure(const struct firn_bubble *bubble, struct firn_node *ret_p_Pa);

/*
 * firn_residual_gas - what foreign gas at p_Pa (0 to 1e5) above the water does at most: by its
 * pressure on the ice, -7.426 15e-8 K/Pa; and, `dissolved`, by as much air as water takes up at
 * that pressure, -2.364e-8 K/Pa more.
 *
 * Source: IAPWS R6-95(2018) and R10-06(2009) by Clausius and Clapeyron; Henry's constants of IAPWS
 * G7-04 for N2, O2 and Ar with the cryoscopic slope 103.277 K. Argued alike in CCT Guide sec. 2.2
 * (2018), 4: about a quarter of the step from ice point to triple point is dissolved gas.
 */
enum firn_status firn_residual_gas(struct firn_node p_Pa, bool dissolved,
				   struct firn_node *ret_dt_K);

/*
 * firn_inversion - what mixing the first inner film (pure water) with the bulk changed: dT = after
 * - before, both temperatures (or both as differences from one value) at zero current, in K, within
 * +/-0.1 of each other.
 *
 * It is the effect of those impurities that the ice rejects, seen in full only the first time a
 * film is melted. FIRN_WARN_SIGN: it rose by more than 2 u, which mixing cannot do.
 * Source: CCT Guide sec. 2.2 (2018), 4.
 */
enum firn_status firn_inversion(struct firn_node before_K, struct firn_node after_K,
				struct firn_node *ret_dt_K);

/*
 * firn_fractionation - the liquid of a closed cell after a fraction f has frozen in equilibrium,
 * well mixed: delta = 1/(1 + f (alpha - 1)) - 1 for each isotope, dT = A_D dD + A_18 d18O.
 *
 * f 0 to 1. constants from firn_water_constants: with the Annex 17O is inside A_18; the older sets
 * leave it out here. alpha (ice over water): D 1.0212, 18O 1.00291. An upper bound: ice that grows
 * in hours holds less back. Source: Lehmann & Siegenthaler, J. Glaciol. 37 (1991) 23-26.
 */
enum firn_status firn_fractionation(struct firn_node f,
				    const struct firn_water_constants *constants,
				    struct firn_node *ret_dt_K);

enum firn_freeze {
	FIRN_FREEZE_HOURS, /* bound 2 uK */
	FIRN_FREEZE_DAYS,  /* bound 7 uK */
};

/* The term of a budget for it: no correction, rectangular within the published bound.
   Source: CCT Guide sec. 2.2 (2018), 3. */
enum firn_status firn_fractionation_term(struct firn_tape *tape, const char *name,
					 enum firn_freeze freeze, struct firn_node *ret_dt_K);

/*
 * What glass gives off in a year, until the laboratory has a record of its own. The published
 * rates are means over few cells which scatter widely: borosilicate -4, -6 and -13 uK/year, single
 * cells to -20; fused silica -2. Taken here: -4 and -2, each with a standard deviation of the same
 * size; that choice is ours.
 *
 * Source: Hill, Metrologia 38 (2001) 79; Strouse & Zhao, Int. J. Thermophys. 28 (2007) 1913-1922;
 * CCT Guide sec. 2.2 (2018), 4.
 */
enum firn_glass { FIRN_BOROSILICATE, FIRN_FUSED_SILICA };

/* The rate in K per year, as an input named `name` with that uncertainty. */
enum firn_status firn_drift_prior(struct firn_tape *tape, const char *name, enum firn_glass glass,
				  struct firn_node *ret_K_per_year);

/* As a term of a budget, without a correction: u = years sqrt(rate^2 + s^2) about 0; years since
   the cell was compared, or made, 0 to 100. */
enum firn_status firn_drift_term(struct firn_tape *tape, const char *name, enum firn_glass glass,
				 double years, struct firn_node *ret_dt_K);

/*
 * What to take for impurities of a water cell that was never analysed nor inverted.
 *
 * Recent first-class cells: u = 10 uK and no correction; older ones: a depression of about 50 uK,
 * with 50 uK. Source: CCT Guide sec. 2.2 (2018), 4.
 */
enum firn_water_cell_age { FIRN_WATER_CELL_RECENT, FIRN_WATER_CELL_OLD };
enum firn_status firn_water_impurities_judged(struct firn_tape *tape, const char *name,
					      enum firn_water_cell_age age,
					      struct firn_node *ret_dt_K);

#endif
