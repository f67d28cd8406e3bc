#include "app/base/time.h"
#include "app/report/cell.h"
#include "app/report/cell_words.h"

static void write_days(struct report_json *json, const char *name, const struct lab_days *x)
{
	report_json_object(json, name);
	report_json_number(json, "value", x->value_s);
	report_json_number(json, "low", x->low_s);
	report_json_number(json, "high", x->high_s);
	report_json_close(json);
}

static void write_time(struct report_json *json, const char *name, int64_t us)
{
	char text[BASE_TIME_SIZE];

	base_time_print(us, text);
	report_json_text(json, name, text);
}

static void write_state(struct report_json *json, const char *name,
			const struct lab_mantle_state *x)
{
	report_json_object(json, name);
	report_json_number(json, "age_s", x->time_s);
	report_json_number(json, "ice_m", x->ice_m);
	report_json_number(json, "low_m", x->low_m);
	report_json_number(json, "high_m", x->high_m);
	report_json_close(json);
}

static void write_states(struct report_json *json, const char *name, const GArray *states)
{
	report_json_array(json, name);
	for (guint i = 0; i < states->len; i++)
		write_state(json, NULL, LAB_AT(states, lab_mantle_state, i));
	report_json_close(json);
}

static void write_costs(struct report_json *json, const GArray *costs)
{
	report_json_array(json, "insertions");
	for (guint i = 0; i < costs->len; i++) {
		const struct lab_mantle_cost *c = LAB_AT(costs, lab_mantle_cost, i);

		report_json_object(json, NULL);
		write_time(json, "time", c->time_us);
		report_cell_estimate_json(json, "heat_J", &c->heat_J);
		report_cell_estimate_json(json, "ice_kg", &c->ice_kg);
		report_json_number(json, "lost_s", c->lost_s);
		report_json_close(json);
	}
	report_json_close(json);
}

void report_cell_keep_json(const struct lab_cell_study *study, const struct lab_cell_keep *k,
			   GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell keeping result");
	report_json_texts(&json, "warnings", k->warnings);
	report_json_boolean(&json, "needs_action", k->needs_action);
	report_json_text(&json, "course", lab_course_name(k->course));
	report_cell_estimate_json(&json, "offset_K", &k->offset_K);
	report_cell_estimate_json(&json, "power_W", &k->power_W);
	report_json_number(&json, "bath_W", k->bath_W);
	report_json_number(&json, "ice_per_day_kg", k->ice_per_day_kg);
	report_json_number(&json, "growth_day_at_most_m", k->growth_most_m);
	report_json_number(&json, "growth_day_m", k->growth_day_m);
	report_json_number(&json, "growth_week_m", k->growth_week_m);
	write_time(&json, "at", k->at_us);
	report_json_number(&json, "age_s", k->age_s);
	report_json_integer(&json, "looks_used", k->looks_used);
	report_cell_estimate_json(&json, "rate", &k->rate);
	write_state(&json, "now", &k->now);
	report_json_boolean(&json, "ends", k->ends);
	write_days(&json, "left_s", &k->left);
	write_days(&json, "left_at_warmest_s", &k->at_warmest);
	write_days(&json, "left_at_coldest_s", &k->at_coldest);
	report_json_number(&json, "least_ice_m", k->least_m);
	write_costs(&json, k->costs);
	report_json_number(&json, "next_insertion_costs_s", k->cost_of_next_s);
	report_json_number(&json, "age_bound_K", k->age_bound_K);
	report_json_number(&json, "age_u_K", k->age_u_K);
	report_json_number(&json, "age_fine_s", k->age_fine_s);
	write_states(&json, "forecast", k->course_points);
	write_states(&json, "looks", k->looks);
	report_json_texts(&json, "advice", k->advice);
	report_json_texts(&json, "reservations", k->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
