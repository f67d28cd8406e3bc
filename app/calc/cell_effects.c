#include "app/calc/cell_effects.h"

#include "app/base/time.h"
#include "app/calc/cell_effects_parts.h"
#include "app/calc/cell_water.h"
#include "firn/correction.h"
#include "firn/number.h"
#include "firn/scale.h"

#include <math.h>

static void add(struct cell_effects_nodes *to, const char *name, const char *words,
		enum lab_cell_place place, char *note, struct firn_node K)
{
	to->each[to->n++] =
	    (struct cell_effect_node){ .told = { name, words, place, { 0 }, note }, .K = K };
}

static const struct firn_fixed_point *point_of(const struct lab_cell_body *cell)
{
	return cell->point == LAB_NO_POINT ? NULL : firn_scale_point((enum firn_point)cell->point);
}

static char *with_number(GStringChunk *text, const char *before, double x, const char *after)
{
	char number[FIRN_NUMBER_SIZE];
	g_autofree char *whole = NULL;

	firn_number_print(x, number);
	whole = g_strconcat(before, number, after, NULL);
	return g_string_chunk_insert(text, whole);
}

static void record_stem(struct cell_tape *t, const struct cell_stem *s, GStringChunk *text,
			struct cell_effects_nodes *ret)
{
	struct firn_stem_answer answer;
	const struct firn_node part = cell_stem_error(s, 0.0, &answer);
	const struct firn_node ambient =
	    cell_tape_input(t, "surroundings.ambient", "°C", &t->study->surroundings.ambient_C);
	const struct firn_node medium = cell_tape_number(t, t->t_C);
	const struct firn_node full =
	    firn_formula("stem = part*(ambient - medium)", part, ambient, medium);
	const struct firn_node computed = cell_tape_number(t, firn_value(full));
	/* Nothing is corrected for: the computed error is a bound on both sides, as for the fit. */
	const struct firn_node share =
	    cell_tape_assumed(t, "stem conduction, not corrected", "1", 0.0, 1.0 / sqrt(3.0),
			      "rectangular, the error computed being the bound");
	const double uK = fabs(1e6 * firn_value(full));
	g_autofree char *note = uK < 0.05 ? g_strdup("computed below 0.1 µK")
				: uK < 1000.0
				    ? g_strdup_printf("computed %.1f µK, not corrected", uK)
				    : g_strdup_printf("computed %.1f mK, not corrected", 1e-3 * uK);

	add(ret, "stem conduction", "Heat along the stem", LAB_AT_STEM,
	    g_string_chunk_insert(text, note),
	    firn_formula("stem = share*full + (full - computed)", share, full, computed));
}

static bool record_isotopes(struct cell_tape *t, GStringChunk *text, struct cell_effects_nodes *ret)
{
	struct firn_node dt;
	bool analysed;

	if (t->study->cell.point != LAB_H2O)
		return true;
	if (cell_water_isotopes(t, &dt, &analysed) < 0)
		return false;
	add(ret, "isotopes", "Isotopes", LAB_AT_WATER,
	    g_string_chunk_insert(text, analysed ? "analysed"
						 : "never analysed: 50 µK, as such cells are"),
	    dt);
	return true;
}

static bool record_age(struct cell_tape *t, double age_d, GStringChunk *text,
		       struct cell_effects_nodes *ret)
{
	struct firn_node dt;

	age_d = lab_or(age_d, cell_water_age_d(&t->study->mantle));
	if (t->study->cell.point != LAB_H2O || !lab_given(age_d))
		return true;
	if (cell_water_age(t, age_d, &dt) < 0)
		return false;
	add(ret, "mantle age", "Ice, its strain", LAB_AT_ICE,
	    with_number(text, "", round(10.0 * age_d) / 10.0, " days old"), dt);
	return true;
}

static bool record_head(struct cell_tape *t, GStringChunk *text, struct cell_effects_nodes *ret)
{
	const struct firn_fixed_point *point = point_of(&t->study->cell);
	struct firn_node dt;

	if (point == NULL)
		return true; /* an ice bath: the water at the sensor is at the pressure of the air
			      */
	if (firn_head(cell_tape_number(t, point->dT_dl_K_per_m), ret->middle_m, &dt) < 0)
		return false;
	add(ret, "head",
	    t->study->cell.point == LAB_H2O ? "Head of water at the sensor"
					    : "Head of metal at the sensor",
	    LAB_AT_SENSOR,
	    with_number(text, "", fabs(1e3 * point->dT_dl_K_per_m), " mK a metre, by the scale"),
	    dt);
	return true;
}

bool cell_effects_record(struct cell_tape *t, const struct cell_stem *s, double age_d,
			 GStringChunk *text, struct cell_effects_nodes *ret)
{
	const struct firn_node surface = s->surface_m, tip = s->from_tip_m, l = s->length_m;
	bool good;

	*ret = (struct cell_effects_nodes){ 0 };
	if (s->why_not != NULL) {
		cell_tape_lacks(t, t->study->cell.mark, "the thermometer can't be put there: %s",
				s->why_not);
		return false;
	}
	ret->middle_m = firn_formula("middle = surface - tip - l/2", surface, tip, l);
	record_stem(t, s, text, ret);
	good = record_isotopes(t, text, ret) && record_age(t, age_d, text, ret) &&
	       record_head(t, text, ret);
	ret->sum_K = cell_tape_number(t, 0.0);
	for (size_t i = 0; i < ret->n; i++)
		ret->sum_K = firn_add(ret->sum_K, ret->each[i].K);
	if (good && firn_tape_status(t->tape) >= 0)
		return true;
	cell_tape_lacks(t, t->study->cell.mark,
			"its effects can't be computed (%s); the middle of the element lies %.4g m "
			"below the surface",
			firn_status_text(firn_tape_status(t->tape)), firn_value(ret->middle_m));
	return false;
}

/* As last looked at before the day that is asked for, or as frozen. */
static void tell_ice(const struct lab_mantle *mantle, lab_cell_effects *ret)
{
	ret->ice_m = mantle->given ? mantle->ice_m.value : LAB_NOT_GIVEN;
	ret->ice_at_us = mantle->given ? mantle->frozen_us : BASE_NO_TIME;
	for (guint i = 0; mantle->given && i < mantle->looks->len; i++) {
		const struct lab_mantle_look *look = LAB_AT(mantle->looks, lab_mantle_look, i);

		if (!lab_stated(&look->ice_m) ||
		    (mantle->at_us != BASE_NO_TIME && look->time_us > mantle->at_us))
			continue;
		ret->ice_m = look->ice_m.value;
		ret->ice_at_us = look->time_us;
	}
}

lab_cell_effects *calc_cell_effects(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_effects) ret = lab_cell_effects_new();
	const struct firn_fixed_point *point = point_of(&study->cell);
	struct cell_effects_nodes nodes;
	struct cell_tape t;
	struct cell_stem s;
	bool good;

	if (!cell_tape_open(&t, study, messages))
		return NULL;
	good = cell_stem_build(&t, &s) &&
	       cell_effects_record(&t, &s, LAB_NOT_GIVEN, ret->text, &nodes);
	for (size_t i = 0; good && i < nodes.n; i++) {
		struct lab_cell_effect effect = nodes.each[i].told;

		effect.K = cell_tape_estimate(nodes.each[i].K);
		g_array_append_val(ret->effects, effect);
	}
	if (good) {
		ret->sum_K = cell_tape_estimate(nodes.sum_K);
		ret->middle_m = cell_tape_estimate(nodes.middle_m);
		ret->defined_K = point == NULL        ? LAB_NOT_GIVEN
				 : study->cell.triple ? lab_or(point->triple_K, point->t90_K)
						      : point->t90_K;
		tell_ice(&study->mantle, ret);
	}
	cell_tape_close(&t);
	return good ? g_steal_pointer(&ret) : NULL;
}
