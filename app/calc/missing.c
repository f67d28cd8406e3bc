/* What a budget could hold and nobody stated. */
#include "app/calc/reduction.h"

#include "firn/correction.h"

#include <string.h>

void reduction_note_missing(struct reduction *r, int visit, const struct firn_effects *effects)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)cell->point);
	GPtrArray *missing = r->visits[visit].result.not_included;
	const bool has_isotopes =
	    cell->point == LAB_H2O || cell->point == LAB_E_H2 || cell->point == LAB_NE;

	if (effects->dt_K[FIRN_EFFECT_HEAD].index == 0 && !effects->held[FIRN_EFFECT_HEAD] &&
	    point->kind != FIRN_VAPOUR_PRESSURE_POINT)
		g_ptr_array_add(missing, reduction_text(r, "head"));
	if (effects->dt_K[FIRN_EFFECT_PRESSURE].index == 0 &&
	    !effects->held[FIRN_EFFECT_PRESSURE] && point->gas_pressure && !cell->triple)
		g_ptr_array_add(missing, reduction_text(r, "pressure"));
	if (effects->dt_K[FIRN_EFFECT_ISOTOPES].index == 0 &&
	    !effects->held[FIRN_EFFECT_ISOTOPES] && has_isotopes)
		g_ptr_array_add(missing, reduction_text(r, "isotopes"));
	if (effects->dt_K[FIRN_EFFECT_IMPURITIES].index == 0 &&
	    !effects->held[FIRN_EFFECT_IMPURITIES])
		g_ptr_array_add(missing, reduction_text(r, "impurities"));
	if (effects->dt_K[FIRN_EFFECT_MANTLE_AGE].index == 0 && cell->point == LAB_H2O)
		g_ptr_array_add(missing, reduction_text(r, "mantle_age"));
	for (int i = 0; i < LAB_TERMS; i++)
		if (!lab_given(said->terms[i].u))
			g_ptr_array_add(missing,
					reduction_text(r, "%s", lab_term_name((enum lab_term)i)));
}

/* The visits that lack a term, as "visit 3" or "visits 3, 5" or "any visit". */
static char *visits_lacking(const struct reduction *r, const char *name, guint n_visits)
{
	g_autoptr(GString) list = g_string_new(NULL);
	guint n = 0;

	for (guint i = 0; i < r->job->visits->len; i++) {
		const GPtrArray *missing = r->visits[i].result.not_included;

		for (guint j = 0; j < missing->len; j++)
			if (strcmp(g_ptr_array_index(missing, j), name) == 0)
				g_string_append_printf(list, "%s%s", n++ > 0 ? ", " : "",
						       reduction_visit(r, (int)i)->id);
	}
	return n == n_visits ? g_strdup("any visit")
			     : g_strdup_printf("visit%s %s", n > 1 ? "s" : "", list->str);
}

static bool is_correction(const char *name)
{
	return strcmp(name, "isotopes") == 0;
}

/* Told with the size of their effect, for each visit: plausible.c. */
static bool is_told_elsewhere(const char *name)
{
	return strcmp(name, "head") == 0 || strcmp(name, "pressure") == 0;
}

/* Terms that the same visits lack stand in one sentence. */
static void reserve_missing_of(struct reduction *r, bool corrections, const GPtrArray *names,
			       guint n_visits)
{
	g_autoptr(GHashTable) terms_of =
	    g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
	g_autoptr(GPtrArray) order = g_ptr_array_new();

	for (guint i = 0; i < names->len; i++) {
		const char *name = g_ptr_array_index(names, i);
		char *visits;
		char *before;

		if (is_correction(name) != corrections)
			continue;
		visits = visits_lacking(r, name, n_visits);
		before = g_hash_table_lookup(terms_of, visits);
		if (before == NULL)
			g_ptr_array_add(order, reduction_text(r, "%s", visits));
		g_hash_table_replace(terms_of, visits,
				     before == NULL ? reduction_text(r, "%s", name)
						    : reduction_text(r, "%s, %s", before, name));
	}
	for (guint i = 0; i < order->len; i++) {
		const char *visits = g_ptr_array_index(order, i);
		const char *terms = g_hash_table_lookup(terms_of, visits);

		if (corrections)
			reduction_reserve(r, "Not corrected, because not stated at %s: %s.", visits,
					  terms);
		else
			reduction_reserve(r,
					  "Not stated apart at %s, so not included unless u_mK or "
					  "u_cell_mK holds "
					  "them: %s.",
					  visits, terms);
	}
}

/* What was stated nowhere. */
void reduction_reserve_missing(struct reduction *r)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	guint n_visits = 0;

	for (guint i = 0; i < r->job->visits->len; i++) {
		const GPtrArray *missing = r->visits[i].result.not_included;

		n_visits += reduction_point(r, (int)i) != LAB_NO_POINT;
		for (guint j = 0; j < missing->len; j++)
			if (!is_told_elsewhere(g_ptr_array_index(missing, j)) &&
			    !g_ptr_array_find_with_equal_func(names, g_ptr_array_index(missing, j),
							      g_str_equal, NULL))
				g_ptr_array_add(names, g_ptr_array_index(missing, j));
	}
	reserve_missing_of(r, true, names, n_visits);
	reserve_missing_of(r, false, names, n_visits);
}
