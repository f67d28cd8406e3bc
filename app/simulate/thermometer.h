/* A thermometer whose every W is known. */
#ifndef SIMULATE_THERMOMETER_H
#define SIMULATE_THERMOMETER_H

#include "app/simulate/draws.h"
#include "app/simulate/laboratory.h"

enum { SIMULATE_INTERVALS = 10 }; /* between fixed points, where departures are drawn */

struct simulate_thermometer {
	struct simulate_thermometer_side {
		const struct firn_subrange *form; /* NULL: never used there */
		enum firn_subrange_id id;
		double c[FIRN_MOST_COEFFICIENTS], w_al;
		double w_sn, w_zn; /* its own; for equation (54) */
	} below, above;
	double non_uniqueness[SIMULATE_INTERVALS], inconsistency[SIMULATE_INTERVALS]; /* drawn */
};

void simulate_thermometer(const struct simulate_laboratory *laboratory,
			  const struct simulate_draws *draws, struct simulate_thermometer *ret);

/*
 * simulate_w - W at a temperature, and its slope.
 *
 * above: by its function for 0 degC and higher, otherwise by that for 273.16 K and lower; between
 * the two both hold. departing: with non-uniqueness and subrange inconsistency, which are zero at
 * the fixed points; otherwise by the deviation function alone. Returned false outside the
 * thermometer's range.
 * Near 273.16 K the reference functions miss 1 by up to 1e-8: the triple point of water itself is
 * W = 1 by definition, and no business of this function.
 */
bool simulate_w(const struct simulate_thermometer *thermometer, bool above, double t90_K,
		bool departing, double *ret_w, double *ret_dw_per_K);

#endif
