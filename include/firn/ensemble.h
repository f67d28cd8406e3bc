/*
 * Cells compared with one another over years: the value and drift of each by least squares.
 *
 * A value is what a cell's temperature is above that of the datum at the date t0 (K), after
 * whatever each comparison has taken off already (isotopes, head, pressure, mantle age); a drift is
 * its change per year. Two cells of an ensemble may be one in glass: what was broken and refilled,
 * or replaced, is another cell from that day on.
 *
 * Status: FIRN_OK; FIRN_E_DOMAIN: a number out of the range stated or a cell that is not there;
 * FIRN_E_SINGULAR: the comparisons do not tie every cell, or its drift, to the datum
 * (firn_ensemble_loose says which); FIRN_E_MEMORY; or the tape's failure. Results are untouched
 * when it is negative.
 */
#ifndef FIRN_ENSEMBLE_H
#define FIRN_ENSEMBLE_H

#include "firn/tape.h"

#include <stdbool.h>

#define FIRN_ENSEMBLE_CELLS 64 /* at most; the limit is ours, as the next */
#define FIRN_ENSEMBLE_ROWS  2000

struct firn_ensemble_cell {
	bool drifts;                      /* its rate is looked for; otherwise it is 0 */
	struct firn_node rate_K_per_year; /* what is known of it beforehand: an observation with
					     its value and u above 0. Index 0: nothing */
};

/* One comparison: the temperature of cell a less that of b. */
struct firn_difference {
	size_t a, b;
	double t_year;         /* date in years, any zero */
	struct firn_node dt_K; /* within +/-10; its u in it, shared inputs and all */
	double u_K; /* what it does not share with other comparisons: the weight is 1/u^2;
		       above 0 */
};

enum firn_datum_kind {
	FIRN_DATUM_CELL, /* one cell has a stated value: a reference cell, or its certificate */
	FIRN_DATUM_MEAN, /* the weighted mean of the cells' values, and of the drifts, is 0 */
};

struct firn_datum {
	enum firn_datum_kind kind;
	size_t cell;            /* of FIRN_DATUM_CELL */
	struct firn_node value; /* K, at t0; its u is that of the reference */
	const double *weights;  /* of FIRN_DATUM_MEAN: one a cell, 0 and more, not all 0; NULL: 1 */
};

struct firn_ensemble {
	size_t n_cells; /* 2 to FIRN_ENSEMBLE_CELLS */
	const struct firn_ensemble_cell *cells;
	size_t n; /* 1 to FIRN_ENSEMBLE_ROWS */
	const struct firn_difference *differences;
	const bool *left_out; /* n: true takes no part; NULL: all take part */
	struct firn_datum datum;
	double t0_year;
};

struct firn_ensemble_result {
	struct firn_node *value_K;         /* n_cells, at t0 */
	struct firn_node *rate_K_per_year; /* n_cells; index 0 where the cell does not drift */
	double
	    *residual_K; /* n: the comparison less what the solution makes of it, left out or not */
	double chi2, dof; /* of what took part, known rates included; dof 0: chi2 says nothing */
};

/*
 * firn_ensemble_adjust - weighted least squares over all comparisons that take part.
 *
 * The solution is recorded as linear combinations of the comparisons, the known rates and the
 * datum's value, so its covariance holds what they share. The datum adds nothing to chi2.
 *
 * A constraint (FIRN_DATUM_MEAN) gives values that test a budget; it makes no cell right. A cell
 * may be corrected only against a named reference, with the u that comes with it.
 */
enum firn_status firn_ensemble_adjust(const struct firn_ensemble *ensemble,
				      struct firn_ensemble_result *ret);

/* The first cell that is not tied to the datum, in *ret_cell, and whether it is its value or only
   its rate that is loose; false: every one is tied. Only for an ensemble whose numbers are valid.
 */
bool firn_ensemble_loose(const struct firn_ensemble *ensemble, size_t *ret_cell, bool *ret_rate);

/* The value of a cell at any date: value + rate (t - t0). */
struct firn_node firn_ensemble_value_at(const struct firn_ensemble *ensemble,
					const struct firn_ensemble_result *result, size_t cell,
					double t_year);

/* One comparison against what all the others say of it. */
struct firn_left_out {
	bool is_tie; /* the only tie of a cell or of its drift: the rest is NaN, and moved 0 */
	double deviation_K; /* measured less predicted */
	double u_K;         /* of that: its own u_K, and that of the prediction by weights */
	double chi2, dof;   /* of the others */
	size_t moved;       /* the cell whose value at t0 moves most without it */
	double moves_K;     /* by so much (value without less value with) */
};

/* For all n at once, from one adjustment; of a comparison that is left out already, the deviation
   from the others as they are. */
enum firn_status firn_ensemble_leave_one_out(const struct firn_ensemble *ensemble,
					     struct firn_left_out *ret);

/*
 * firn_ensemble_steps - had a cell stepped at a date (moved, refilled, cracked): by how much, for
 * each of n places.
 *
 * The step is one more unknown: what the cell is higher from t_year on. chi2 falls by (step/u)^2,
 * and has one degree of freedom less. u_K is infinite, step_K 0, where there are no comparisons of
 * the cell on one side of the date, or no others to tell the step from a drift. Who looks at n
 * places has n chances: compare |step|/u with the normal distribution at 0.05/n.
 */
struct firn_step {
	size_t cell; /* given */
	double t_year;
	double step_K, u_K, chi2, dof; /* returned */
};
enum firn_status firn_ensemble_steps(const struct firn_ensemble *ensemble, size_t n,
				     struct firn_step *steps);

#endif
