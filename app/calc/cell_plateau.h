/* A freezing or melting curve, its furnace, and the budget of the point. */
#ifndef CALC_CELL_PLATEAU_H
#define CALC_CELL_PLATEAU_H

#include "app/lab/cell_plateau.h"

/*
 * calc_cell_plateau - start, supercooling and end of the curve; the part transformed, by time or by
 * heat; the liquidus point (a freeze: its maximum; a melt: the fit in F or in 1/F that leaves
 * less); what the slope in 1/F would mean, which validates impurities and corrects nothing; furnace
 * tests with their limits; and a budget.
 *
 * Usual, where the file says nothing: a window of 1/200 of the record, a recalescence of at least 5
 * mK, a fit from 0.1 to 0.5 of the sample. Those three are ours. NULL, with messages, when there is
 * no plateau, or the readings show none.
 */
lab_cell_plateau *calc_cell_plateau(const struct lab_cell_study *study, base_messages *messages);

#endif
