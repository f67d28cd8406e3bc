#include "app/report/cell.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

#define MOST_BUDGET 8 /* lines; the rest is in the JSON */

static void verdict(const struct lab_cell_fit *fit, GString *to)
{
	const struct lab_fit_case *c = &fit->stated;
	g_autoptr(GString) text = g_string_new(NULL);
	g_autofree char *term = report_cell_size(c->term_K);
	g_autofree char *wanted = report_cell_size(fit->wanted_K);

	if (c->why_not != NULL) {
		g_string_append_printf(text, "Unfit: %s.", c->why_not);
		report_wrap(to, text->str, 4);
		return;
	}
	switch (c->verdict) {
	case LAB_FITS:
		g_string_append_printf(
		    text,
		    "Fits: immersion adds a term of %s to the %s wanted, at most "
		    "a third of it.",
		    term, wanted);
		break;
	case LAB_FIT_LIMITS:
		g_string_append_printf(
		    text,
		    "Limits the result: immersion adds a term of %s, more than a "
		    "third of the %s wanted.",
		    term, wanted);
		break;
	case LAB_FIT_UNFIT:
		g_string_append_printf(
		    text, "Unfit: immersion alone adds a term of %s, and %s is wanted.", term,
		    wanted);
		break;
	case LAB_FIT_NONE:
		g_string_append_printf(
		    text,
		    "No verdict: conduction alone is a term of %s here; the measured "
		    "immersion profile decides.",
		    term);
		break;
	case LAB_FIT_NOT_ASKED:
		g_string_append_printf(text,
				       "Immersion adds a term of %s. What is wanted is not said "
				       "(wanted: u_mK), so there is no verdict.",
				       term);
		break;
	}
	if (lab_given(fit->needed_m) &&
	    (c->verdict == LAB_FIT_LIMITS || c->verdict == LAB_FIT_UNFIT))
		g_string_append_printf(text,
				       " It would fit with the middle of the element %.0f mm below "
				       "the surface, where it now has %.0f mm.",
				       1e3 * fit->needed_m, 1e3 * c->depth_m.value);
	report_wrap(to, text->str, 4);
}

static void self_heating(const struct lab_cell_study *study, const struct lab_fit_case *c,
			 report_columns *columns)
{
	const struct lab_estimate total = { c->inside_K_per_W.value + c->outside_K_per_W.value,
					    hypot(c->inside_K_per_W.u, c->outside_K_per_W.u),
					    LAB_NOT_GIVEN };
	char *outside = report_cell_scaled(&c->outside_K_per_W, 1e-3, "K/mW");

	if (!lab_given(total.value)) {
		report_cell_row(columns, "self-heating, outside", outside,
				"from the sheath on; within the thermometer it is not stated");
		return;
	}
	g_autofree char *share =
	    g_strdup_printf("of it outside the thermometer %s, %.0f %%", outside,
			    100.0 * c->outside_K_per_W.value / total.value);
	g_free(outside);
	report_cell_row(columns, "self-heating", report_cell_scaled(&total, 1e-3, "K/mW"), share);
	for (int i = 0; i < 2; i++) {
		if (!lab_given(c->heating_K[i]))
			continue;
		g_autofree char *at =
		    g_strdup_printf("at %.4g mA", 1e3 * study->thermometer.currents_A[i]);

		report_cell_row(columns, "", report_cell_size(c->heating_K[i]), at);
	}
}

static void settled(const struct lab_cell_fit *fit, report_columns *columns)
{
	const struct lab_fit_case *c = &fit->stated;
	g_autofree char *within = report_cell_size(fit->within_K);
	g_autofree char *from = report_cell_size(fit->from_K);
	g_autofree char *remark = g_strdup_printf("%s away to within %s of the end", from, within);

	report_cell_row(columns, "settled after", report_cell_time(c->settled_s.value), remark);
	if (lab_given(c->grid_settled_s.value)) {
		g_autofree char *error = report_cell_time(c->grid_settled_s.error);
		g_autofree char *its = g_strdup_printf("its own error of numbers %s", error);

		report_cell_row(columns, "  by the grid", report_cell_time(c->grid_settled_s.value),
				its);
	}
	report_cell_row(columns, "  time constant", report_cell_time(c->constant_s.value),
			fit->settling_fitted ? "fitted to insertions of your own" : "estimate");
}

static void numbers(const struct lab_cell_study *study, const struct lab_cell_fit *fit, GString *to)
{
	const struct lab_fit_case *c = &fit->stated;
	report_columns *columns = report_columns_new();
	g_autofree char *melted = report_cell_scaled(&c->melted_kg, 1e3, "g");
	g_autofree char *melts =
	    study->cell.medium == LAB_METAL_CELL
		? g_strdup_printf("by a thermometer that enters; melts or freezes %s", melted)
		: g_strdup_printf("by a thermometer that enters: %s of ice", melted);

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "what");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	report_cell_row(columns, "depth", report_cell_scaled(&c->depth_m, 1e3, "mm"),
			"of the middle of the element below the surface");
	report_cell_row(columns, "stem conduction", report_cell_kelvin(&c->error_K),
			"element minus cell");
	if (lab_given(c->grid_K.value)) {
		const struct lab_estimate grid = { c->grid_K.value, c->grid_K.error,
						   LAB_NOT_GIVEN };

		report_cell_row(columns, "  by the grid", report_cell_kelvin(&grid),
				"in brackets its own error of numbers");
	}
	report_cell_row(columns, "falls by e in", report_cell_scaled(&c->decay_m, 1e3, "mm"),
			"of depth");
	self_heating(study, c, columns);
	settled(fit, columns);
	report_cell_row(columns, "heat brought", report_cell_scaled(&c->brought_J, 1.0, "J"),
			melts);
	report_cell_row(columns, "heat along the stem", report_cell_scaled(&c->flow_W, 1e3, "mW"),
			"for as long as it stands there");
	report_columns_print(columns, to);
}

static void alternatives(const struct lab_cell_fit *fit, GString *to)
{
	report_columns *columns = report_columns_new();

	g_string_append(to, "\nWhat would change it, one thing at a time:\n");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "change");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "term of immersion");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "settled after");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "verdict");
	for (guint i = 0; i < fit->alternatives->len; i++) {
		const struct lab_fit_case *c = LAB_AT(fit->alternatives, lab_fit_case, i);
		g_autofree char *term = report_cell_size(c->term_K);
		g_autofree char *time = report_cell_time(c->settled_s.value);

		report_columns_cell(columns, c->name);
		report_columns_cell(columns, term);
		report_columns_cell(columns, time);
		report_columns_cell(columns, c->why_not != NULL ? c->why_not
								: lab_fit_verdict_name(c->verdict));
	}
	report_columns_print(columns, to);
}

static void depths(const struct lab_cell_fit *fit, GString *to)
{
	report_columns *columns = report_columns_new();

	g_string_append(to, "\nError against depth of the middle of the element:\n");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "depth/mm");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "error");
	for (guint i = 0; i < fit->depths->len; i++) {
		const struct lab_fit_depth *d = LAB_AT(fit->depths, lab_fit_depth, i);
		g_autofree char *error = report_cell_kelvin(&d->error_K);
		char depth[REPORT_NUMBER_SIZE];

		report_fixed(1e3 * d->depth_m, 0, REPORT_MINUS, depth);
		report_columns_cell(columns, depth);
		report_columns_cell(columns, error);
	}
	report_columns_print(columns, to);
}

static void budget(const struct lab_cell_fit *fit, GString *to)
{
	report_columns *columns = report_columns_new();

	g_string_append(to, "\nWhere the u of stem conduction comes from:\n");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "input");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "u");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "unit");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "contribution");
	for (guint i = 0; i < MIN(fit->budget->len, MOST_BUDGET); i++) {
		const struct lab_budget_line *line = LAB_AT(fit->budget, lab_budget_line, i);
		g_autofree char *part = report_cell_size(line->contribution);
		char value[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

		report_pair(line->value, line->u, REPORT_MINUS, value, u);
		report_columns_cell(columns, line->input);
		report_columns_cell(columns, value);
		report_columns_cell(columns, u);
		report_columns_cell(columns, line->unit);
		report_columns_cell(columns, part);
	}
	report_columns_print(columns, to);
}

/* A budget of less than a nanokelvin tells nobody anything. */
static bool is_worth_telling(const struct lab_cell_fit *fit)
{
	return fit->budget->len > 0 &&
	       LAB_AT(fit->budget, lab_budget_line, 0)->contribution >= 1e-9;
}

void report_cell_fit_text(const struct lab_cell_study *study, const struct lab_cell_fit *fit,
			  GString *to)
{
	report_cell_head_text(study, to);
	verdict(fit, to);
	if (fit->stated.why_not == NULL) {
		g_string_append_c(to, '\n');
		numbers(study, fit, to);
	}
	if (fit->alternatives->len > 0)
		alternatives(fit, to);
	if (fit->depths->len > 0)
		depths(fit, to);
	if (is_worth_telling(fit))
		budget(fit, to);
	report_cell_reservations_text(fit->reservations, to);
}
