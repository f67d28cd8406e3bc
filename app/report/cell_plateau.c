#include "app/report/cell_records.h"

#include "app/report/cell_budget.h"
#include "app/report/cell_check_lines.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

static void row(report_columns *columns, const char *what, const char *value, const char *remark)
{
	report_columns_cell(columns, what);
	report_columns_cell(columns, value);
	report_columns_cell(columns, remark);
}

static void time_row(report_columns *columns, const char *what, double t_s, const char *remark)
{
	g_autofree char *value = lab_given(t_s) ? g_strdup_printf("%.0f s", t_s) : NULL;

	if (value != NULL)
		row(columns, what, value, remark);
}

static void marks(const lab_cell_plateau *p, GString *to)
{
	report_columns *columns = report_columns_new();
	g_autofree char *liquidus = report_cell_kelvin(&p->liquidus_K);
	g_autofree char *length = report_cell_time(p->end_s - p->start_s);
	g_autofree char *change = report_cell_size(p->rise_or_fall_K);
	g_autofree char *range = g_strdup_printf("from %.2g to %.2g of the sample, by %s",
						 p->from_part, p->to_part, p->part_by);

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "curve");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	time_row(columns, "nucleation", p->nucleation_s, NULL);
	time_row(columns, "start", p->start_s, NULL);
	time_row(columns, "end", p->end_s, p->end_by);
	time_row(columns, "  by inflection", p->end_inflection_s, NULL);
	time_row(columns, "  by scatter", p->end_scatter_s, NULL);
	time_row(columns, "  by power", p->end_power_s, NULL);
	row(columns, "length", length, NULL);
	row(columns, "liquidus point", liquidus, p->liquidus_by);
	row(columns, "change", change, range);
	report_columns_print(columns, to);
}

static void fit_row(report_columns *columns, const char *form, const struct lab_liquidus_fit *f)
{
	if (!f->done)
		return;
	g_autofree char *at = report_cell_kelvin(&f->K);
	g_autofree char *slope = report_cell_kelvin(&f->slope_K);
	g_autofree char *s = report_cell_size(f->s_K);
	g_autofree char *r1 = lab_given(f->r1) ? g_strdup_printf("%.2f", f->r1) : NULL;

	report_columns_cell(columns, form);
	report_columns_cell(columns, at);
	report_columns_cell(columns, slope);
	report_columns_cell(columns, s);
	report_columns_cell(columns, r1);
}

static void fits(const lab_cell_plateau *p, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "fit in");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "at all liquid");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "slope");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "scatter");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "r1");
	fit_row(columns, "F", &p->linear);
	fit_row(columns, "1/F", &p->reciprocal);
	report_columns_print(columns, to);
}

void report_cell_plateau_text(const struct lab_cell_study *study, const lab_cell_plateau *plateau,
			      GString *to)
{
	report_cell_head_text(study, to);
	marks(plateau, to);
	g_string_append_c(to, '\n');
	fits(plateau, to);
	g_string_append_c(to, '\n');
	report_cell_check_lines(plateau->checks, to);
	report_cell_budget_text(plateau->budget, to);
	report_cell_reservations_text(plateau->reservations, to);
}

static void fit_json(struct report_json *json, const char *name, const struct lab_liquidus_fit *f)
{
	if (!f->done) {
		report_json_text(json, name, NULL);
		return;
	}
	report_json_object(json, name);
	report_cell_estimate_json(json, "liquidus_K", &f->K);
	report_cell_estimate_json(json, "slope_K", &f->slope_K);
	report_json_number(json, "s_K", f->s_K);
	report_json_number(json, "r1", f->r1);
	report_json_close(json);
}

void report_cell_plateau_json(const struct lab_cell_study *study, const lab_cell_plateau *plateau,
			      GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell plateau result");
	report_json_number(&json, "nucleation_s", plateau->nucleation_s);
	report_json_number(&json, "supercooling_K", plateau->supercooling_K);
	report_json_number(&json, "start_s", plateau->start_s);
	report_json_number(&json, "end_s", plateau->end_s);
	report_json_text(&json, "end_by", plateau->end_by);
	report_json_number(&json, "end_by_inflection_s", plateau->end_inflection_s);
	report_json_number(&json, "end_by_scatter_s", plateau->end_scatter_s);
	report_json_number(&json, "end_by_power_s", plateau->end_power_s);
	report_json_text(&json, "part_by", plateau->part_by);
	report_json_number(&json, "from_part", plateau->from_part);
	report_json_number(&json, "to_part", plateau->to_part);
	report_cell_estimate_json(&json, "liquidus_K", &plateau->liquidus_K);
	report_json_text(&json, "liquidus_by", plateau->liquidus_by);
	report_json_number(&json, "change_K", plateau->rise_or_fall_K);
	fit_json(&json, "fit_F", &plateau->linear);
	fit_json(&json, "fit_1_F", &plateau->reciprocal);
	report_json_number(&json, "implied_fraction", plateau->implied_fraction);
	report_cell_estimate_json(&json, "coupling", &plateau->coupling);
	report_json_number(&json, "coupling_lag_s", plateau->coupling_lag_s);
	report_json_number(&json, "furnace_stability_K", plateau->stability_K);
	report_json_number(&json, "furnace_vertical_K", plateau->vertical_K);
	report_cell_check_lines_json(&json, plateau->checks);
	report_cell_budget_json(&json, plateau->budget);
	report_json_texts(&json, "reservations", plateau->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
