#include "app/report/plan.h"

#include "app/report/json_writer.h"

static void write_causes(struct report_json *json, const GArray *causes)
{
	report_json_array(json, "causes");
	for (guint i = 0; i < causes->len; i++) {
		const struct lab_budget_line *cause = LAB_AT(causes, lab_budget_line, i);

		report_json_object(json, NULL);
		report_json_text(json, "cause", cause->input);
		report_json_number(json, "u_K", cause->contribution);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_options(struct report_json *json, const GArray *options)
{
	report_json_array(json, "would_help");
	for (guint i = 0; i < options->len; i++) {
		const struct lab_plan_option *option = LAB_AT(options, lab_plan_option, i);

		report_json_object(json, NULL);
		report_json_text(json, "what", option->what);
		report_json_number(json, "U_K", option->U_K);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_outcome(struct report_json *json, const struct lab_plan_outcome *o)
{
	report_json_object(json, NULL);
	report_json_text(json, "name", o->name);
	report_json_text(json, "cell", o->cell);
	report_json_text(json, "what", lab_plan_size_name(o->size));
	report_json_text(json, "why_not", o->why_not);
	report_json_number(json, "depth_m", o->depth_m);
	report_json_number(json, "u_K", o->K.u);
	report_json_number(json, "dof", o->K.dof);
	report_json_number(json, "U_K", o->U_K);
	report_json_number(json, "usual_U_K", o->practice_U_K);
	report_json_boolean(json, "enough", o->enough);
	write_causes(json, o->causes);
	write_options(json, o->options);
	report_json_object(json, "time");
	report_json_number(json, "ready_s", o->hands_s);
	report_json_number(json, "wait_s", o->wait_s);
	report_json_number(json, "settle_s", o->settle_s);
	report_json_number(json, "read_s", o->read_s);
	report_json_number(json, "days", o->days);
	report_json_close(json);
	report_json_number(json, "achieved_U_K", o->achieved_U_K);
	report_json_text(json, "achieved_by", o->achieved_by);
	report_json_close(json);
}

static void write_points(struct report_json *json, const GArray *points)
{
	report_json_array(json, "goes_on_to");
	for (guint i = 0; i < points->len; i++) {
		const struct lab_plan_point *p = LAB_AT(points, lab_plan_point, i);

		report_json_object(json, NULL);
		report_json_text(json, "point", lab_point_name(p->point));
		report_json_text(json, "advice", p->advice);
		report_json_number(json, "work_s", p->known ? p->hands_s : LAB_NOT_GIVEN);
		report_json_number(json, "wait_s", p->known ? p->wait_s : LAB_NOT_GIVEN);
		report_json_close(json);
	}
	report_json_close(json);
}

void report_plan_json(const lab_plan *plan, const lab_plan_result *result, GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "plan result");
	report_json_integer(&json, "schema", 1);
	report_json_text(&json, "title", plan->title);
	report_json_text(&json, "thermometer", plan->own->thermometer.id);
	report_json_number(&json, "wanted_U_K", plan->U_K);
	report_json_text(
	    &json, "best",
	    result->best < 0
		? NULL
		: LAB_AT(result->outcomes, lab_plan_outcome, (guint)result->best)->name);
	report_json_array(&json, "realisations");
	for (guint i = 0; i < result->outcomes->len; i++)
		write_outcome(&json, LAB_AT(result->outcomes, lab_plan_outcome, i));
	report_json_close(&json);
	write_points(&json, result->points);
	report_json_texts(&json, "reservations", result->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
