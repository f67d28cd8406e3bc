#include "app/report/cell.h"
#include "app/report/cell_words.h"

static void cautions(struct report_json *json, const struct lab_cell_prepare *p)
{
	report_json_array(json, "cautions");
	for (size_t i = 0; p->cautions[i] != NULL; i++) {
		report_json_object(json, NULL);
		report_json_text(json, "id", p->cautions[i]->id);
		report_json_text(json, "hazard", p->cautions[i]->hazard);
		report_json_text(json, "words", p->cautions[i]->words);
		report_json_close(json);
	}
	report_json_close(json);
	report_json_text(json, "caution_rule", LAB_CAUTION_RULE);
}

static void steps(struct report_json *json, const GArray *steps)
{
	report_json_array(json, "steps");
	for (guint i = 0; i < steps->len; i++) {
		const struct lab_ice_step *s = LAB_AT(steps, lab_ice_step, i);

		report_json_object(json, NULL);
		report_json_number(json, "ice_m", s->ice_m);
		report_json_number(json, "least_s", s->least_s);
		report_cell_estimate_json(json, "time_s", &s->time_s);
		report_json_number(json, "recorded_s", s->recorded_s);
		report_json_close(json);
	}
	report_json_close(json);
}

void report_cell_prepare_json(const struct lab_cell_study *study, const struct lab_cell_prepare *p,
			      GString *to)
{
	static const char *const contacts[] = { "not known", "stated", "fitted" };
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell preparation result");
	cautions(&json, p);
	report_json_texts(&json, "warnings", p->warnings);
	report_json_text(&json, "way", lab_freezing_name(p->way));
	report_json_number(&json, "coolant_C", p->coolant_C);
	report_json_text(&json, "contact", contacts[p->contact]);
	report_cell_estimate_json(&json, "contact_W_per_m2K", &p->contact_W_per_m2K);
	report_cell_estimate_json(&json, "time_s", &p->time_s);
	report_json_text(&json, "practice", p->practice);
	report_json_number(&json, "speed_m_per_s", p->speed_m_per_s);
	report_json_number(&json, "frozen_through_s", p->through_s);
	report_json_number(&json, "clearance_m", p->clearance_m);
	report_cell_estimate_json(&json, "frozen_fraction", &p->fraction);
	report_json_number(&json, "frozen_fraction_without_glass", p->fraction_without_glass);
	report_json_number(&json, "even_thickness_m", p->even_m);
	report_cell_estimate_json(&json, "ice_kg", &p->ice_kg);
	report_json_number(&json, "water_kg", p->water_kg);
	report_json_number(&json, "glass_kg", p->glass_kg);
	report_json_number(&json, "surface_rise_m", p->rise_m);
	report_cell_estimate_json(&json, "heat_J", &p->heat_J);
	report_json_number(&json, "power_W", p->power_W);
	report_json_number(&json, "dry_ice_kg", p->dry_ice_kg);
	report_json_number(&json, "liquid_nitrogen_kg", p->nitrogen_kg);
	report_json_number(&json, "rods", p->rods);
	report_json_number(&json, "inner_melt_m", p->melt_m);
	report_cell_estimate_json(&json, "inner_melt_J", &p->melt_J);
	report_json_number(&json, "inner_melt_s", p->melt_s);
	steps(&json, p->steps);
	report_json_texts(&json, "reservations", p->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
