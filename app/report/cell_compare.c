#include "app/report/cell_compare.h"

#include "app/report/cell_budget.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/program_json.h"
#include "app/report/rounding.h"

#include <math.h>

/* YYYY-MM-DD of a day; release with g_free. */
static char *date_of(int day)
{
	GDate date;

	g_date_clear(&date, 1);
	if (day <= 0)
		return NULL;
	g_date_set_julian(&date, (guint32)day);
	return g_strdup_printf("%04u-%02u-%02u", g_date_get_year(&date),
			       (unsigned)g_date_get_month(&date), g_date_get_day(&date));
}

static const char *name_of(const lab_cell_comparison *c, int cell)
{
	return cell < 0 ? NULL : LAB_AT(c->cells, lab_compared_cell, cell)->id;
}

static void number_cell(report_columns *columns, double K, double u_K)
{
	g_autofree char *text = lab_given(K) ? report_cell_microkelvin(K, u_K) : NULL;

	report_columns_cell(columns, text);
}

static void u_cell(report_columns *columns, double u_K)
{
	char text[REPORT_NUMBER_SIZE];

	if (!lab_given(u_K)) {
		report_columns_cell(columns, NULL);
		return;
	}
	report_uncertainty(1e6 * u_K, REPORT_MINUS, text);
	report_columns_cell(columns, u_K > 0.0 ? text : "0");
}

static void values(const lab_cell_comparison *c, const lab_cell_compare *found, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "cell");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "value µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "U µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "drift µK/year");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "of its budget");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	for (guint i = 0; i < c->cells->len; i++) {
		const struct lab_compared_cell *cell = LAB_AT(c->cells, lab_compared_cell, i);
		const struct lab_compared_value *x = LAB_AT(found->values, lab_compared_value, i);
		g_autofree char *remark =
		    cell->replaces >= 0
			? g_strdup_printf("in place of %s", name_of(c, cell->replaces))
			: NULL;
		g_autofree char *ratio =
		    lab_given(x->budget_ratio) ? g_strdup_printf("%.1f", x->budget_ratio) : NULL;

		report_columns_cell(columns, cell->id);
		number_cell(columns, x->K.value, x->K.u);
		u_cell(columns, x->U_K);
		number_cell(columns, x->K_per_year.value, x->K_per_year.u);
		u_cell(columns, x->K_per_year.u);
		report_columns_cell(columns, ratio);
		report_columns_cell(columns, (int)i == c->datum ? "the datum" : remark);
	}
	report_columns_print(columns, to);
}

static void fit(const lab_cell_compare *found, GString *to)
{
	g_autofree char *text = NULL;

	if (!(found->dof > 0.0))
		return;
	text = g_strdup_printf(
	    "%s: chi-squared %.3g with %.0f degrees of freedom, 95 %% limit %.3g (p = %.2g); Birge "
	    "ratio %.2f.",
	    found->consistent ? "The comparisons agree" : "The comparisons DO NOT agree",
	    found->chi2, found->dof, found->limit, found->p, found->birge);
	report_wrap(to, text, 4);
}

static void differences(const lab_cell_comparison *c, const lab_cell_compare *found, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "date");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "a - b");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "residual");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "from the others");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "over u");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "without it");
	for (guint i = 0; i < c->differences->len; i++) {
		const struct lab_cell_difference *d =
		    LAB_AT(c->differences, lab_cell_difference, i);
		const struct lab_compared_difference *x =
		    LAB_AT(found->differences, lab_compared_difference, i);
		g_autofree char *date = date_of(d->day);
		g_autofree char *pair =
		    g_strdup_printf("%s - %s", name_of(c, d->a), name_of(c, d->b));
		g_autofree char *ratio =
		    lab_given(x->deviation_K)
			? g_strdup_printf("%.1f", x->deviation_K / x->u_deviation_K)
			: NULL;
		g_autofree char *moves =
		    lab_given(x->deviation_K)
			? g_strdup_printf("%s moves %.2g µK", name_of(c, x->moved),
					  1e6 * x->moves_K)
			: g_strdup("a cell would be loose");

		report_columns_cell(columns, date);
		report_columns_cell(columns, pair);
		number_cell(columns, x->K.value, x->K.u);
		number_cell(columns, x->residual_K, x->K.u);
		number_cell(columns, x->deviation_K, x->u_deviation_K);
		report_columns_cell(columns, ratio);
		report_columns_cell(columns, moves);
	}
	report_columns_print(columns, to);
}

static void steps(const lab_cell_comparison *c, const lab_cell_compare *found, GString *to)
{
	for (guint i = 0; i < found->steps->len; i++) {
		const struct lab_compared_step *x = LAB_AT(found->steps, lab_compared_step, i);
		const struct lab_estimate size = { x->step_K, x->u_K, LAB_NOT_GIVEN };
		g_autofree char *date = date_of(x->day);
		g_autofree char *step = report_cell_kelvin(&size);
		g_autofree char *text = g_strdup_printf(
		    "A step of cell %s before %s fits: %s, beyond chance among the %d places "
		    "tried. "
		    "Find its cause; if there is one, enter the cell from then on as another.",
		    name_of(c, x->cell), date, step, found->n_steps_tried);

		report_wrap(to, text, 4);
	}
}

void report_cell_compare_text(const lab_cell_comparison *comparison, const lab_cell_compare *found,
			      GString *to)
{
	g_autofree char *date = date_of(found->day);

	if (comparison->title != NULL)
		g_string_append_printf(to, "%s\n", comparison->title);
	g_string_append_printf(to, "%s, %u cells, %u comparisons; values of %s\n\n",
			       lab_point_name(comparison->point), comparison->cells->len,
			       comparison->differences->len, date);
	values(comparison, found, to);
	g_string_append_c(to, '\n');
	fit(found, to);
	g_string_append_c(to, '\n');
	differences(comparison, found, to);
	if (found->steps->len > 0)
		g_string_append_c(to, '\n');
	steps(comparison, found, to);
	report_cell_reservations_text(found->reservations, to);
}

static void values_json(struct report_json *json, const lab_cell_comparison *c,
			const lab_cell_compare *found)
{
	report_json_array(json, "cells");
	for (guint i = 0; i < c->cells->len; i++) {
		const struct lab_compared_cell *cell = LAB_AT(c->cells, lab_compared_cell, i);
		const struct lab_compared_value *x = LAB_AT(found->values, lab_compared_value, i);

		report_json_object(json, NULL);
		report_json_text(json, "id", cell->id);
		report_cell_estimate_json(json, "value_K", &x->K);
		report_json_number(json, "dof", x->K.dof);
		report_json_number(json, "k", x->k);
		report_json_number(json, "U_K", x->U_K);
		report_cell_estimate_json(json, "with_isotopes_K", &x->whole_K);
		report_json_number(json, "with_isotopes_U_K", x->whole_U_K);
		report_cell_estimate_json(json, "drift_K_per_year", &x->K_per_year);
		report_json_number(json, "budget_ratio", x->budget_ratio);
		report_json_text(json, "replaces", name_of(c, cell->replaces));
		report_json_close(json);
	}
	report_json_close(json);
}

static void differences_json(struct report_json *json, const lab_cell_comparison *c,
			     const lab_cell_compare *found)
{
	report_json_array(json, "differences");
	for (guint i = 0; i < c->differences->len; i++) {
		const struct lab_cell_difference *d =
		    LAB_AT(c->differences, lab_cell_difference, i);
		const struct lab_compared_difference *x =
		    LAB_AT(found->differences, lab_compared_difference, i);
		g_autofree char *date = date_of(d->day);

		report_json_object(json, NULL);
		report_json_text(json, "date", date);
		report_json_text(json, "a", name_of(c, d->a));
		report_json_text(json, "b", name_of(c, d->b));
		report_cell_estimate_json(json, "difference_K", &x->K);
		report_json_number(json, "residual_K", x->residual_K);
		report_json_number(json, "deviation_K", x->deviation_K);
		report_json_number(json, "u_deviation_K", x->u_deviation_K);
		report_json_text(json, "moved", name_of(c, x->moved));
		report_json_number(json, "moves_K", x->moves_K);
		report_json_close(json);
	}
	report_json_close(json);
}

static void steps_json(struct report_json *json, const lab_cell_comparison *c,
		       const lab_cell_compare *found)
{
	report_json_integer(json, "steps_tried", found->n_steps_tried);
	report_json_array(json, "steps");
	for (guint i = 0; i < found->steps->len; i++) {
		const struct lab_compared_step *x = LAB_AT(found->steps, lab_compared_step, i);
		g_autofree char *date = date_of(x->day);

		report_json_object(json, NULL);
		report_json_text(json, "cell", name_of(c, x->cell));
		report_json_text(json, "before", date);
		report_json_number(json, "step_K", x->step_K);
		report_json_number(json, "u_K", x->u_K);
		report_json_close(json);
	}
	report_json_close(json);
}

void report_cell_compare_json(const lab_cell_comparison *comparison, const lab_cell_compare *found,
			      GString *to)
{
	struct report_json json;
	g_autofree char *date = date_of(found->day);

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "cell comparison result");
	report_json_integer(&json, "schema", 1);
	report_program_json(&json);
	report_json_array(&json, "inputs");
	report_json_object(&json, NULL);
	report_json_text(&json, "path", comparison->path);
	report_json_text(&json, "sha256", comparison->sha256);
	report_json_close(&json);
	report_json_close(&json);
	report_json_text(&json, "title", comparison->title);
	report_json_text(&json, "point", lab_point_name(comparison->point));
	report_json_text(&json, "at", date);
	report_json_text(&json, "datum",
			 comparison->datum < 0 ? "mean" : name_of(comparison, comparison->datum));
	report_json_text(&json, "datum_source", comparison->datum_source);
	report_json_boolean(&json, "consistent", found->consistent);
	report_json_number(&json, "chi2", found->chi2);
	report_json_number(&json, "dof", found->dof);
	report_json_number(&json, "limit", found->limit);
	report_json_number(&json, "p", found->p);
	report_json_number(&json, "birge", found->birge);
	values_json(&json, comparison, found);
	differences_json(&json, comparison, found);
	steps_json(&json, comparison, found);
	report_json_texts(&json, "reservations", found->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
