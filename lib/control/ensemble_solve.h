/*
 * The equations of an ensemble: for lib/control only.
 *
 * Unknowns: a value for every cell, then a rate for every cell that drifts, then a step where one
 * is looked for. Rows: comparisons that take part, known rates, and one or two that hold the datum.
 * The datum's rows fix just what nothing else does, so their weight is of no effect.
 */
#ifndef LIB_CONTROL_ENSEMBLE_SOLVE_H
#define LIB_CONTROL_ENSEMBLE_SOLVE_H

#include "firn/ensemble.h"

#include <stdint.h>

/* One more unknown: what a cell is higher from a date on. */
struct ensemble_extra {
	size_t cell;
	double t_year;
};

enum ensemble_row_kind { ENSEMBLE_DIFFERENCE, ENSEMBLE_RATE, ENSEMBLE_VALUE, ENSEMBLE_NOUGHT };

struct ensemble_row {
	enum ensemble_row_kind kind;
	size_t of; /* the difference, or the cell */
};

struct ensemble_system {
	size_t m, n;
	struct ensemble_row *rows;
	double *u;     /* m */
	double *plain; /* m x n, before weights */
	double *qr;    /* m x n, weighted, columns scaled, factored */
	double head[2 * FIRN_ENSEMBLE_CELLS + 1], scale[2 * FIRN_ENSEMBLE_CELLS + 1];
	size_t rate_of[FIRN_ENSEMBLE_CELLS]; /* the unknown; at or above n: none */
	double t0_year;
};

enum firn_status ensemble_system_make(const struct firn_ensemble *e,
				      const struct ensemble_extra *extra,
				      struct ensemble_system *ret);
void ensemble_system_free(struct ensemble_system *s);

/* The right-hand side as nodes. */
void ensemble_observed(const struct firn_ensemble *e, const struct ensemble_system *s,
		       struct firn_node *ret);

enum firn_status ensemble_factor(struct ensemble_system *s);

/* The unknowns for a weighted right-hand side of m, which is overwritten. */
void ensemble_solve(const struct ensemble_system *s, double *y, double *ret_x);

double ensemble_model(const struct ensemble_system *s, size_t row, const double *x);
double ensemble_predicted(const struct ensemble_system *s, const struct firn_difference *d,
			  const double *x);

/* By the weights: of a difference as predicted, and of one unknown. */
double ensemble_predicted_u(const struct ensemble_system *s, const struct firn_difference *d);
double ensemble_unknown_u(const struct ensemble_system *s, size_t k);

#endif
