/* The checks of a cell, what each bounds, and the budget of the cell. */
#ifndef CALC_CELL_CHECK_H
#define CALC_CELL_CHECK_H

#include "app/lab/cell_check.h"

/*
 * calc_cell_check - every check that was recorded, judged where there is a limit, with what it
 * can't show; and the cell's temperature minus the defined one, term by term: isotopes,
 * fractionation, impurities (analysed, or judged, or what an inversion showed), foreign gas, mantle
 * age, drift (the laboratory's own, or the prior of the glass), head, and terms of its own.
 *
 * NULL, with messages, when there is no check, or a number in it is out of range.
 */
lab_cell_check *calc_cell_check(const struct lab_cell_study *study, base_messages *messages);

#endif
