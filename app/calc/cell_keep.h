/* How a mantle fares from its freezing on: melting or growing, what thermometers cost it, days
 * left. */
#ifndef CALC_CELL_KEEP_H
#define CALC_CELL_KEEP_H

#include "app/lab/cell_keep.h"

/* NULL, with messages, when something that it needs is not stated. */
lab_cell_keep *calc_cell_keep(const struct lab_cell_study *study, base_messages *messages);

#endif
