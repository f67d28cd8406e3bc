/* Least squares over comparisons of cells. What the equations look like: ensemble_solve.c. */
#include "firn/ensemble.h"

#include "lib/control/ensemble_solve.h"

#include <math.h>
#include <stdlib.h>

static bool is_datum(const struct firn_ensemble *e)
{
	double sum = 0.0;

	if (e->datum.kind == FIRN_DATUM_CELL)
		return e->datum.cell < e->n_cells && isfinite(firn_value(e->datum.value));
	if (e->datum.kind != FIRN_DATUM_MEAN)
		return false;
	for (size_t i = 0; e->datum.weights != NULL && i < e->n_cells; i++) {
		if (!(e->datum.weights[i] >= 0.0) || !isfinite(e->datum.weights[i]))
			return false;
		sum += e->datum.weights[i];
	}
	return e->datum.weights == NULL || sum > 0.0;
}

static bool is_difference(const struct firn_ensemble *e, const struct firn_difference *d)
{
	return d->a < e->n_cells && d->b < e->n_cells && d->a != d->b && isfinite(d->t_year) &&
	       fabs(firn_value(d->dt_K)) <= 10.0 && d->u_K > 0.0 && isfinite(d->u_K);
}

static bool is_ensemble(const struct firn_ensemble *e)
{
	if (e->n_cells < 2 || e->n_cells > FIRN_ENSEMBLE_CELLS || e->n < 1 ||
	    e->n > FIRN_ENSEMBLE_ROWS || !isfinite(e->t0_year) || !is_datum(e))
		return false;
	for (size_t i = 0; i < e->n; i++)
		if (!is_difference(e, &e->differences[i]))
			return false;
	for (size_t i = 0; i < e->n_cells; i++) {
		const struct firn_node rate = e->cells[i].rate_K_per_year;

		if (e->cells[i].drifts && rate.index != 0 &&
		    !(isfinite(firn_value(rate)) && firn_u(rate) > 0.0))
			return false;
	}
	return true;
}

/* Numbers and nodes of one system. */
struct adjustment {
	struct ensemble_system system;
	struct firn_node *observed; /* a row each */
};

static void adjustment_free(struct adjustment *a)
{
	ensemble_system_free(&a->system);
	free(a->observed);
}

static enum firn_status adjustment_make(const struct firn_ensemble *e, struct adjustment *ret)
{
	enum firn_status status = ensemble_system_make(e, &ret->system);

	ret->observed = NULL;
	if (status < 0)
		return status;
	ret->observed = calloc(ret->system.m, sizeof(*ret->observed));
	if (ret->observed == NULL)
		status = FIRN_E_MEMORY;
	if (status >= 0) {
		ensemble_observed(e, &ret->system, ret->observed);
		status = ensemble_factor(&ret->system);
	}
	if (status < 0)
		adjustment_free(ret);
	return status;
}

/* Sum of the squares of weighted residuals, which least squares leaves in the last m - n rows. */
static double chi2_of(const struct adjustment *a, double *ret_x)
{
	const struct ensemble_system *s = &a->system;
	double *y = malloc(s->m * sizeof(*y)), chi2 = 0.0;

	if (y == NULL)
		return (double)NAN;
	for (size_t i = 0; i < s->m; i++)
		y[i] = firn_value(a->observed[i]) / s->u[i];
	ensemble_solve(s, y, ret_x);
	free(y);
	for (size_t i = 0; i < s->m; i++) {
		const double r =
		    (firn_value(a->observed[i]) - ensemble_model(s, i, ret_x)) / s->u[i];

		chi2 += r * r;
	}
	return chi2;
}

/* Every unknown as a linear combination of the rows. */
static enum firn_status record(const struct adjustment *a, struct firn_node *ret_x)
{
	const struct ensemble_system *s = &a->system;
	double *columns = malloc(s->m * s->n * sizeof(*columns)), *unit = NULL, *x = NULL;

	if (columns != NULL) {
		unit = malloc(s->m * sizeof(*unit));
		x = malloc(s->n * sizeof(*x));
	}
	if (x == NULL || unit == NULL) {
		free(columns);
		free(unit);
		free(x);
		return FIRN_E_MEMORY;
	}
	for (size_t i = 0; i < s->m; i++) {
		for (size_t k = 0; k < s->m; k++)
			unit[k] = k == i ? 1.0 / s->u[i] : 0.0;
		ensemble_solve(s, unit, x);
		for (size_t k = 0; k < s->n; k++)
			columns[k * s->m + i] = x[k];
	}
	for (size_t k = 0; k < s->n; k++)
		ret_x[k] = firn_linear(s->m, columns + k * s->m, a->observed);
	free(columns);
	free(unit);
	free(x);
	return firn_tape_status(a->observed[0].tape);
}

enum firn_status firn_ensemble_adjust(const struct firn_ensemble *ensemble,
				      struct firn_ensemble_result *ret)
{
	struct firn_node x[2 * FIRN_ENSEMBLE_CELLS];
	double values[2 * FIRN_ENSEMBLE_CELLS], chi2;
	struct adjustment a;
	enum firn_status status;

	if (!is_ensemble(ensemble))
		return FIRN_E_DOMAIN;
	status = adjustment_make(ensemble, &a);
	if (status < 0)
		return status;
	chi2 = chi2_of(&a, values);
	status = isnan(chi2) ? FIRN_E_MEMORY : record(&a, x);
	if (status >= 0) {
		const struct ensemble_system *s = &a.system;

		for (size_t i = 0; i < ensemble->n_cells; i++) {
			ret->value_K[i] = x[i];
			ret->rate_K_per_year[i] =
			    s->rate_of[i] < s->n ? x[s->rate_of[i]] : (struct firn_node){ 0 };
		}
		for (size_t i = 0; i < ensemble->n; i++)
			ret->residual_K[i] =
			    firn_value(ensemble->differences[i].dt_K) -
			    ensemble_predicted(s, &ensemble->differences[i], values);
		ret->chi2 = chi2;
		ret->dof = (double)(s->m - s->n);
		status = FIRN_OK;
	}
	adjustment_free(&a);
	return status;
}

struct firn_node firn_ensemble_value_at(const struct firn_ensemble *ensemble,
					const struct firn_ensemble_result *result, size_t cell,
					double t_year)
{
	const struct firn_node value = result->value_K[cell], rate = result->rate_K_per_year[cell];

	if (rate.index == 0)
		return value;
	const struct firn_node years = firn_constant(value.tape, t_year - ensemble->t0_year);
	return firn_formula("value_at = value + rate*years", value, rate, years);
}

/* By the weights of one adjustment: h is the part of a comparison's own u^2 that its prediction
   has (Cook & Weisberg, Residuals and Influence in Regression (1982), chapter 2; from memory, held
   against adjusting anew in the tests). */
#define LEAST_FREE 1e-8 /* of 1 - h: below it nothing else says anything of the comparison */

static struct firn_left_out left_out_of(const struct firn_ensemble *e, const struct adjustment *a,
					const double *x, double chi2, size_t k)
{
	const struct ensemble_system *s = &a->system;
	const struct firn_difference *d = &e->differences[k];
	const double r = firn_value(d->dt_K) - ensemble_predicted(s, d, x);
	double influence[2 * FIRN_ENSEMBLE_CELLS];
	const double u2 = ensemble_influence(s, d, influence), dof = (double)(s->m - s->n);
	const double h = u2 / (d->u_K * d->u_K), free_part = 1.0 - h;
	struct firn_left_out out = { .deviation_K = r, .chi2 = chi2, .dof = dof };

	if (e->left_out != NULL && e->left_out[k]) {
		out.u_K = sqrt(d->u_K * d->u_K + u2);
		return out;
	}
	if (free_part < LEAST_FREE)
		return (struct firn_left_out){ .is_tie = true,
					       .deviation_K = (double)NAN,
					       .u_K = (double)NAN,
					       .chi2 = (double)NAN,
					       .dof = (double)NAN,
					       .moves_K = (double)NAN };
	out.deviation_K = r / free_part;
	out.u_K = d->u_K / sqrt(free_part);
	out.chi2 = fmax(0.0, chi2 - r * r / (d->u_K * d->u_K) / free_part);
	out.dof = dof - 1.0;
	for (size_t i = 0; i < e->n_cells; i++) {
		const double moves = -influence[i] * r / (d->u_K * d->u_K) / free_part;

		if (fabs(moves) > fabs(out.moves_K)) {
			out.moved = i;
			out.moves_K = moves;
		}
	}
	return out;
}

enum firn_status firn_ensemble_leave_one_out(const struct firn_ensemble *ensemble,
					     struct firn_left_out *ret)
{
	double x[2 * FIRN_ENSEMBLE_CELLS], chi2;
	struct adjustment a;
	enum firn_status status;

	if (!is_ensemble(ensemble))
		return FIRN_E_DOMAIN;
	status = adjustment_make(ensemble, &a);
	if (status < 0)
		return status;
	chi2 = chi2_of(&a, x);
	if (isnan(chi2))
		status = FIRN_E_MEMORY;
	for (size_t k = 0; status >= 0 && k < ensemble->n; k++)
		ret[k] = left_out_of(ensemble, &a, x, chi2, k);
	adjustment_free(&a);
	return status;
}

/* What of the step's column the other unknowns can't make up for, against what they leave of the
   observations. */
static void step_of(const struct firn_ensemble *e, const struct ensemble_system *s,
		    const double *rest, double chi2, double *column, struct firn_step *ret)
{
	double length2 = 0.0, before2 = 0.0, product = 0.0;

	for (size_t i = 0; i < s->m; i++) {
		column[i] = ensemble_step_column(e, s, i, ret->cell, ret->t_year) / s->u[i];
		before2 += column[i] * column[i];
	}
	ensemble_rotate(s, column);
	for (size_t i = s->n; i < s->m; i++) {
		length2 += column[i] * column[i];
		product += column[i] * rest[i];
	}
	ret->dof = (double)(s->m - s->n) - 1.0;
	if (!(length2 > LEAST_FREE * before2)) {
		ret->step_K = 0.0;
		ret->u_K = (double)INFINITY;
		ret->chi2 = chi2;
		return;
	}
	ret->step_K = product / length2;
	ret->u_K = 1.0 / sqrt(length2);
	ret->chi2 = fmax(0.0, chi2 - product * product / length2);
}

enum firn_status firn_ensemble_steps(const struct firn_ensemble *ensemble, size_t n,
				     struct firn_step *steps)
{
	double *rest, *column, chi2 = 0.0;
	struct adjustment a;
	enum firn_status status;

	if (!is_ensemble(ensemble))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (steps[i].cell >= ensemble->n_cells || !isfinite(steps[i].t_year))
			return FIRN_E_DOMAIN;
	status = adjustment_make(ensemble, &a);
	if (status < 0)
		return status;
	rest = malloc(2 * a.system.m * sizeof(*rest));
	if (rest == NULL) {
		adjustment_free(&a);
		return FIRN_E_MEMORY;
	}
	column = rest + a.system.m;
	for (size_t i = 0; i < a.system.m; i++)
		rest[i] = firn_value(a.observed[i]) / a.system.u[i];
	ensemble_rotate(&a.system, rest);
	for (size_t i = a.system.n; i < a.system.m; i++)
		chi2 += rest[i] * rest[i];
	for (size_t i = 0; i < n; i++)
		step_of(ensemble, &a.system, rest, chi2, column, &steps[i]);
	free(rest);
	adjustment_free(&a);
	return FIRN_OK;
}
