/* One calibration as it is measured: visits, readings, and what was true while they were taken. */
#ifndef SIMULATE_MEASURE_H
#define SIMULATE_MEASURE_H

#include "app/simulate/thermometer.h"

struct simulate_calibration {
	lab_calibration *record; /* what calc_reduce() is given */
	struct simulate_thermometer thermometer;
	GArray *r_tpw_ohm; /* double, of each visit: R(TPW) in the state it was in then */
};

/* Draws the thermometer and every error of a calibration, and takes the readings. What the
   laboratory estimated from repeats it states as it came out. */
void simulate_measure(const struct simulate_laboratory *laboratory,
		      const struct simulate_draws *draws, struct simulate_calibration *ret);
void simulate_calibration_clear(struct simulate_calibration *calibration);
typedef struct simulate_calibration simulate_calibration;
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(simulate_calibration, simulate_calibration_clear)

#endif
