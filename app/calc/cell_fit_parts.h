/* The steps of `firn cell fit`. */
#ifndef CALC_CELL_FIT_PARTS_H
#define CALC_CELL_FIT_PARTS_H

#include "app/calc/cell_stem.h"
#include "app/lab/cell_fit.h"

/* Computes one arrangement; whatever it needs is stated. from_K, within_K: as in lab_cell_fit. */
struct cell_fit_question {
	double from_K, within_K, wanted_K;
	bool fitted; /* times from recorded insertions */
};
struct lab_fit_case cell_fit_case(struct cell_tape *t, const struct cell_stem *s,
				  const struct cell_fit_question *q);

/* The error by the grid, beside the closed form; nothing when it can't be told. */
void cell_fit_grid(struct cell_tape *t, const struct cell_stem *s, struct lab_fit_case *c);

/* Likewise the time to settle; c has a time constant already. */
void cell_fit_grid_time(struct cell_tape *t, const struct cell_stem *s,
			const struct cell_fit_question *q, struct lab_fit_case *c);

/* The term and the verdict, by the larger of what closed form and grid find. */
void cell_fit_judge(const struct lab_cell_study *study, double wanted_K, struct lab_fit_case *c);

/* The same arrangement with one thing changed, for every change that makes sense. */
void cell_fit_alternatives(const struct lab_cell_study *study, const struct cell_fit_question *q,
			   struct lab_cell_fit *fit);

/* The budget of a node, largest first. */
void cell_fit_budget(struct firn_node y, GArray *ret, GStringChunk *text);

#endif
