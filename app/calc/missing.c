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
static void append_missing(GString *list, const char *what, double x)
{
	if (!lab_given(x))
		g_string_append_printf(list, "%s%s", list->len > 0 ? ", " : "", what);
}

/* Adds "resistor S (u_per_K, u_bath_K)" when something in the list is missing. */
static void append_owner(GString *all, const char *kind, const char *id, const GString *list)
{
	if (list->len > 0)
		g_string_append_printf(all, "%s%s %s (%s)", all->len > 0 ? "; " : "", kind, id,
				       list->str);
}

static bool is_used(const struct reduction *r, int resistor, int bridge, int cell)
{
	for (guint i = 0; i < r->job->visits->len; i++) {
		const struct lab_visit *v = reduction_visit(r, (int)i);

		if ((resistor >= 0 && v->resistor == resistor) ||
		    (bridge >= 0 && v->bridge == bridge) ||
		    (cell >= 0 && !v->measure && v->cell == cell))
			return true;
	}
	return false;
}

/* Whether any visit to the cell lacks a u of its own; then the cell's is all there is. */
static bool visits_lack_u(const struct reduction *r, int cell)
{
	for (guint i = 0; i < r->job->visits->len; i++) {
		const struct lab_visit *v = reduction_visit(r, (int)i);

		if (!v->measure && v->cell == cell && !lab_given(v->u_K))
			return true;
	}
	return false;
}

static void append_cell(const struct reduction *r, int place, GString *all)
{
	const struct lab_cell *cell = LAB_AT(r->job->cells, lab_cell, place);
	g_autoptr(GString) list = g_string_new(NULL);

	if (!is_used(r, -1, -1, place))
		return;
	if (visits_lack_u(r, place))
		append_missing(list, "u_cell_mK or u_mK", cell->u_cell_K);
	if (lab_given(cell->d_D) && !cell->certificate.holds_isotopes) {
		append_missing(list, "u_dD", cell->u_d_D);
		append_missing(list, "u_d18O", cell->u_d_18O);
	}
	if (lab_given(cell->certificate.correction_K))
		append_missing(list, "u_mK of its certificate", cell->certificate.u_K);
	append_owner(all, "cell", cell->id, list);
}

static void append_visits(const struct reduction *r, GString *all)
{
	g_autoptr(GString) depth = g_string_new(NULL), pressure = g_string_new(NULL);

	for (guint i = 0; i < r->job->visits->len; i++) {
		const struct lab_visit *v = reduction_visit(r, (int)i);

		if (lab_given(v->depth_m))
			append_missing(depth, v->id, v->u_depth_m);
		if (lab_given(v->pressure_Pa))
			append_missing(pressure, v->id, v->u_pressure_Pa);
	}
	if (depth->len > 0)
		g_string_append_printf(all, "%su_depth_m at visits %s", all->len > 0 ? "; " : "",
				       depth->str);
	if (pressure->len > 0)
		g_string_append_printf(all, "%su_pressure_Pa at visits %s",
				       all->len > 0 ? "; " : "", pressure->str);
}

/* Numbers of the job whose uncertainty nobody stated: absent means not included, and that is said.
 */
static void reserve_unstated_u(struct reduction *r)
{
	g_autoptr(GString) all = g_string_new(NULL);

	for (guint i = 0; i < r->job->resistors->len; i++) {
		const struct lab_resistor *s = LAB_AT(r->job->resistors, lab_resistor, i);
		g_autoptr(GString) list = g_string_new(NULL);

		append_missing(list, "u_ohm", s->u_ohm);
		append_missing(list, "u_per_K", lab_given(s->per_K) ? s->u_per_K : 0.0);
		append_missing(list, "u_bath_K", lab_given(s->per_K) ? s->u_bath_K : 0.0);
		if (is_used(r, (int)i, -1, -1))
			append_owner(all, "resistor", s->id, list);
	}
	for (guint i = 0; i < r->job->bridges->len; i++) {
		const struct lab_bridge *b = LAB_AT(r->job->bridges, lab_bridge, i);
		g_autoptr(GString) list = g_string_new(NULL);

		append_missing(list, "u_linearity", b->u_linearity);
		append_missing(list, "u_current_ratio", b->u_current_ratio);
		if (is_used(r, -1, (int)i, -1))
			append_owner(all, "bridge", b->id, list);
	}
	for (guint i = 0; i < r->job->cells->len; i++)
		append_cell(r, (int)i, all);
	append_visits(r, all);
	if (all->len > 0)
		reduction_reserve(r, "No uncertainty was stated, and none is included, of: %s.",
				  all->str);
	for (guint i = 0; i < r->job->visits->len; i++) {
		if (reduction_visit(r, (int)i)->bridge >= 0 || r->visits[i].in_ohm)
			continue;
		reduction_reserve(r, "Visit %s names no bridge; no linearity is included.",
				  reduction_visit(r, (int)i)->id);
	}
}

/* What a cell's certificate holds has no line of its own among the corrections: it is said here. */
static void reserve_held(struct reduction *r)
{
	for (guint i = 0; i < r->job->cells->len; i++) {
		const struct lab_cell *cell = LAB_AT(r->job->cells, lab_cell, i);
		const struct lab_cell_certificate *c = &cell->certificate;
		const char *const words[] = { c->holds_isotopes ? "isotopes" : NULL,
					      c->holds_impurities ? "impurities" : NULL,
					      c->holds_head ? "head" : NULL,
					      c->holds_pressure ? "pressure" : NULL };
		g_autoptr(GString) list = g_string_new(NULL);

		for (size_t k = 0; k < G_N_ELEMENTS(words); k++)
			if (words[k] != NULL)
				g_string_append_printf(list, "%s%s", list->len > 0 ? ", " : "",
						       words[k]);
		if (list->len > 0 && is_used(r, -1, -1, (int)i))
			reduction_reserve(r,
					  "Cell %s: the correction of its certificate contains "
					  "these already, so they are not applied apart: %s.",
					  cell->id, list->str);
	}
}

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
	reserve_held(r);
	reserve_unstated_u(r);
	reserve_missing_of(r, true, names, n_visits);
	reserve_missing_of(r, false, names, n_visits);
}
