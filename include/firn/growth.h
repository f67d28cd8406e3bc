/*
 * Ice that grows on a well, or inwards from the envelope, on a tape: quasi-steady, with what lies
 * between ice and coolant in series. firn/heat.h has the same in plain numbers.
 *
 * Statuses: FIRN_OK; FIRN_E_DOMAIN: a number is not finite or out of the range stated; the tape's
 * own. Results are untouched when the status is negative.
 */
#ifndef FIRN_GROWTH_H
#define FIRN_GROWTH_H

#include "firn/tape.h"

struct firn_growth {
	struct firn_node r_cold_m;        /* of the surface that is cooled, above 0 */
	struct firn_node below_K;         /* coolant under the freezing point, above 0 */
	struct firn_node series_Km_per_W; /* from that surface to the coolant, 0 and more */
	struct firn_node k_W_per_mK, density_kg_per_m3, latent_J_per_kg; /* of the ice, above 0 */
};

/*
 * firn_growth_time - seconds until the front has come from the cold surface to r_front_m, outwards
 * or inwards (firn_cylinder_time).
 *
 * Heat of the ice itself is neglected: at Ste = cp dT/L of 0.03 (5 K) 1 %, at 0.49 (dry ice) 16 %
 * too short in the slab; a contact that is worse than ice makes it less.
 */
enum firn_status firn_growth_time(const struct firn_growth *growth, struct firn_node r_front_m,
				  struct firn_node *ret_s);

/*
 * firn_growth_contact - the coefficient h of the contact between coolant and well, from a record of
 * the ice's thickness against time.
 *
 * growth->series is what else lies in series, without the contact, whose resistance is
 * 1/(2 pi r h). Rows: t_i = a_i + b_i/h with a, b by the formula above; 1/h by least squares with
 * rows weighted by 1/t (the thickness is known to a part of itself); u from the residuals, n - 1
 * degrees of freedom. Uncertainties of growth take no part.
 *
 * Given: contact_r_m, above 0; n rows, times and front radii that differ from r_cold.
 * Status: FIRN_E_SINGULAR: the record is faster than a perfect contact allows; FIRN_WARN_FEW: one
 * row alone: u is then taken as half of the value (ours).
 */
enum firn_status firn_growth_contact(const struct firn_growth *growth, double contact_r_m, size_t n,
				     const double *time_s, const double *r_front_m,
				     struct firn_node *ret_h_W_per_m2K);

#endif
