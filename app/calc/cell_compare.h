/* Comparisons of cells, adjusted over years. */
#ifndef CALC_CELL_COMPARE_H
#define CALC_CELL_COMPARE_H

#include "app/lab/cell_compare.h"

/*
 * calc_cell_compare - each difference freed of isotopes and head, then all of them adjusted by
 * least squares: the value of every cell above the datum at a day, its drift, chi-squared, each
 * comparison against the others, and steps of a cell that are beyond chance.
 *
 * A cell may be corrected only against a named reference; with the mean as datum the values test
 * the budgets. NULL, with messages, when the comparisons do not tie every cell.
 */
lab_cell_compare *calc_cell_compare(const lab_cell_comparison *comparison, base_messages *messages);

#endif
