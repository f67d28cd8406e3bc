#include "app/lab/cell_study.h"

#include "app/base/time.h"
#include "app/lab/cell_records.h"

const char *const lab_solid_materials[] = { "fused silica",
					    "borosilicate",
					    "alumina",
					    "stainless steel 316",
					    "stainless steel 304",
					    "nickel alloy 600",
					    "platinum",
					    "gold",
					    "copper",
					    "silver",
					    "aluminium",
					    "graphite",
					    "polystyrene foam",
					    NULL };

const char *const lab_well_fluids[] = { "water", "ethanol", "silicone oil",
					"air",   "helium",  "magnesia powder",
					NULL };

const char *lab_keeping_name(enum lab_keeping keeping)
{
	static const char *const names[] = { "", "crushed ice", "bath", "block", "air" };

	return names[keeping];
}

const char *lab_freezing_name(enum lab_freezing way)
{
	static const char *const names[] = { "",          "dry ice",  "cooled rod",
					     "heat pipe", "cold gas", "supercooling" };

	return names[way];
}

/* Zero is a value, so every number starts as not stated. */
static const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };

static void clear_thermometer(struct lab_stem *t)
{
	t->nominal_ohm = t->currents_A[0] = t->currents_A[1] = LAB_NOT_GIVEN;
	t->sheath.outer_m = t->sheath.inner_m = t->sheath.length_m = none;
	t->leads.diameter_m = t->leads.circle_m = none;
	t->element.length_m = t->element.from_tip_m = t->element.diameter_m = none;
	t->inside_K_per_W = t->heat_capacity_J_per_K = none;
}

static void clear_cell(struct lab_cell_body *c)
{
	c->point = LAB_NO_POINT;
	c->well.bore_m = c->well.wall_m = c->well.depth_m = none;
	c->level_m = c->below_m = none;
	c->envelope.bore_m = c->envelope.wall_m = none;
	c->water_kg = c->glass_kg = none;
	c->dD = c->d18O = c->d17O = none;
}

static void clear_rest(struct lab_cell_study *s)
{
	struct lab_tube *bushing = &s->contact.bushing;
	struct lab_preparation *p = &s->preparation;

	s->contact.pad_m = s->contact.melted_m = none;
	bushing->outer_m = bushing->inner_m = bushing->length_m = none;
	s->surroundings.ambient_C = s->surroundings.cover_m = s->surroundings.offset_K = none;
	s->surroundings.film_W_per_m2K = s->surroundings.spread_K = none;
	s->surroundings.cells = 1;
	s->mantle.frozen_us = s->mantle.at_us = BASE_NO_TIME;
	s->mantle.ice_m = none;
	s->wanted.u_K = s->wanted.within_K = s->wanted.from_C = s->wanted.days = none;
	p->rod.outer_m = p->rod.inner_m = p->rod.length_m = none;
	p->ice_m = p->coolant_C = p->contact_W_per_m2K = p->supercooled_K = p->start_C = none;
}

static void clear_settling(gpointer data)
{
	struct lab_settling *s = data;

	g_array_unref(s->rows);
}

struct lab_cell_study *lab_cell_study_new(void)
{
	struct lab_cell_study *s = g_new0(struct lab_cell_study, 1);

	clear_thermometer(&s->thermometer);
	clear_cell(&s->cell);
	clear_rest(s);
	s->mantle.looks = g_array_new(FALSE, TRUE, sizeof(struct lab_mantle_look));
	s->mantle.visits = g_array_new(FALSE, TRUE, sizeof(struct lab_mantle_visit));
	s->preparation.record = g_array_new(FALSE, TRUE, sizeof(struct lab_record_row));
	s->settling = g_array_new(FALSE, TRUE, sizeof(struct lab_settling));
	g_array_set_clear_func(s->settling, clear_settling);
	s->records = lab_cell_records_new();
	s->text = g_string_chunk_new(4096);
	return s;
}

void lab_cell_study_free(struct lab_cell_study *study)
{
	if (study == NULL)
		return;
	g_array_unref(study->mantle.looks);
	g_array_unref(study->mantle.visits);
	g_array_unref(study->preparation.record);
	g_array_unref(study->settling);
	lab_cell_records_free(study->records);
	g_string_chunk_free(study->text);
	g_free(study);
}

char *lab_cell_study_text(struct lab_cell_study *study, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(study->text, text);
}
