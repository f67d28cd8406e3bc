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

static enum firn_status adjustment_make(const struct firn_ensemble *e,
					const struct ensemble_extra *extra, struct adjustment *ret)
{
	enum firn_status status = ensemble_system_make(e, extra, &ret->system);

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
	status = adjustment_make(ensemble, NULL, &a);
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

enum firn_status firn_ensemble_leave_one_out(const struct firn_ensemble *ensemble, size_t k,
					     struct firn_left_out *ret)
{
	double with[2 * FIRN_ENSEMBLE_CELLS], without[2 * FIRN_ENSEMBLE_CELLS];
	struct firn_ensemble reduced = *ensemble;
	struct adjustment all, others;
	enum firn_status status;
	bool *left_out;

	if (!is_ensemble(ensemble) || k >= ensemble->n)
		return FIRN_E_DOMAIN;
	left_out = calloc(ensemble->n, sizeof(*left_out));
	if (left_out == NULL)
		return FIRN_E_MEMORY;
	for (size_t i = 0; i < ensemble->n; i++)
		left_out[i] = i == k || (ensemble->left_out != NULL && ensemble->left_out[i]);
	reduced.left_out = left_out;
	status = adjustment_make(ensemble, NULL, &all);
	if (status >= 0) {
		status = adjustment_make(&reduced, NULL, &others);
		if (status < 0)
			adjustment_free(&all);
	}
	free(left_out);
	if (status < 0)
		return status;

	const struct firn_difference *d = &ensemble->differences[k];
	const double chi2 = chi2_of(&others, without);
	struct firn_left_out out = { .chi2 = chi2,
				     .dof = (double)(others.system.m - others.system.n) };

	if (isnan(chi2) || isnan(chi2_of(&all, with))) {
		status = FIRN_E_MEMORY;
	} else {
		out.deviation_K =
		    firn_value(d->dt_K) - ensemble_predicted(&others.system, d, without);
		out.u_K = hypot(d->u_K, ensemble_predicted_u(&others.system, d));
		for (size_t i = 0; i < ensemble->n_cells; i++)
			if (fabs(without[i] - with[i]) > fabs(out.moves_K)) {
				out.moved = i;
				out.moves_K = without[i] - with[i];
			}
		*ret = out;
		status = FIRN_OK;
	}
	adjustment_free(&all);
	adjustment_free(&others);
	return status;
}

enum firn_status firn_ensemble_step(const struct firn_ensemble *ensemble, size_t cell,
				    double t_year, struct firn_step *ret)
{
	const struct ensemble_extra extra = { .cell = cell, .t_year = t_year };
	double x[2 * FIRN_ENSEMBLE_CELLS + 1], chi2;
	struct adjustment a;
	enum firn_status status;

	if (!is_ensemble(ensemble) || cell >= ensemble->n_cells || !isfinite(t_year))
		return FIRN_E_DOMAIN;
	status = adjustment_make(ensemble, &extra, &a);
	if (status < 0)
		return status;
	chi2 = chi2_of(&a, x);
	status = isnan(chi2) ? FIRN_E_MEMORY : FIRN_OK;
	if (status == FIRN_OK)
		*ret = (struct firn_step){ .step_K = x[a.system.n - 1],
					   .u_K = ensemble_unknown_u(&a.system, a.system.n - 1),
					   .chi2 = chi2,
					   .dof = (double)(a.system.m - a.system.n) };
	adjustment_free(&a);
	return status;
}
