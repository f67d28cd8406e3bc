/*
 * What makes a cell differ from the temperature that the scale defines, and taking it off a
 * measured resistance.
 *
 * One sign throughout: an effect dT is the cell's temperature minus the defined one, in kelvin. A
 * correction, to be added to a temperature, is its negative.
 *
 * All functions: FIRN_OK; FIRN_E_DOMAIN when a value is outside the range stated (limits are ours,
 * to catch a wrong unit or sign) or its tape has failed; or the tape's own failure. The result is
 * untouched when the status is negative. Impurities: firn/impurity.h; mantle: firn/mantle.h.
 */
#ifndef FIRN_CORRECTION_H
#define FIRN_CORRECTION_H

#include "firn/tape.h"

#include <stdbool.h>

/*
 * firn_head - liquid above the sensor: dT = K_per_m depth_m.
 *
 * Given: K_per_m (dT/dl of the point), within +/-0.1; depth_m from the surface of the liquid down
 * to the middle of the sensing element, 0 to 2. Source: ITS-90 (1990), Table 2; CCT Guide sec. 2.2
 * (2018), 5, and sec. 2.4 (2018), 5.3.
 */
enum firn_status firn_head(struct firn_node K_per_m, struct firn_node depth_m,
			   struct firn_node *ret_dt_K);

/*
 * firn_gas_pressure - pressure over a melting or freezing point: dT = K_per_Pa (p_Pa - 101325).
 *
 * Not for triple points. Given: K_per_Pa (dT/dp), within +/-1e-6; p_Pa, absolute, 0 to 1e6.
 * Source: ITS-90 (1990), Table 2.
 */
enum firn_status firn_gas_pressure(struct firn_node K_per_Pa, struct firn_node p_Pa,
				   struct firn_node *ret_dt_K);

/* Constants of the isotopes of water. What is in force is first; the others serve to read old
   certificates again, and have to be asked for. */
enum firn_isotope_set {
	FIRN_ANNEX_2017,     /* MeP-K Technical Annex for the ITS-90 (2017), sec. 1 */
	FIRN_WHITE_TEW_2010, /* White & Tew, Int. J. Thermophys. 31 (2010) 1644-1653 */
	FIRN_CCT_2005,       /* CCT 2005, 2006; superseded. From memory: no source was at hand */
};

struct firn_water_constants {
	enum firn_isotope_set set;
	struct firn_node a_D_K, a_18_K, a_17_K; /* kelvin per unit of delta */
};

/*
 * firn_water_constants - a set of constants, recorded once for all cells of a tape.
 *
 * Given: with_u: their uncertainty takes part, as inputs named constants.isotopes.A_D and so on;
 * shared by all cells they correlate. Without it they are numbers. (CCT 2005: no u is known, and
 * with_u is FIRN_E_DOMAIN.)
 */
enum firn_status firn_water_constants(struct firn_tape *tape, enum firn_isotope_set set,
				      bool with_u, struct firn_water_constants *ret);

/* Composition of a cell's water: deltas as fractions (-0.0583, not -58.3) on the normalised
   V-SMOW/SLAP scale. d_D -0.5 to 0.5, the others -0.1 to 0.1. */
struct firn_water {
	struct firn_node d_D, d_18O;
	struct firn_node d_17O; /* for water with enriched water added; index 0: it is natural */
};

/*
 * firn_water_isotopes - effect of the water's composition.
 *
 *   Annex 2017:  dT = A_D dD + A_18 d18O [+ A_17 (d17O - ((1 + d18O)^0.528 - 1))]
 *   older sets:  dT = A_D dD + A_18 d18O + A_17 d17O, by default d17O = (1 + d18O)^0.528 - 1
 *
 * The Annex's A_18 contains what natural water has of 17O.
 * Source: MeP-K Technical Annex (2017), sec. 1; CCT Guide sec. 2.2 (2018), 3.
 */
enum firn_status firn_water_isotopes(const struct firn_water *water,
				     const struct firn_water_constants *constants,
				     struct firn_node *ret_dt_K);

/*
 * firn_water_unknown - effect for water that was never analysed: -50 uK, u = 35 uK.
 *
 * The correction is +50 uK: such cells lie from -110 uK to +10 uK. Recorded as an input with the
 * name given; one for each cell. Source: CCT Guide sec. 2.2 (2018), 3.
 */
enum firn_status firn_water_unknown(struct firn_tape *tape, const char *name,
				    struct firn_node *ret_dt_K);

/* k_D, kelvin per umol/mol, and k1, kelvin: recorded once, numbers or (with_u) inputs. */
enum firn_status firn_hydrogen_constant(struct firn_tape *tape, bool with_u,
					struct firn_node *ret_K);
enum firn_status firn_neon_constant(struct firn_tape *tape, bool with_u, struct firn_node *ret_K);

/*
 * firn_hydrogen_isotopes - dT = k_D (x - 89.02), x in umol of D per mol of H, 0 to 1000.
 * Source: MeP-K Technical Annex (2017), sec. 2.
 */
enum firn_status firn_hydrogen_isotopes(struct firn_node x_umol_per_mol, struct firn_node k_D_K,
					struct firn_node *ret_dt_K);

/*
 * firn_neon_isotopes - dT = k0 + k1 y + k2 y^2, y = x(22Ne) + x(21Ne)/2; amount fractions, x22 0 to
 * 1, x21 0 to 0.1.
 *
 * As the equation stands in the source: at the reference composition (0.0925, 0.0027) the rounding
 * of its constants leaves +1.9 uK. Source: MeP-K Technical Annex (2017), sec. 4.
 */
enum firn_status firn_neon_isotopes(struct firn_node x22, struct firn_node x21,
				    struct firn_node k1_K, struct firn_node *ret_dt_K);

/* Effect that a cell's certificate states as a correction (to be added): dT = -correction.
   Within +/-0.05 K. */
enum firn_status firn_certificate_effect(struct firn_node correction_K, struct firn_node *ret_dt_K);

/* The effects of one cell at one visit. */
enum firn_effect {
	FIRN_EFFECT_ISOTOPES,
	FIRN_EFFECT_IMPURITIES,
	FIRN_EFFECT_HEAD,
	FIRN_EFFECT_PRESSURE,
	FIRN_EFFECT_MANTLE_AGE,
	FIRN_EFFECT_CERTIFICATE,
	FIRN_EFFECTS
};

struct firn_effects {
	struct firn_node dt_K[FIRN_EFFECTS]; /* index 0: not there */
	bool held[FIRN_EFFECTS];             /* contained in the certificate's correction */
};

/*
 * firn_effects_total - the whole dT of a cell, each effect once.
 *
 * What the certificate's correction holds is left out, whether it is given or not. FIRN_E_DOMAIN:
 * something is held, but there is no certificate's effect; or that holds itself. No effect at all:
 * 0.
 */
enum firn_status firn_effects_total(struct firn_tape *tape, const struct firn_effects *effects,
				    struct firn_node *ret_dt_K);

/*
 * firn_correct_tpw - R(TPW) at 273.16 K: R = r0 (1 - k dT).
 *
 * Given: r0_ohm measured in the cell, above 0, to 1e12; k_per_K: dWr/dT at 273.16 K, 1e-3 to 1e-2;
 * dt_K within +/-0.1.
 * Source: CCT Guide ch. 5 (2018), equation (39).
 */
enum firn_status firn_correct_tpw(struct firn_node r0_ohm, double k_per_K, struct firn_node dt_K,
				  struct firn_node *ret_ohm);

/*
 * firn_correct_point - R at the defined temperature of any other point: R = r0 - r_tpw slope dT.
 *
 * Given: r_tpw_ohm corrected; slope_per_K: dWr/dT at the point, above 0, to 1e-2; the rest as
 * above. Source: the same linear step as equation (39), with the slope of the reference function.
 */
enum firn_status firn_correct_point(struct firn_node r0_ohm, struct firn_node r_tpw_ohm,
				    double slope_per_K, struct firn_node dt_K,
				    struct firn_node *ret_ohm);

#endif
