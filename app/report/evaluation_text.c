#include "app/report/text.h"

#include "app/report/columns.h"
#include "app/report/evaluation_trials.h"
#include "app/report/law_causes.h"
#include "app/report/rounding.h"

#include <math.h>
#include <stdlib.h>

#define COUNT(array) ((array) == NULL ? 0u : (array)->len)

static const char *unit_of(const char *unit)
{
	return unit == NULL ? "" : unit;
}

/* "P = 0.24990 W, U = 0.00032 W": the sentence that all the rest explains. */
static void sentence(const struct lab_evaluation *e, const struct lab_evaluated *x, GString *to)
{
	const char *unit = unit_of(x->unit), *space = unit[0] == '\0' ? "" : " ";
	char value[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE],
	    k[REPORT_NUMBER_SIZE], dof[REPORT_NUMBER_SIZE], p[REPORT_NUMBER_SIZE];

	report_pair(x->value, x->u, REPORT_MINUS, value, u);
	report_pair(x->value, x->U, REPORT_MINUS, value, U); /* the value to the digits of this */
	report_fixed(x->k, 2, REPORT_MINUS, k);
	if (x->dof < 1.0)
		report_significant(x->dof, 2, REPORT_MINUS, dof);
	else
		report_fixed(x->dof, 1, REPORT_MINUS, dof);
	g_autoptr(GString) text = g_string_new(NULL);
	g_string_printf(text, "%s = %s%s%s, U = %s%s%s with k = %s", x->name, value, space, unit, U,
			space, unit, k);
	if (lab_given(e->coverage_probability)) {
		report_at_most(100.0 * e->coverage_probability, 4, REPORT_MINUS, p);
		g_string_append_printf(text, " for %s %%", p);
	}
	g_string_append_printf(text, "; u = %s%s%s, %s%s degrees of freedom.", u, space, unit,
			       isfinite(x->dof) ? "" : "unlimited", isfinite(x->dof) ? dof : "");
	report_wrap(to, text->str, 4);
}

/* What the trials give, and one sentence on whether the linear law is good enough. */
static void trials(const struct lab_evaluation *e, const struct lab_evaluated *x, GString *to)
{
	const struct lab_trials *t = &x->trials;
	const char *unit = unit_of(x->unit), *space = unit[0] == '\0' ? "" : " ";
	const double u = isfinite(t->u) ? t->u : 0.5 * (t->high - t->low);
	char value[REPORT_NUMBER_SIZE], shown_u[REPORT_NUMBER_SIZE], low[REPORT_NUMBER_SIZE],
	    high[REPORT_NUMBER_SIZE], p[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new(NULL);

	report_at_most(100.0 * e->trials_probability, 4, REPORT_MINUS, p);
	report_pair(t->value, u, REPORT_MINUS, value, shown_u);
	g_string_append_printf(text, "By %" G_GINT64_FORMAT " trials: ", t->n);
	if (isfinite(t->value))
		g_string_append_printf(text, "%s = %s%s%s, ", x->name, value, space, unit);
	if (isfinite(t->u))
		g_string_append_printf(text, "u = %s%s%s, ", shown_u, space, unit);
	report_pair(t->low, u, REPORT_MINUS, low, shown_u);
	report_pair(t->high, u, REPORT_MINUS, high, shown_u);
	g_string_append_printf(text, "%s %% from %s to %s%s%s", p, low, high, space, unit);
	if (isfinite(t->shortest_low)) {
		report_pair(t->shortest_low, u, REPORT_MINUS, low, shown_u);
		report_pair(t->shortest_high, u, REPORT_MINUS, high, shown_u);
		g_string_append_printf(text, ", shortest from %s to %s%s%s", low, high, space,
				       unit);
	}
	g_string_append_c(text, '.');
	report_wrap(to, text->str, 4);

	char off_low[REPORT_NUMBER_SIZE], off_high[REPORT_NUMBER_SIZE], allowed[REPORT_NUMBER_SIZE],
	    noise[REPORT_NUMBER_SIZE];
	report_significant(fabs(x->value - x->U - t->low), 2, REPORT_MINUS, off_low);
	report_significant(fabs(x->value + x->U - t->high), 2, REPORT_MINUS, off_high);
	report_significant(t->tolerance, 1, REPORT_MINUS, allowed);
	report_significant(fmax(t->low_noise, t->high_noise), 1, REPORT_MINUS, noise);
	g_string_printf(text,
			"The linear law %s for %s: the ends of value ± U differ from those of the "
			"trials by %s and %s%s%s, where %s%s%s is allowed (half the last of %d "
			"digit%s of u) and the trials scatter by %s%s%s.",
			t->linear_law_holds ? "holds" : "does not hold", x->name, off_low, off_high,
			space, unit, allowed, space, unit, e->trials_digits,
			e->trials_digits == 1 ? "" : "s", noise, space, unit);
	if (!t->linear_law_holds)
		report_law_failure_text(&(struct report_law_failure){ .name = x->name,
								      .unit = x->unit,
								      .U = x->U,
								      .low = t->low - x->value,
								      .high = t->high - x->value,
								      .tolerance = t->tolerance,
								      .scale = 1.0,
								      .causes = x->causes },
					text);
	report_wrap(to, text->str, 4);
	report_histogram_text(x, e->trials_probability, to);
}

static int larger_first(const void *a, const void *b)
{
	const struct lab_budget_line *x = *(struct lab_budget_line *const *)a;
	const struct lab_budget_line *y = *(struct lab_budget_line *const *)b;

	return (fabs(x->contribution) < fabs(y->contribution)) -
	       (fabs(x->contribution) > fabs(y->contribution));
}

static void number_cell(report_columns *columns, double x)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x, 4, REPORT_MINUS, text);
	report_columns_cell(columns, text);
}

static void fixed_dof(report_columns *columns, double dof)
{
	char text[REPORT_NUMBER_SIZE];

	report_at_most(dof, dof < 1.0 ? 2 : 1, REPORT_MINUS, text);
	report_columns_cell(columns, text);
}

static void budget(const struct lab_evaluated *x, GString *to)
{
	g_autoptr(GPtrArray) lines = g_ptr_array_new();
	report_columns *columns = report_columns_new();
	double sum = 0.0;
	char share[REPORT_NUMBER_SIZE];

	for (unsigned i = 0; i < COUNT(x->budget); i++)
		g_ptr_array_add(lines, LAB_AT(x->budget, lab_budget_line, i));
	g_ptr_array_sort(lines, larger_first);
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "input");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "u");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "unit");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "dof");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "sensitivity");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "contribution");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "share/%");
	for (unsigned i = 0; i < lines->len; i++) {
		const struct lab_budget_line *line = g_ptr_array_index(lines, i);
		const double ratio = line->contribution / x->u, part = ratio * ratio;
		char value[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

		report_pair(line->value, line->u, REPORT_MINUS, value, u);
		report_columns_cell(columns, line->input);
		report_columns_cell(columns, value);
		report_columns_cell(columns, u);
		report_columns_cell(columns, line->unit);
		if (isfinite(line->dof))
			fixed_dof(columns, line->dof);
		else
			report_columns_cell(columns, "∞");
		number_cell(columns, line->sensitivity);
		number_cell(columns, line->contribution);
		report_fixed(100.0 * part, 1, REPORT_MINUS, share);
		report_columns_cell(columns, share);
		sum += part;
	}
	report_columns_print(columns, to);
	if (fabs(sum - 1.0) > 1e-3)
		report_wrap(to, "  Inputs are correlated: the shares don't add up to 100 %.", 2);
}

static void correlations(const struct lab_evaluation *e, GString *to)
{
	const unsigned n = e->outputs->len;

	for (unsigned i = 0; i < n; i++) {
		for (unsigned j = i + 1; j < n; j++) {
			char r[REPORT_NUMBER_SIZE];

			report_fixed(e->correlations[i * n + j], 4, REPORT_MINUS, r);
			g_string_append_printf(to, "correlation of %s and %s: %s",
					       LAB_AT(e->outputs, lab_evaluated, i)->name,
					       LAB_AT(e->outputs, lab_evaluated, j)->name, r);
			if (e->trial_correlations != NULL) {
				report_fixed(e->trial_correlations[i * n + j], 4, REPORT_MINUS, r);
				g_string_append_printf(to, ", by trials %s", r);
			}
			g_string_append_c(to, '\n');
		}
	}
}

void report_evaluation_text(const struct lab_model *model, const struct lab_evaluation *evaluation,
			    GString *to)
{
	if (model->title != NULL)
		g_string_append_printf(to, "%s\n\n", model->title);
	for (unsigned i = 0; i < evaluation->outputs->len; i++) {
		const struct lab_evaluated *x = LAB_AT(evaluation->outputs, lab_evaluated, i);

		if (i > 0)
			g_string_append_c(to, '\n');
		sentence(evaluation, x, to);
		if (COUNT(x->budget) > 0)
			budget(x, to);
		if (x->trials.n > 0 && x->trials.judged)
			trials(evaluation, x, to);
	}
	if (evaluation->outputs->len > 1) {
		g_string_append_c(to, '\n');
		correlations(evaluation, to);
		report_joint_text(evaluation, to);
	}
	for (unsigned i = 0; i < COUNT(evaluation->reservations); i++)
		report_wrap(to, g_ptr_array_index(evaluation->reservations, i), 4);
}
