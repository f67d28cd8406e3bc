/* The steps of a plateau: for cell_plateau*.c only. */
#ifndef CALC_CELL_PLATEAU_PARTS_H
#define CALC_CELL_PLATEAU_PARTS_H

#include "app/calc/cell_budget.h"
#include "app/lab/cell_plateau.h"

struct plateau_work {
	struct cell_tape tape;
	const struct lab_plateau *record;
	lab_cell_plateau *ret;
	struct cell_budget budget;
	size_t n;
	double *t_s, *K, *power_W, *part; /* columns of the rows; part: transformed */
	bool has_power;
};

/* Kept with the result. */
char *plateau_text(struct plateau_work *w, const char *format, ...) G_GNUC_PRINTF(2, 3);
void plateau_check(struct plateau_work *w, const char *name, enum lab_check_state state,
		   char *found, char *bounds, const char *unseen);

void plateau_furnace(struct plateau_work *w); /* stability, vertical profile, coupling */
void plateau_budget(struct plateau_work *w);

#endif
