/* What a cell really does, when it is what its laboratory states of it and the errors drawn. */
#ifndef SIMULATE_CELL_TRUTH_H
#define SIMULATE_CELL_TRUTH_H

#include "app/simulate/draws.h"

#include "app/lab/calibration.h"

/*
 * The temperature at the thermometer during a visit to a cell, and the one the scale defines for
 * it. One cell has the same errors at every visit. The term `stability` is left out: it is the
 * thermometer that moves, not the cell.
 */
double simulate_cell_K(const struct simulate_draws *draws, const lab_calibration *record,
		       const struct lab_visit *visit);
double simulate_defined_K(const lab_calibration *record, const struct lab_visit *visit);

#endif
