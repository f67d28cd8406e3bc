/*
 * What furnace and surroundings do to a metal or gas point: coupling, profile, static error.
 *
 * Statuses: FIRN_OK, FIRN_E_DOMAIN, FIRN_E_SINGULAR where said, FIRN_E_MEMORY, or the tape's
 * failure; results are untouched when negative.
 */
#ifndef FIRN_THERMAL_ERROR_H
#define FIRN_THERMAL_ERROR_H

#include "firn/tape.h"

/*
 * firn_furnace_coupling - change of the reading over change of the furnace, from an oscillation of
 * the set point: a line, a sine and a cosine of the period are fitted to both.
 *
 * Given: n readings (10 to 1000000) of cell and furnace at the same times; period_s above 0, at
 * least two of them in the record (FIRN_E_DOMAIN otherwise); the usual amplitude is 0.5 K to 1 K
 * with a period of 30 min or more. FIRN_E_SINGULAR: the furnace does not oscillate beyond its
 * noise. Source: CCT Guide sec. 2.4 (2018), 5.4: below 1e-5 to be neglected, 1e-2 in an example of
 * a bad one; in between corrected or budgeted; ch. 5 (2018), 5.2.1.
 */
#define FIRN_COUPLING_NEGLIGIBLE 1e-5
struct firn_coupling {
	double ratio, u_ratio; /* of the amplitudes */
	double lag_s;          /* of the cell behind the furnace, -period/2 to period/2 */
	double cell_K, furnace_K;
};
enum firn_status firn_furnace_coupling(size_t n, const double *t_s, const double *cell_K,
				       const double *furnace_K, double period_s,
				       struct firn_coupling *ret);

/*
 * firn_half_range - half of largest less smallest, for a stability (12 h, +/-10 mK) or a vertical
 * profile (2 cm steps, +/-10 mK). n from 2. Limits: CCT Guide sec. 2.4 (2018), 5.2.
 */
enum firn_status firn_half_range(size_t n, const double *x, double *ret);

/*
 * firn_static_error - what a steady heat load does between interface and thermometer: dT = load R.
 *
 * load_W within +/-1; R_K_per_W, between cell wall and interface, 0 to 1e4; usual is 1 K/W, so 10
 * uW make 10 uK. Source: CCT Guide sec. 2.3 (2019), 3.2, 3.4, 4.2.
 */
enum firn_status firn_static_error(struct firn_node load_W, struct firn_node R_K_per_W,
				   struct firn_node *ret_dt_K);

/* Heat load from the drift of the whole cell, well away from its melt: C dT/dt; C 0 to 1e5 J/K,
   rate within +/-1 K/s. Source: as above, 3.2. */
enum firn_status firn_heat_load(struct firn_node C_J_per_K, struct firn_node K_per_s,
				struct firn_node *ret_W);

/*
 * firn_least_wait - seconds after a heat pulse until its overheat has decayed to what is allowed:
 * R C ln(overheat/allowed); 0 where it is allowed already.
 *
 * A lower limit: the real recovery may take hours. Source: as above, 3.3.
 */
enum firn_status firn_least_wait(double R_K_per_W, double C_wall_J_per_K, double overheat_K,
				 double allowed_K, double *ret_s);

#endif
