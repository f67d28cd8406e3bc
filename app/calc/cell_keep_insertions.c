/* What thermometers that went in have cost the mantle. */
#include "app/calc/cell_keep_parts.h"

#include "app/calc/cell_stem.h"

#include <math.h>

/* Heat capacity of an insertion: its own, or that of the thermometer of the file. */
static bool heat_capacity(struct cell_tape *t, const struct lab_mantle_visit *visit,
			  struct firn_node *ret)
{
	const struct lab_stem *th = &t->study->thermometer;
	struct cell_stem stem;

	if (lab_stated(&visit->heat_capacity_J_per_K)) {
		*ret = cell_tape_input(t, "insertion.heat_capacity", "J/K",
				       &visit->heat_capacity_J_per_K);
		return true;
	}
	if (lab_stated(&th->heat_capacity_J_per_K)) {
		*ret = cell_tape_input(t, "thermometer.heat_capacity", "J/K",
				       &th->heat_capacity_J_per_K);
		return true;
	}
	if (!th->given) {
		cell_tape_lacks(t, visit->mark,
				"how much heat this insertion brought can't be told; give "
				"heat_capacity_J_per_K, or a thermometer");
		return false;
	}
	if (!cell_stem_build(t, &stem))
		return false;
	if (stem.why_not != NULL) {
		cell_tape_lacks(t, visit->mark,
				"the thermometer of the file can't have gone in: %s", stem.why_not);
		return false;
	}
	*ret = stem.heat_capacity_J_per_K;
	return true;
}

bool cell_keep_insertions(struct cell_tape *t, const struct cell_course *c, lab_cell_keep *keep)
{
	const GArray *visits = t->study->mantle.visits;
	const struct firn_node L = cell_tape_property(t, "ice", FIRN_LATENT_HEAT);
	const struct firn_node own = cell_tape_number(t, t->t_C);

	for (guint i = 0; i < visits->len; i++) {
		const struct lab_mantle_visit *visit = LAB_AT(visits, lab_mantle_visit, i);
		struct lab_mantle_cost cost = { .time_us = visit->time_us };
		struct firn_node C;

		if (!heat_capacity(t, visit, &C))
			return false;
		const struct firn_node from =
		    cell_tape_input(t, "insertion.from", "°C", &visit->from_C);
		cost.heat_J = cell_tape_estimate(firn_formula("Q = C*(from - own)", C, from, own));
		cost.ice_kg =
		    cell_tape_estimate(firn_formula("m = C*(from - own)/L", C, from, own, L));
		cost.lost_s = cell_course_cost(c, c->first_m, fmax(0.0, cost.ice_kg.value));
		g_array_append_val(keep->costs, cost);
		keep->cost_of_next_s = cost.lost_s;
	}
	return true;
}

double cell_keep_lost_until(const lab_cell_keep *keep, int64_t time_us)
{
	double lost_s = 0.0;

	for (guint i = 0; i < keep->costs->len; i++) {
		const struct lab_mantle_cost *cost = LAB_AT(keep->costs, lab_mantle_cost, i);

		if (cost->time_us <= time_us)
			lost_s += lab_or(cost->lost_s, 0.0);
	}
	return lost_s;
}
