/* What it takes to freeze a mantle in a water cell. */
#ifndef CALC_CELL_PREPARE_H
#define CALC_CELL_PREPARE_H

#include "app/lab/cell_prepare.h"

/* NULL, with messages, when something that it needs is not stated. */
lab_cell_prepare *calc_cell_prepare(const struct lab_cell_study *study, base_messages *messages);

#endif
