/*
 * What foreign atoms in the sample of a fixed point are worth. Effects are the cell's temperature
 * minus that of the pure substance, in kelvin; statuses as in firn/correction.h.
 */
#ifndef FIRN_IMPURITY_H
#define FIRN_IMPURITY_H

#include "firn/tape.h"

/*
 * First cryoscopic constant A, 1/K, of e-H2 Ne O2 Ar Hg H2O Ga In Sn Zn Al Ag. FIRN_E_UNKNOWN for
 * any other name. Gallium is as printed; its heat of fusion is probably a slip there, and the usual
 * one gives 5 % less. Source: CCT Guide sec. 2.1 (2018), Table 1.
 */
enum firn_status firn_cryoscopic_constant(const char *point, double *ret_per_K);

/*
 * firn_cryoscopic_from_heat - A = L/(R T^2) from the molar heat of fusion.
 *
 * T_K 1 to 4000; L_J_per_mol 10 to 1e6; R as fixed by the SI. The molal constant of handbooks is
 * the molar mass over A. Source: CCT Guide sec. 2.1 (2018), equation (2).
 */
enum firn_status firn_cryoscopic_from_heat(double T_K, double L_J_per_mol, double *ret_per_K);

/*
 * firn_liquidus_slope - from the distribution coefficient: m = -(1 - k)/A, kelvin per unit of mole
 * fraction. k (solid over liquid) 0 to 20; A 1e-5 to 1. Dilute, near-ideal.
 * Source: CCT Guide sec. 2.1 (2018), equation (6).
 */
enum firn_status firn_liquidus_slope(double A_per_K, struct firn_node k, struct firn_node *ret_K);

/*
 * firn_impurities - sum of individual estimates at the liquidus point: dT = sum x_i m_i.
 *
 * A correction. Given: n at least 1; x, mole fractions with all liquid, 0 to 0.01; slope_K within
 * +/-1e5. Their uncertainty makes u(dT), equation (10); it needs no limits of detection.
 * Source: CCT Guide sec. 2.1 (2018), 3.1, equation (9).
 */
enum firn_status firn_impurities(size_t n, const struct firn_node *x,
				 const struct firn_node *slope_K, struct firn_node *ret_dt_K);

/*
 * firn_impurity_maximum - overall maximum estimate: no correction, u = x/(A sqrt(3)).
 *
 * Recorded as an input named `name`, rectangular within +/-x/A about 0. Given: total, the sum of
 * all mole fractions, 0 to 0.01. No bound where a distribution coefficient exceeds 2. Source: CCT
 * Guide sec. 2.1 (2018), 3.2, equations (11) and (12).
 */
enum firn_status firn_impurity_maximum(struct firn_tape *tape, const char *name, double total,
				       double A_per_K, struct firn_node *ret_dt_K);

/*
 * firn_impurities_left - the same effect when part of the sample has frozen and the liquid is well
 * mixed: dT = sum x_i m_i F^(k_i - 1), F the fraction that is still liquid, 1e-3 to 1.
 *
 * n, x, slope as above; k solid over liquid, 0 to 20. With every k = 0 and m = -1/A it is Raoult's
 * -x/(F A). Source: CCT Guide sec. 2.1 (2018), equations (4) and (5) (Gulliver-Scheil).
 */
enum firn_status firn_impurities_left(size_t n, const struct firn_node *x,
				      const struct firn_node *slope_K, const struct firn_node *k,
				      struct firn_node F, struct firn_node *ret_dt_K);

/*
 * firn_effective_k - distribution coefficient where the liquid mixes in part: k/(k + (1 - k)
 * exp(-v d/D)).
 *
 * k 0 to 20; vd_over_D: speed of the interface times thickness of the boundary layer over the
 * coefficient of diffusion, 0 (mixed: k itself) to 100. Source: as above, equation (7).
 */
enum firn_status firn_effective_k(struct firn_node k, struct firn_node vd_over_D,
				  struct firn_node *ret_k);

/*
 * firn_unmixed_solid - what of an impurity the solid holds at depth x behind the first front when
 * the liquid does not mix: c (1 - (1 - k) exp(-k v x/D)), as a fraction of c.
 *
 * k 0 to 20; kvx_over_D without the k: v x/D, 0 to 1e6. Source: as above, equation (8).
 */
enum firn_status firn_unmixed_solid(double k, double vx_over_D, double *ret_of_c);

/*
 * firn_estimated_dof - degrees of freedom of an uncertainty that is itself known only within q
 * (relative standard uncertainty of u, 0.01 to 10): q^-2 (1 + 3 q + 1.2 q^2)/2.
 *
 * The usual q^-2/2 (JCGM 100:2008, G.4.2) is for small q, and gives 0.5 where this gives 2.6, at q
 * = 1. Source: CCT Guide sec. 2.1 (2018), equation (13).
 */
enum firn_status firn_estimated_dof(double q, double *ret_dof);

#endif
