#include "app/calc/cell_fit.h"

#include "app/calc/cell_fit_parts.h"

#include <math.h>

#define STEP_M       0.01 /* of the table of depths */
#define MOST_STEPS   12
#define USUAL_WITHIN 10e-6

static struct cell_fit_question question(const struct lab_cell_study *study, double t_C)
{
	const struct lab_wanted *w = &study->wanted;
	const double from_C = lab_or(w->from_C.value, study->surroundings.ambient_C.value);

	return (struct cell_fit_question){
		.from_K = fabs(from_C - t_C),
		.within_K = lab_or(w->within_K.value,
				   lab_given(w->u_K.value) ? w->u_K.value / 5 : USUAL_WITHIN),
		.wanted_K = w->u_K.value,
		.fitted = study->settling->len > 0,
	};
}

static void add_depths(struct cell_tape *t, const struct cell_stem *s, struct lab_cell_fit *fit)
{
	const struct firn_node ambient = cell_tape_input(t, "surroundings.ambient again", "°C",
							 &t->study->surroundings.ambient_C);
	const struct firn_node medium = cell_tape_number(t, t->t_C);
	const double middle = fit->stated.depth_m.value;

	for (int i = 0; i < MOST_STEPS; i++) {
		struct firn_stem_answer a;
		const struct firn_node part = cell_stem_error(s, i * STEP_M, &a);
		struct lab_fit_depth row = { .depth_m = middle - i * STEP_M };

		if (part.index == 0)
			return;
		row.error_K = cell_tape_estimate(
		    firn_formula("error = part*(ambient - medium)", part, ambient, medium));
		g_array_append_val(fit->depths, row);
	}
}

/* Depth at which the term comes down to a third of what is wanted; more depth never hurts. */
static double term_at(const struct cell_tape *t, const struct cell_stem *s, double lift_m)
{
	struct firn_stem_answer a;
	const struct firn_node part = cell_stem_error(s, lift_m, &a);
	const double d = t->study->surroundings.ambient_C.value - t->t_C;

	return part.index == 0 ? INFINITY
			       : hypot(firn_value(part) * d / sqrt(3.0), firn_u(part) * d);
}

static double needed_depth(const struct cell_tape *t, const struct cell_stem *s,
			   const struct lab_cell_fit *fit)
{
	double low = -2.0, high = fit->stated.depth_m.value; /* of the lift: deeper, and out */

	if (!lab_given(fit->wanted_K) || term_at(t, s, low) > fit->wanted_K / 3)
		return LAB_NOT_GIVEN;
	for (int i = 0; i < 40; i++) {
		const double lift = (low + high) / 2;

		if (term_at(t, s, lift) > fit->wanted_K / 3)
			high = lift;
		else
			low = lift;
	}
	return fit->stated.depth_m.value - low;
}

static void reserve(struct lab_cell_fit *fit, const char *text)
{
	g_ptr_array_add(fit->reservations, g_string_chunk_insert(fit->text, text));
}

static void add_reservations(const struct lab_cell_study *study, const struct cell_stem *s,
			     struct lab_cell_fit *fit)
{
	if (s->circle_assumed)
		reserve(fit, "Where the wires stand is not stated (leads: circle_mm): a circle of "
			     "half the sheath's bore is assumed, with a u of a sixth of that.");
	if (s->filling_assumed)
		reserve(fit, "What fills the sheath is not stated (filling): air is assumed.");
	if (s->element_assumed)
		reserve(fit,
			"The diameter of the element is not stated: eight tenths of the sheath's "
			"bore is assumed for the times, and self-heating within the thermometer "
			"is not told.");
	if (s->film_assumed)
		reserve(fit, "The film between sheath and ice is not stated (film_W_per_m2K): 300 "
			     "W/(m2 K) with a u of 100 is assumed; it is ours.");
	if (study->cell.medium == LAB_ICE_BATH)
		reserve(fit,
			"Ice with voids or with water at the bottom holds a thermometer worse than "
			"a film does: some tens of millikelvin are reported at 100 mm, about 1 mK "
			"from 300 mm on (BIPM, Techniques for Approximating the ITS-90).");
	if (!fit->settling_fitted)
		reserve(fit,
			"The times are estimates and, as heat that comes down the stem and warms "
			"the well is left out, low ones; they become the laboratory's own when "
			"insertions are recorded under settling.");
	if (fit->stated.verdict == LAB_FIT_NONE)
		reserve(fit,
			"At this point the sheath also pipes radiation (tenths of a millikelvin "
			"at zinc, tens of them at silver), and conduction alone allows no "
			"verdict: that is left to the measured immersion profile and to how the "
			"sheath is treated.");
	reserve(fit, "Left out: radiation along the sheath, convection in the well, and light from "
		     "the room, which an opaque cover keeps away.");
}

static void name_node_budget(struct cell_tape *t, const struct cell_stem *s,
			     struct lab_cell_fit *fit)
{
	struct firn_stem_answer a;
	const struct firn_node part = cell_stem_error(s, 0.0, &a);
	const struct firn_node ambient =
	    cell_tape_input(t, "surroundings.ambient", "°C", &t->study->surroundings.ambient_C);
	const struct firn_node medium = cell_tape_number(t, t->t_C);

	cell_fit_budget(firn_formula("error = part*(ambient - medium)", part, ambient, medium),
			fit->budget, fit->text);
}

static bool wanted_makes_sense(struct cell_tape *t, const struct cell_fit_question *q)
{
	if (!lab_given(q->from_K) || q->within_K < q->from_K)
		return true;
	cell_tape_lacks(t,
			t->study->wanted.from_C.mark.line > 0 ? t->study->wanted.from_C.mark
							      : t->study->wanted.mark,
			"the thermometer enters nearer to the cell's temperature than it is waited "
			"for; from_C lies further off than within_uK");
	return false;
}

lab_cell_fit *calc_cell_fit(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_fit) fit = lab_cell_fit_new();
	struct cell_tape t;
	struct cell_stem s;
	bool good;

	if (!cell_tape_open(&t, study, messages))
		return NULL;
	const struct cell_fit_question q = question(study, t.t_C);
	good = cell_stem_build(&t, &s) && wanted_makes_sense(&t, &q);
	if (good) {
		fit->from_K = q.from_K;
		fit->within_K = q.within_K;
		fit->wanted_K = q.wanted_K;
		fit->needed_m = LAB_NOT_GIVEN;
		fit->settling_fitted = q.fitted;
		fit->stated = cell_fit_case(&t, &s, &q);
		fit->stated.name = g_string_chunk_insert_const(fit->text, "as stated");
		if (fit->stated.why_not == NULL) {
			cell_fit_grid(&t, &s, &fit->stated);
			if (!q.fitted)
				cell_fit_grid_time(&t, &s, &q, &fit->stated);
			cell_fit_judge(study, q.wanted_K, &fit->stated);
		}
		cell_fit_alternatives(study, &q, fit);
	}
	if (good && fit->stated.why_not == NULL) {
		name_node_budget(&t, &s, fit);
		add_depths(&t, &s, fit);
		fit->needed_m = needed_depth(&t, &s, fit);
		add_reservations(study, &s, fit);
		good = firn_tape_status(t.tape) >= 0;
		if (!good)
			cell_tape_lacks(&t, study->cell.mark, "the fit can't be computed: %s",
					firn_status_text(firn_tape_status(t.tape)));
	}
	cell_tape_close(&t);
	return good ? g_steal_pointer(&fit) : NULL;
}
