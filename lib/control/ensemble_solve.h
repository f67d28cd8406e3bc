/*
 * The equations of an ensemble: for lib/control only.
 *
 * Unknowns: a value for every cell, then a rate for every cell that drifts. Rows: comparisons that
 * take part, known rates, and one or two that hold the datum. The datum's rows fix just what
 * nothing else does, so their weight is of no effect.
 */
#ifndef LIB_CONTROL_ENSEMBLE_SOLVE_H
#define LIB_CONTROL_ENSEMBLE_SOLVE_H

#include "firn/ensemble.h"

#include <stdint.h>

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
	double head[2 * FIRN_ENSEMBLE_CELLS], scale[2 * FIRN_ENSEMBLE_CELLS];
	size_t rate_of[FIRN_ENSEMBLE_CELLS]; /* the unknown; at or above n: none */
	double t0_year;
};

enum firn_status ensemble_system_make(const struct firn_ensemble *e, struct ensemble_system *ret);
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

/* Variance of a difference as predicted, by the weights, and (A'A)^-1 of its row: what the unknowns
   change by when it changes. */
double ensemble_influence(const struct ensemble_system *s, const struct firn_difference *d,
			  double *ret_influence);

/* Q' x in place: the last m - n elements are what no unknowns make up for. */
void ensemble_rotate(const struct ensemble_system *s, double *x);

/* What a step of a cell from a date on adds to a row. */
double ensemble_step_column(const struct firn_ensemble *e, const struct ensemble_system *s,
			    size_t row, size_t cell, double t_year);

#endif
