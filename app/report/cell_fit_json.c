#include "app/report/cell.h"
#include "app/report/cell_words.h"

static void grid(struct report_json *json, const char *name, const struct lab_grid_answer *x)
{
	report_json_object(json, name);
	report_json_number(json, "value", x->value);
	report_json_number(json, "error", x->error);
	report_json_close(json);
}

static void members_of_case(struct report_json *json, const struct lab_fit_case *c)
{
	report_json_text(json, "name", c->name);
	report_json_text(json, "verdict", lab_fit_verdict_name(c->verdict));
	report_json_text(json, "why_not", c->why_not);
	report_cell_estimate_json(json, "depth_m", &c->depth_m);
	report_cell_estimate_json(json, "error_K", &c->error_K);
	grid(json, "by_grid_K", &c->grid_K);
	report_json_number(json, "term_K", c->term_K);
	report_cell_estimate_json(json, "decay_m", &c->decay_m);
	report_cell_estimate_json(json, "inside_K_per_W", &c->inside_K_per_W);
	report_cell_estimate_json(json, "outside_K_per_W", &c->outside_K_per_W);
	report_json_numbers(json, "heating_K", 2, c->heating_K);
	report_cell_estimate_json(json, "time_constant_s", &c->constant_s);
	report_cell_estimate_json(json, "settled_s", &c->settled_s);
	grid(json, "settled_by_grid_s", &c->grid_settled_s);
	report_cell_estimate_json(json, "brought_J", &c->brought_J);
	report_cell_estimate_json(json, "melted_kg", &c->melted_kg);
	report_cell_estimate_json(json, "flow_W", &c->flow_W);
}

static void lines(struct report_json *json, const GArray *budget)
{
	report_json_array(json, "budget");
	for (guint i = 0; i < budget->len; i++) {
		const struct lab_budget_line *line = LAB_AT(budget, lab_budget_line, i);

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
}

void report_cell_fit_json(const struct lab_cell_study *study, const struct lab_cell_fit *fit,
			  GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell fit result");
	report_json_number(&json, "wanted_u_K", fit->wanted_K);
	report_json_number(&json, "from_K", fit->from_K);
	report_json_number(&json, "within_K", fit->within_K);
	report_json_number(&json, "needed_depth_m", fit->needed_m);
	report_json_boolean(&json, "times_fitted", fit->settling_fitted);
	report_json_object(&json, "as_stated");
	members_of_case(&json, &fit->stated);
	report_json_close(&json);
	report_json_array(&json, "alternatives");
	for (guint i = 0; i < fit->alternatives->len; i++) {
		report_json_object(&json, NULL);
		members_of_case(&json, LAB_AT(fit->alternatives, lab_fit_case, i));
		report_json_close(&json);
	}
	report_json_close(&json);
	report_json_array(&json, "depths");
	for (guint i = 0; i < fit->depths->len; i++) {
		const struct lab_fit_depth *d = LAB_AT(fit->depths, lab_fit_depth, i);

		report_json_object(&json, NULL);
		report_json_number(&json, "depth_m", d->depth_m);
		report_cell_estimate_json(&json, "error_K", &d->error_K);
		report_json_close(&json);
	}
	report_json_close(&json);
	lines(&json, fit->budget);
	report_json_texts(&json, "reservations", fit->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
