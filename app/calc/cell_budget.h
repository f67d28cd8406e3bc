/* Effects of a cell, gathered on a tape into a budget. */
#ifndef CALC_CELL_BUDGET_H
#define CALC_CELL_BUDGET_H

#include "app/calc/cell_tape.h"
#include "app/lab/cell_budget.h"
#include "app/lab/cell_records.h"

#define CELL_BUDGET_MOST 100

struct cell_budget {
	struct cell_tape *t;
	lab_cell_budget *ret;
	GPtrArray *reservations; /* char *: what has to be said of a term */
	struct firn_node each[CELL_BUDGET_MOST];
	size_t n;
};

/* An effect under its name; the note says how it is known. All functions below do nothing, but for
   a message, when the tape refuses. */
void cell_budget_add(struct cell_budget *b, const char *name, struct firn_node K, const char *note);

/* An effect that is known to lie within +/- bound, and that bound only within u. */
void cell_budget_bound(struct cell_budget *b, const char *name, const struct lab_estimate *bound,
		       const char *note);

void cell_budget_head(struct cell_budget *b, const struct lab_quantity *depth_m);
void cell_budget_isotopes(struct cell_budget *b); /* of a water cell */
void cell_budget_content(struct cell_budget *b, const struct lab_content *content);
void cell_budget_terms(struct cell_budget *b, const GArray *terms);

/* The sum with its coverage factor and its inputs. */
void cell_budget_close(struct cell_budget *b);

/* A reservation, kept with the result. */
void cell_budget_reserve(struct cell_budget *b, const char *format, ...) G_GNUC_PRINTF(2, 3);

#endif
