#include "app/report/cell_records.h"

#include "app/report/cell_budget.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

static void verdict(const lab_cell_profile *p, GString *to)
{
	g_autofree char *limit = report_cell_size(p->limit_K);
	char head[REPORT_NUMBER_SIZE];

	report_at_most(1e3 * p->K_per_m, 2, REPORT_MINUS, head);
	g_autofree char *text = g_strdup_printf(
	    "%s: within %s (%s) the readings follow the head of %s mK a metre up to %.3g mm; %.3g "
	    "mm are asked for.",
	    p->accepted ? "Accepted" : "Not accepted", limit, p->limit_source, head,
	    1e3 * p->follows_m, 1e3 * p->zone_m);

	report_wrap(to, text, 4);
}

static void points(const lab_cell_profile *p, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "height mm");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "reading µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "off the line µK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u µK");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	for (guint i = p->points->len; i-- > 0;) {
		const struct lab_profile_point *x = LAB_AT(p->points, lab_profile_point, i);
		g_autofree char *reading = report_cell_microkelvin(x->K, x->residual_K.u);
		g_autofree char *residual =
		    report_cell_microkelvin(x->residual_K.value, x->residual_K.u);
		char height[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

		report_at_most(1e3 * x->height_m, 1, REPORT_MINUS, height);
		report_uncertainty(1e6 * x->residual_K.u, REPORT_MINUS, u);
		report_columns_cell(columns, height);
		report_columns_cell(columns, reading);
		report_columns_cell(columns, residual);
		report_columns_cell(columns, u);
		report_columns_cell(columns, lab_profile_verdict_name(x->verdict));
	}
	report_columns_print(columns, to);
}

static void line(report_columns *columns, const char *what, const char *value, const char *remark)
{
	report_columns_cell(columns, what);
	report_columns_cell(columns, value);
	report_columns_cell(columns, remark);
}

static void found(const lab_cell_profile *p, GString *to)
{
	report_columns *columns = report_columns_new();
	g_autofree char *line_u = report_cell_size(p->line_u_K);
	g_autofree char *term = report_cell_size(p->term_K);
	g_autofree char *from = g_strdup_printf("standard uncertainty, from %s", p->term_from);

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "found");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	line(columns, "scatter about the line", line_u, "root mean square in the zone");
	if (p->fitted) {
		g_autofree char *error = report_cell_kelvin(&p->error_K);
		g_autofree char *decay = report_cell_scaled(&p->decay_m, 1e3, "mm");
		g_autofree char *chi2 =
		    g_strdup_printf("chi-squared %.3g of %.0f", p->chi2, p->dof);

		line(columns, "left at full depth", error, "by conduction; reading minus truth");
		line(columns, "decays by e in", decay, chi2);
	}
	if (lab_given(p->two_points_K.value)) {
		g_autofree char *error = report_cell_kelvin(&p->two_points_K);
		g_autofree char *lift =
		    g_strdup_printf("by the lift of %.3g mm and decay_mm", 1e3 * p->lift_m);

		line(columns, "  by two points", error, lift);
	}
	line(columns, "term of the budget", term, from);
	report_columns_print(columns, to);
}

void report_cell_profile_text(const struct lab_cell_study *study, const lab_cell_profile *profile,
			      GString *to)
{
	report_cell_head_text(study, to);
	verdict(profile, to);
	g_string_append_c(to, '\n');
	points(profile, to);
	g_string_append_c(to, '\n');
	found(profile, to);
	report_cell_reservations_text(profile->reservations, to);
}

void report_cell_profile_json(const struct lab_cell_study *study, const lab_cell_profile *profile,
			      GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell profile result");
	report_json_number(&json, "K_per_m", profile->K_per_m);
	report_json_boolean(&json, "accepted", profile->accepted);
	report_json_number(&json, "zone_m", profile->zone_m);
	report_json_number(&json, "limit_K", profile->limit_K);
	report_json_text(&json, "limit_source", profile->limit_source);
	report_json_number(&json, "follows_m", profile->follows_m);
	report_json_number(&json, "line_u_K", profile->line_u_K);
	report_json_number(&json, "term_K", profile->term_K);
	report_json_text(&json, "term_from", profile->term_from);
	if (profile->fitted) {
		report_json_object(&json, "fit");
		report_cell_estimate_json(&json, "error_K", &profile->error_K);
		report_cell_estimate_json(&json, "true_K", &profile->true_K);
		report_cell_estimate_json(&json, "decay_m", &profile->decay_m);
		report_json_number(&json, "chi2", profile->chi2);
		report_json_number(&json, "dof", profile->dof);
		report_json_close(&json);
	} else {
		report_json_text(&json, "fit", NULL);
	}
	report_cell_estimate_json(&json, "two_points_K", &profile->two_points_K);
	report_json_array(&json, "points");
	for (guint i = 0; i < profile->points->len; i++) {
		const struct lab_profile_point *x = LAB_AT(profile->points, lab_profile_point, i);

		report_json_object(&json, NULL);
		report_json_number(&json, "height_m", x->height_m);
		report_json_number(&json, "reading_K", x->K);
		report_cell_estimate_json(&json, "residual_K", &x->residual_K);
		report_json_text(&json, "verdict", lab_profile_verdict_name(x->verdict));
		report_json_close(&json);
	}
	report_json_close(&json);
	report_json_texts(&json, "reservations", profile->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
