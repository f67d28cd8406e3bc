/* Whether a thermometer reaches equilibrium in a cell, and how good the result can be. */
#ifndef CALC_CELL_FIT_H
#define CALC_CELL_FIT_H

#include "app/lab/cell_fit.h"

/*
 * calc_cell_fit - the arrangement as stated, by closed forms, and its error by the grid too;
 * alternatives by closed forms; error against depth; what the error's uncertainty is made of.
 *
 * Verdict, for water, gallium and ice: the term of immersion (the larger error of both ways as a
 * bound, rectangular, and the u of the closed form) against the standard uncertainty wanted. Up to
 * a third of it fits: it adds at most 6 % to the whole (the third is ours). NULL, with messages,
 * when something that it needs is not stated.
 */
lab_cell_fit *calc_cell_fit(const struct lab_cell_study *study, base_messages *messages);

#endif
