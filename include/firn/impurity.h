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

#endif
