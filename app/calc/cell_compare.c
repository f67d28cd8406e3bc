#include "app/calc/cell_compare.h"

#include "app/calc/cell_compare_parts.h"
#include "firn/consensus.h"

#include <math.h>

#define DAYS_PER_YEAR 365.25
#define COVERAGE      0.95

double compare_year(int day)
{
	return (double)day / DAYS_PER_YEAR;
}

int compare_day(double year)
{
	return (int)lround(year * DAYS_PER_YEAR);
}

void compare_lacks(struct compare_work *w, struct base_mark mark, const char *format, ...)
{
	va_list arguments;

	w->failed = true;
	va_start(arguments, format);
	base_messages_add_valist(w->messages, BASE_ERROR, w->record->path, mark, format, arguments);
	va_end(arguments);
}

void compare_reserve(struct compare_work *w, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(w->ret->reservations, g_string_chunk_insert(w->ret->text, text));
}

const char *compare_cell_name(const struct compare_work *w, size_t i)
{
	return LAB_AT(w->record->cells, lab_compared_cell, i)->id;
}

/* The name of what is loose, for a person. */
static void tell_loose(struct compare_work *w)
{
	size_t cell;
	bool of_rate;

	if (!firn_ensemble_loose(&w->ensemble, &cell, &of_rate))
		compare_lacks(w, (struct base_mark){ 1, 1 },
			      "the comparisons do not determine all values and drifts");
	else if (of_rate)
		compare_lacks(w, LAB_AT(w->record->cells, lab_compared_cell, cell)->mark,
			      "nothing says how fast cell %s drifts: compare it at two dates with "
			      "cells that do not drift, or give its drift_uK_per_year or glass",
			      compare_cell_name(w, cell));
	else
		compare_lacks(w, LAB_AT(w->record->cells, lab_compared_cell, cell)->mark,
			      "no chain of comparisons leads from cell %s to the datum; compare it "
			      "with one of the others, or leave it out",
			      compare_cell_name(w, cell));
}

static int day_of_values(const struct compare_work *w)
{
	int last = 0;

	for (guint i = 0; i < w->record->differences->len; i++)
		last = MAX(last, LAB_AT(w->record->differences, lab_cell_difference, i)->day);
	return w->record->at_day > 0 ? w->record->at_day : last;
}

static bool adjust(struct compare_work *w)
{
	const enum firn_status status = firn_ensemble_adjust(&w->ensemble, &w->result);

	if (status == FIRN_E_SINGULAR)
		tell_loose(w);
	else if (status < 0)
		compare_lacks(w, (struct base_mark){ 1, 1 },
			      "the comparisons can't be adjusted (%s)", firn_status_text(status));
	return status >= 0;
}

static struct lab_estimate estimate(struct firn_node x)
{
	struct lab_estimate e = { firn_value(x), LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	if (firn_u_dof(x, &e.u, &e.dof) < 0)
		e.u = e.dof = LAB_NOT_GIVEN;
	return e;
}

static void tell_whole(struct compare_work *w, size_t i, struct lab_compared_value *ret)
{
	if (w->isotopes[i].index == 0)
		return;
	ret->whole_K = estimate(firn_add(w->result.value_K[i], w->isotopes[i]));
	ret->whole_k =
	    firn_coverage_factor(COVERAGE, isinf(ret->whole_K.dof) ? 0.0 : ret->whole_K.dof);
	ret->whole_U_K = ret->whole_k * ret->whole_K.u;
}

static void tell_values(struct compare_work *w)
{
	for (guint i = 0; i < w->record->cells->len; i++) {
		const struct lab_compared_cell *cell =
		    LAB_AT(w->record->cells, lab_compared_cell, i);
		const struct firn_node rate = w->result.rate_K_per_year[i];
		struct lab_compared_value x = {
			.K = estimate(w->result.value_K[i]),
			.K_per_year = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN },
			.whole_K = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN },
			.whole_k = LAB_NOT_GIVEN,
			.whole_U_K = LAB_NOT_GIVEN,
		};

		if (rate.index != 0)
			x.K_per_year = estimate(rate);
		x.k = firn_coverage_factor(COVERAGE, isinf(x.K.dof) ? 0.0 : x.K.dof);
		x.U_K = x.k * x.K.u;
		tell_whole(w, i, &x);
		x.budget_ratio = x.K.value / hypot(x.K.u, cell->u_budget_K);
		g_array_append_val(w->ret->values, x);
	}
}

static void tell_fit(struct compare_work *w)
{
	lab_cell_compare *r = w->ret;

	r->consistent = true;
	r->dof = w->result.dof;
	if (!(r->dof > 0.0)) {
		compare_reserve(w, "%s",
				"There are just as many comparisons as unknowns: nothing tests "
				"whether they agree.");
		return;
	}
	r->chi2 = w->result.chi2;
	r->limit = firn_chi_squared_limit(r->dof);
	r->p = firn_chi_squared_p(r->chi2, r->dof);
	r->birge = sqrt(r->chi2 / r->dof);
	r->consistent = r->chi2 <= r->limit;
	if (!r->consistent)
		compare_reserve(w,
				"The comparisons do not agree within what is stated of them: every "
				"u would have to be %.2f times as large. Look at the largest "
				"deviations and steps below before using a value.",
				r->birge);
}

static bool tell_differences(struct compare_work *w)
{
	const guint n = w->record->differences->len;
	g_autofree struct firn_left_out *outs = g_new0(struct firn_left_out, n + 1);

	if (firn_ensemble_leave_one_out(&w->ensemble, outs) < 0)
		return false;
	for (guint i = 0; i < n; i++) {
		const struct lab_compared_difference x = {
			.K = estimate(w->differences[i].dt_K),
			.residual_K = w->result.residual_K[i],
			.deviation_K = outs[i].deviation_K,
			.u_deviation_K = outs[i].u_K,
			.moved = outs[i].is_tie ? -1 : (int)outs[i].moved,
			.moves_K = outs[i].moves_K,
		};

		g_array_append_val(w->ret->differences, x);
	}
	return true;
}

static void tell_datum(struct compare_work *w)
{
	const struct lab_cell_comparison *c = w->record;

	if (c->datum < 0)
		compare_reserve(
		    w, "%s",
		    "The datum is the mean of the cells: the values test their budgets, "
		    "and no cell may be corrected by them.");
	else
		compare_reserve(
		    w,
		    "Values are above the defined temperature as cell %s has it (%s); a "
		    "correction is the value with the other sign, against that "
		    "reference.",
		    compare_cell_name(w, (size_t)c->datum), c->datum_source);
}

static bool compute(struct compare_work *w)
{
	w->ret->day = day_of_values(w);
	if (!compare_gather(w))
		return false;
	w->ensemble.t0_year = compare_year(w->ret->day);
	if (!adjust(w))
		return false;
	tell_values(w);
	tell_fit(w);
	if (!tell_differences(w) || !compare_steps(w)) {
		compare_lacks(w, (struct base_mark){ 1, 1 },
			      "no memory to hold each comparison against the others");
		return false;
	}
	tell_datum(w);
	return true;
}

lab_cell_compare *calc_cell_compare(const lab_cell_comparison *comparison, base_messages *messages)
{
	const guint n = comparison->differences->len, n_cells = comparison->cells->len;
	g_autoptr(lab_cell_compare) ret = lab_cell_compare_new();
	struct compare_work w = {
		.tape = firn_tape_new(),
		.record = comparison,
		.messages = messages,
		.ret = ret,
		.cells = g_new0(struct firn_ensemble_cell, n_cells),
		.isotopes = g_new0(struct firn_node, n_cells),
		.differences = g_new0(struct firn_difference, n + 1),
		.result = { .value_K = g_new0(struct firn_node, n_cells),
			    .rate_K_per_year = g_new0(struct firn_node, n_cells),
			    .residual_K = g_new0(double, n + 1) },
	};
	bool good = false;

	if (w.tape == NULL)
		base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
				  "no memory for the model");
	else
		good = compute(&w) && !w.failed;
	firn_tape_free(w.tape);
	g_free(w.cells);
	g_free(w.isotopes);
	g_free(w.differences);
	g_free(w.result.value_K);
	g_free(w.result.rate_K_per_year);
	g_free(w.result.residual_K);
	return good ? g_steal_pointer(&ret) : NULL;
}
