#include "lib/control/ensemble_solve.h"

#include "lib/num/qr.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool takes_part(const struct firn_ensemble *e, size_t i)
{
	return e->left_out == NULL || !e->left_out[i];
}

static bool has_known_rate(const struct firn_ensemble *e, size_t i)
{
	return e->cells[i].drifts && e->cells[i].rate_K_per_year.index != 0;
}

/* Whether nothing holds the level of all drifts: every cell drifts and no rate is known. */
static bool rates_float(const struct firn_ensemble *e)
{
	for (size_t i = 0; i < e->n_cells; i++)
		if (!e->cells[i].drifts || has_known_rate(e, i))
			return false;
	return true;
}

static void list_rows(const struct firn_ensemble *e, struct ensemble_system *s)
{
	for (size_t i = 0; i < e->n; i++)
		if (takes_part(e, i))
			s->rows[s->m++] = (struct ensemble_row){ ENSEMBLE_DIFFERENCE, i };
	for (size_t i = 0; i < e->n_cells; i++)
		if (has_known_rate(e, i))
			s->rows[s->m++] = (struct ensemble_row){ ENSEMBLE_RATE, i };
	if (e->datum.kind == FIRN_DATUM_CELL) {
		s->rows[s->m++] = (struct ensemble_row){ ENSEMBLE_VALUE, e->datum.cell };
		return;
	}
	s->rows[s->m++] = (struct ensemble_row){ ENSEMBLE_NOUGHT, 0 };
	if (rates_float(e))
		s->rows[s->m++] = (struct ensemble_row){ ENSEMBLE_NOUGHT, 1 };
}

static void fill_difference(const struct ensemble_system *s, const struct firn_difference *d,
			    double *row)
{
	const double years = d->t_year - s->t0_year;

	row[d->a] += 1.0;
	row[d->b] -= 1.0;
	if (s->rate_of[d->a] < s->n)
		row[s->rate_of[d->a]] += years;
	if (s->rate_of[d->b] < s->n)
		row[s->rate_of[d->b]] -= years;
}

static void fill_nought(const struct firn_ensemble *e, const struct ensemble_system *s,
			bool of_rates, double *row)
{
	for (size_t i = 0; i < e->n_cells; i++)
		row[of_rates ? s->rate_of[i] : i] =
		    e->datum.weights == NULL ? 1.0 : e->datum.weights[i];
}

/* A typical u, so that the datum's rows weigh like the others. */
static double typical_u(const struct firn_ensemble *e)
{
	double least = e->differences[0].u_K;

	for (size_t i = 1; i < e->n; i++)
		least = fmin(least, e->differences[i].u_K);
	return least;
}

static void fill(const struct firn_ensemble *e, struct ensemble_system *s)
{
	for (size_t i = 0; i < s->m; i++) {
		const size_t of = s->rows[i].of;
		double *row = s->plain + i * s->n;

		switch (s->rows[i].kind) {
		case ENSEMBLE_DIFFERENCE:
			fill_difference(s, &e->differences[of], row);
			s->u[i] = e->differences[of].u_K;
			break;
		case ENSEMBLE_RATE:
			row[s->rate_of[of]] = 1.0;
			s->u[i] = firn_u(e->cells[of].rate_K_per_year);
			break;
		case ENSEMBLE_VALUE:
			row[of] = 1.0;
			s->u[i] = typical_u(e);
			break;
		case ENSEMBLE_NOUGHT:
			fill_nought(e, s, of == 1, row);
			s->u[i] = typical_u(e);
			break;
		}
	}
}

void ensemble_system_free(struct ensemble_system *s)
{
	free(s->rows);
	free(s->u);
	free(s->plain);
	free(s->qr);
	s->rows = NULL;
	s->u = s->plain = s->qr = NULL;
}

enum firn_status ensemble_system_make(const struct firn_ensemble *e, struct ensemble_system *ret)
{
	const size_t most_rows = e->n + e->n_cells + 2;

	*ret = (struct ensemble_system){ .n = e->n_cells, .t0_year = e->t0_year };
	for (size_t i = 0; i < e->n_cells; i++)
		ret->rate_of[i] = e->cells[i].drifts ? ret->n++ : SIZE_MAX;
	ret->rows = calloc(most_rows, sizeof(*ret->rows));
	ret->u = calloc(most_rows, sizeof(*ret->u));
	ret->plain = calloc(most_rows * ret->n, sizeof(*ret->plain));
	ret->qr = calloc(most_rows * ret->n, sizeof(*ret->qr));
	if (ret->rows == NULL || ret->u == NULL || ret->plain == NULL || ret->qr == NULL) {
		ensemble_system_free(ret);
		return FIRN_E_MEMORY;
	}
	list_rows(e, ret);
	fill(e, ret);
	if (ret->m < ret->n) {
		ensemble_system_free(ret);
		return FIRN_E_SINGULAR;
	}
	return FIRN_OK;
}

void ensemble_observed(const struct firn_ensemble *e, const struct ensemble_system *s,
		       struct firn_node *ret)
{
	struct firn_tape *tape = e->differences[0].dt_K.tape;

	for (size_t i = 0; i < s->m; i++) {
		const size_t of = s->rows[i].of;

		switch (s->rows[i].kind) {
		case ENSEMBLE_DIFFERENCE:
			ret[i] = e->differences[of].dt_K;
			break;
		case ENSEMBLE_RATE:
			ret[i] = e->cells[of].rate_K_per_year;
			break;
		case ENSEMBLE_VALUE:
			ret[i] = e->datum.value;
			break;
		case ENSEMBLE_NOUGHT:
			ret[i] = firn_constant(tape, 0.0);
			break;
		}
	}
}

/* Values are of 1e-4 K, rates count by years: columns get the length 1 before rank is judged. */
enum firn_status ensemble_factor(struct ensemble_system *s)
{
	for (size_t k = 0; k < s->n; k++) {
		double norm = 0.0;

		for (size_t i = 0; i < s->m; i++)
			norm = hypot(norm, s->plain[i * s->n + k] / s->u[i]);
		if (!(norm > 0.0))
			return FIRN_E_SINGULAR;
		s->scale[k] = norm;
		for (size_t i = 0; i < s->m; i++)
			s->qr[i * s->n + k] = s->plain[i * s->n + k] / s->u[i] / norm;
	}
	return num_qr(s->m, s->n, s->qr, s->head);
}

void ensemble_solve(const struct ensemble_system *s, double *y, double *ret_x)
{
	num_qr_apply_transposed(s->m, s->n, s->qr, s->head, y);
	num_qr_solve(s->n, s->qr, y);
	for (size_t k = 0; k < s->n; k++)
		ret_x[k] = y[k] / s->scale[k];
}

static double dot(size_t n, const double *a, const double *b)
{
	double sum = 0.0;

	for (size_t i = 0; i < n; i++)
		sum += a[i] * b[i];
	return sum;
}

double ensemble_model(const struct ensemble_system *s, size_t row, const double *x)
{
	return dot(s->n, s->plain + row * s->n, x);
}

double ensemble_predicted(const struct ensemble_system *s, const struct firn_difference *d,
			  const double *x)
{
	double row[2 * FIRN_ENSEMBLE_CELLS] = { 0 };

	fill_difference(s, d, row);
	return dot(s->n, row, x);
}

double ensemble_influence(const struct ensemble_system *s, const struct firn_difference *d,
			  double *ret_influence)
{
	double row[2 * FIRN_ENSEMBLE_CELLS] = { 0 }, z[2 * FIRN_ENSEMBLE_CELLS], u2;

	fill_difference(s, d, row);
	for (size_t k = 0; k < s->n; k++)
		z[k] = row[k] / s->scale[k];
	num_qr_solve_transposed(s->n, s->qr, z);
	u2 = dot(s->n, z, z);
	num_qr_solve(s->n, s->qr, z);
	for (size_t k = 0; k < s->n; k++)
		ret_influence[k] = z[k] / s->scale[k];
	return u2;
}

void ensemble_rotate(const struct ensemble_system *s, double *x)
{
	num_qr_apply_transposed(s->m, s->n, s->qr, s->head, x);
}

double ensemble_step_column(const struct firn_ensemble *e, const struct ensemble_system *s,
			    size_t row, size_t cell, double t_year)
{
	const struct firn_difference *d = &e->differences[s->rows[row].of];

	if (s->rows[row].kind != ENSEMBLE_DIFFERENCE || d->t_year < t_year)
		return 0.0;
	return (d->a == cell ? 1.0 : 0.0) - (d->b == cell ? 1.0 : 0.0);
}

/* ---- What is loose ---- */

/* Cells reached from those marked, over comparisons that take part. */
static void spread(const struct firn_ensemble *e, bool *reached)
{
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < e->n; i++) {
			const struct firn_difference *d = &e->differences[i];

			if (takes_part(e, i) && reached[d->a] != reached[d->b]) {
				reached[d->a] = reached[d->b] = true;
				more = true;
			}
		}
	}
}

/* Whether the rates of a cell can be told from its values: its comparisons lie at two dates. */
static bool has_two_dates(const struct firn_ensemble *e, size_t cell)
{
	double first = (double)NAN;

	for (size_t i = 0; i < e->n; i++) {
		const struct firn_difference *d = &e->differences[i];

		if (!takes_part(e, i) || (d->a != cell && d->b != cell))
			continue;
		if (isnan(first))
			first = d->t_year;
		else if (d->t_year != first)
			return true;
	}
	return false;
}

bool firn_ensemble_loose(const struct firn_ensemble *ensemble, size_t *ret_cell, bool *ret_rate)
{
	bool reached[FIRN_ENSEMBLE_CELLS] = { false };
	const bool by_cell = ensemble->datum.kind == FIRN_DATUM_CELL;
	struct ensemble_system s;
	bool loose;

	reached[by_cell ? ensemble->datum.cell : 0] = true;
	spread(ensemble, reached);
	*ret_rate = false;
	for (size_t i = 0; i < ensemble->n_cells; i++)
		if (!reached[i]) {
			*ret_cell = i;
			return true;
		}
	*ret_rate = true;
	for (size_t i = 0; i < ensemble->n_cells; i++)
		if (ensemble->cells[i].drifts && !has_known_rate(ensemble, i) &&
		    !has_two_dates(ensemble, i)) {
			*ret_cell = i;
			return true;
		}
	/* All drift and nothing says how fast: no cell more than another, so the datum's is named.
	 */
	*ret_cell = by_cell ? ensemble->datum.cell : 0;
	if (ensemble_system_make(ensemble, &s) < 0)
		return true;
	loose = ensemble_factor(&s) < 0;
	ensemble_system_free(&s);
	return loose;
}
