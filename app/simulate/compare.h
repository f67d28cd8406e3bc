/* One calibration's results against the truth. */
#ifndef SIMULATE_COMPARE_H
#define SIMULATE_COMPARE_H

#include "app/simulate/measure.h"
#include "app/simulate/simulate.h"

#include "app/lab/calibration_result.h"

/* At a temperature of a table: (estimate - truth)/u of the calibration alone and with departures,
   and whether the intervals hold the truth. */
struct simulate_error {
	double t90_K, u_K, z, z_total;
	bool linear, linear_total, trials;
};

struct simulate_errors {
	GArray *tables[SIMULATE_MOST_JUDGED]; /* struct simulate_error */
	double squares_in_use, u2_in_use;     /* means over the places measured */
	double squares_r_tpw, u2_r_tpw;       /* means over the visits to water */
};

void simulate_compare(const struct simulate_laboratory *laboratory,
		      const struct simulate_calibration *calibration,
		      const struct lab_calibration_result *result, struct simulate_errors *ret);
void simulate_errors_clear(struct simulate_errors *errors);

/* What tells the kind of laboratory: the last members of simulate_result. */
void simulate_look(const struct lab_calibration_result *calibration, struct simulate_result *ret);

#endif
