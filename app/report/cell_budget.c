#include "app/report/cell_budget.h"

#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

char *report_cell_microkelvin(double K, double u_K)
{
	char x[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

	report_pair(1e6 * K, 1e6 * u_K, REPORT_MINUS, x, u);
	return g_strdup(x);
}

static char *u_microkelvin(double u_K)
{
	char u[REPORT_NUMBER_SIZE];

	if (u_K == 0.0)
		return g_strdup("0");
	report_uncertainty(1e6 * u_K, REPORT_MINUS, u);
	return g_strdup(u);
}

static void row(report_columns *columns, const char *name, const struct lab_estimate *K,
		const char *note)
{
	g_autofree char *value = report_cell_microkelvin(K->value, K->u);
	g_autofree char *u = u_microkelvin(K->u);

	report_columns_cell(columns, name);
	report_columns_cell(columns, value);
	report_columns_cell(columns, u);
	report_columns_cell(columns, note);
}

void report_cell_budget_text(const lab_cell_budget *budget, GString *to)
{
	report_columns *columns = report_columns_new();
	g_autofree char *U = u_microkelvin(budget->U_K);
	g_autofree char *correction =
	    report_cell_microkelvin(-budget->sum_K.value, budget->sum_K.u);

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "effect: cell minus defined");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u µK");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "how it is known");
	for (guint i = 0; i < budget->terms->len; i++) {
		const struct lab_cell_term *term = LAB_AT(budget->terms, lab_cell_term, i);

		row(columns, term->name, &term->K, term->note);
	}
	row(columns, "together", &budget->sum_K, NULL);
	report_columns_print(columns, to);
	g_string_append_printf(to, "  correction to add %s µK, U = %s µK (95 %%, k = %.2f)\n",
			       correction, U, budget->k);
}

void report_cell_budget_json(struct report_json *json, const lab_cell_budget *budget)
{
	report_json_object(json, "budget");
	report_json_array(json, "terms");
	for (guint i = 0; i < budget->terms->len; i++) {
		const struct lab_cell_term *term = LAB_AT(budget->terms, lab_cell_term, i);

		report_json_object(json, NULL);
		report_json_text(json, "name", term->name);
		report_json_number(json, "value_K", term->K.value);
		report_json_number(json, "u_K", term->K.u);
		report_json_text(json, "known", term->note);
		report_json_close(json);
	}
	report_json_close(json);
	report_cell_estimate_json(json, "sum_K", &budget->sum_K);
	report_json_number(json, "dof", budget->sum_K.dof);
	report_json_number(json, "k", budget->k);
	report_json_number(json, "U_K", budget->U_K);
	report_json_array(json, "inputs");
	for (guint i = 0; i < budget->inputs->len; i++) {
		const struct lab_budget_line *line = LAB_AT(budget->inputs, lab_budget_line, i);

		report_json_object(json, NULL);
		report_json_text(json, "input", line->input);
		report_json_number(json, "value", line->value);
		report_json_number(json, "u", line->u);
		report_json_text(json, "unit", line->unit);
		report_json_number(json, "sensitivity", line->sensitivity);
		report_json_number(json, "contribution", line->contribution);
		report_json_close(json);
	}
	report_json_close(json);
	report_json_close(json);
}
