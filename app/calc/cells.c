/* What makes each cell's temperature differ from the one that the scale defines. */
#include "app/calc/reduction.h"

#include "firn/correction.h"
#include "firn/impurity.h"

#include <string.h>

static struct firn_node shared_node(struct reduction *r, const char *path)
{
	return (struct firn_node){ r->tape,
				   GPOINTER_TO_UINT(g_hash_table_lookup(r->shared, path)) };
}

static struct firn_node keep_shared(struct reduction *r, const char *path, struct firn_node x)
{
	g_hash_table_insert(r->shared, g_strdup(path), GUINT_TO_POINTER(x.index));
	return x;
}

static struct firn_node cell_input(struct reduction *r, const struct lab_cell *cell,
				   const char *key, const char *unit, double value, double u)
{
	return reduction_shared_input(r, reduction_text(r, "cell.%s.%s", cell->id, key), unit,
				      value, u, (double)INFINITY);
}

/* ---- isotopes ---- */

static struct firn_node water(struct reduction *r, const struct lab_cell *cell)
{
	/* With the uncertainty of the composition goes that of the constants; see docs/decisions.
	 */
	const bool with_u = lab_given(cell->u_d_D) || lab_given(cell->u_d_18O);
	const char *path = with_u ? "constants.isotopes with u" : "constants.isotopes";
	struct firn_water_constants constants = { FIRN_ANNEX_2017, { 0 }, { 0 }, { 0 } };
	struct firn_water composition = {
		.d_D = cell_input(r, cell, "isotopes.dD", "", cell->d_D, cell->u_d_D),
		.d_18O = cell_input(r, cell, "isotopes.d18O", "", cell->d_18O, cell->u_d_18O),
	};
	struct firn_node dt = { .tape = r->tape };

	if (lab_given(cell->d_17O))
		composition.d_17O =
		    cell_input(r, cell, "isotopes.d17O", "", cell->d_17O, cell->u_d_17O);
	if (lab_given(cell->r_d_D_d_18O))
		firn_tape_correlate(composition.d_D, composition.d_18O, cell->r_d_D_d_18O);
	if (shared_node(r, path).index == 0) {
		firn_water_constants(r->tape, FIRN_ANNEX_2017, with_u, &constants);
		keep_shared(r, path, constants.a_D_K);
		keep_shared(r, reduction_text(r, "%s.18", path), constants.a_18_K);
		keep_shared(r, reduction_text(r, "%s.17", path), constants.a_17_K);
	}
	constants.a_D_K = shared_node(r, path);
	constants.a_18_K = shared_node(r, reduction_text(r, "%s.18", path));
	constants.a_17_K = shared_node(r, reduction_text(r, "%s.17", path));
	firn_water_isotopes(&composition, &constants, &dt);
	return dt;
}

static struct firn_node hydrogen(struct reduction *r, const struct lab_cell *cell)
{
	const bool with_u = lab_given(cell->u_x_D_umol_per_mol);
	const char *path = with_u ? "constants.hydrogen with u" : "constants.hydrogen";
	struct firn_node k = shared_node(r, path), dt = { .tape = r->tape };
	const struct firn_node x = cell_input(r, cell, "isotopes.xD_umol_per_mol", "umol/mol",
					      cell->x_D_umol_per_mol, cell->u_x_D_umol_per_mol);

	if (k.index == 0) {
		firn_hydrogen_constant(r->tape, with_u, &k);
		keep_shared(r, path, k);
	}
	firn_hydrogen_isotopes(x, k, &dt);
	return dt;
}

static struct firn_node neon(struct reduction *r, const struct lab_cell *cell)
{
	const bool with_u = lab_given(cell->u_x22) || lab_given(cell->u_x21);
	const char *path = with_u ? "constants.neon with u" : "constants.neon";
	struct firn_node k = shared_node(r, path), dt = { .tape = r->tape };
	const struct firn_node x22 =
	    cell_input(r, cell, "isotopes.x22", "", cell->x22, cell->u_x22);
	const struct firn_node x21 =
	    cell_input(r, cell, "isotopes.x21", "", cell->x21, cell->u_x21);

	if (k.index == 0) {
		firn_neon_constant(r->tape, with_u, &k);
		keep_shared(r, path, k);
	}
	firn_neon_isotopes(x22, x21, k, &dt);
	return dt;
}

/* Index 0 when the composition is not stated. */
static struct firn_node isotopes(struct reduction *r, const struct lab_cell *cell)
{
	const char *path = reduction_text(r, "cell.%s.isotopes", cell->id);
	struct firn_node dt = shared_node(r, path);

	if (dt.index != 0)
		return dt;
	if (cell->isotopes_unknown && cell->point == LAB_H2O)
		firn_water_unknown(r->tape, path, &dt);
	else if (lab_given(cell->d_D) && lab_given(cell->d_18O))
		dt = water(r, cell);
	else if (lab_given(cell->x_D_umol_per_mol))
		dt = hydrogen(r, cell);
	else if (lab_given(cell->x22) && lab_given(cell->x21))
		dt = neon(r, cell);
	else
		return dt;
	return keep_shared(r, path, dt);
}

/* ---- impurities ---- */

static struct firn_node slope_of(struct reduction *r, const struct lab_impurity *impurity,
				 const char *path, double A_per_K)
{
	struct firn_node k, slope = { .tape = r->tape };

	if (lab_given(impurity->K_per_umol_per_mol))
		return reduction_input(r, reduction_text(r, "%s.K_per_umol_per_mol", path),
				       "K mol/mol", 1e6 * impurity->K_per_umol_per_mol,
				       1e6 * lab_or(impurity->u_K_per_umol_per_mol, 0.0),
				       (double)INFINITY);
	k = reduction_input(r, reduction_text(r, "%s.k", path), "", impurity->k, impurity->u_k,
			    (double)INFINITY);
	firn_liquidus_slope(A_per_K, k, &slope);
	return slope;
}

static struct firn_node impurities(struct reduction *r, const struct lab_cell *cell)
{
	const char *path = reduction_text(r, "cell.%s.impurities", cell->id);
	struct firn_node dt = shared_node(r, path), sum[2];
	size_t n_sum = 0;
	double A_per_K = 0.0;

	if (dt.index != 0)
		return dt;
	if (firn_cryoscopic_constant(lab_point_name(cell->point), &A_per_K) < 0)
		return dt;
	if (cell->impurities->len > 0) {
		const guint n = cell->impurities->len;
		g_autofree struct firn_node *x = g_new(struct firn_node, n),
					    *m = g_new(struct firn_node, n);

		for (guint i = 0; i < n; i++) {
			const struct lab_impurity *impurity =
			    LAB_AT(cell->impurities, lab_impurity, i);
			const char *own = reduction_text(
			    r, "%s.%s", path, impurity->element != NULL ? impurity->element : "");

			x[i] = reduction_input(r, reduction_text(r, "%s.x", own), "mol/mol",
					       1e-6 * impurity->x_umol_per_mol,
					       1e-6 * lab_or(impurity->u_x_umol_per_mol, 0.0),
					       (double)INFINITY);
			m[i] = slope_of(r, impurity, own, A_per_K);
		}
		if (firn_impurities(n, x, m, &sum[n_sum]) >= 0)
			n_sum++;
	}
	if (lab_given(cell->total_umol_per_mol) &&
	    firn_impurity_maximum(r->tape,
				  reduction_text(r, "cell.%s.total_umol_per_mol", cell->id),
				  1e-6 * cell->total_umol_per_mol, A_per_K, &sum[n_sum]) >= 0)
		n_sum++;
	return n_sum == 0 ? dt : keep_shared(r, path, firn_sum(n_sum, sum));
}

/* ---- one visit ---- */

static struct firn_node head(struct reduction *r, const struct lab_visit *said,
			     const struct firn_fixed_point *point)
{
	struct firn_node dt = { .tape = r->tape };

	if (!lab_given(said->depth_m) || point->kind == FIRN_VAPOUR_PRESSURE_POINT)
		return dt;
	const struct firn_node depth =
	    reduction_input(r, reduction_text(r, "visit.%s.depth_m", said->id), "m", said->depth_m,
			    said->u_depth_m, (double)INFINITY);
	firn_head(firn_constant(r->tape, point->dT_dl_K_per_m), depth, &dt);
	return dt;
}

static struct firn_node pressure(struct reduction *r, const struct lab_visit *said,
				 const struct lab_cell *cell, const struct firn_fixed_point *point)
{
	struct firn_node p, dt = { .tape = r->tape };

	if (!point->gas_pressure || cell->triple)
		return dt;
	if (lab_given(said->pressure_Pa))
		p = reduction_input(r, reduction_text(r, "visit.%s.pressure_Pa", said->id), "Pa",
				    said->pressure_Pa, said->u_pressure_Pa, (double)INFINITY);
	else if (lab_given(cell->pressure_Pa))
		p = cell_input(r, cell, "pressure_Pa", "Pa", cell->pressure_Pa,
			       cell->u_pressure_Pa);
	else
		return dt;
	firn_gas_pressure(firn_constant(r->tape, point->dT_dp_K_per_Pa), p, &dt);
	return dt;
}

static struct firn_node certificate(struct reduction *r, const struct lab_cell *cell)
{
	const struct lab_cell_certificate *said = &cell->certificate;
	struct firn_node dt = { .tape = r->tape };

	if (lab_given(said->correction_K))
		firn_certificate_effect(
		    reduction_shared_input(r, reduction_text(r, "cell.%s.certificate", cell->id),
					   "K", said->correction_K, said->u_K, said->dof),
		    &dt);
	return dt;
}

static struct firn_node mantle_age(struct reduction *r, const struct lab_visit *said)
{
	if (!lab_given(said->mantle_age_K) && !lab_given(said->u_mantle_age_K))
		return (struct firn_node){ .tape = r->tape };
	return reduction_input(r, reduction_text(r, "visit.%s.mantle_age", said->id), "K",
			       lab_or(said->mantle_age_K, 0.0), said->u_mantle_age_K,
			       (double)INFINITY);
}

/* Gallium: a sealed cell under its own vapour realises the triple point. */
static struct firn_node triple_point(struct reduction *r, const struct lab_cell *cell,
				     const struct firn_fixed_point *point)
{
	if (!cell->triple || isnan(point->triple_K))
		return (struct firn_node){ .tape = r->tape };
	return firn_constant(r->tape, point->triple_K - point->t90_K);
}

struct effect_in_words {
	const char *name;
	const char *reason;
};
static const struct effect_in_words effects_in_words[FIRN_EFFECTS] = {
	[FIRN_EFFECT_ISOTOPES] = { "isotopes",
				   "the isotopes differ from the reference composition" },
	[FIRN_EFFECT_IMPURITIES] = { "impurities", "foreign atoms in the sample" },
	[FIRN_EFFECT_HEAD] = { "head", "the sensor lies below the surface" },
	[FIRN_EFFECT_PRESSURE] = { "pressure", "the gas is not at 101325 Pa" },
	[FIRN_EFFECT_MANTLE_AGE] = { "mantle_age", "the mantle is young" },
	[FIRN_EFFECT_CERTIFICATE] = { "cell_certificate", "the certificate of the cell says so" },
};
/* As a person reads them: what the cell is, where the sensor sits, what presses on it. */
static const enum firn_effect order_of_effects[] = {
	FIRN_EFFECT_ISOTOPES,   FIRN_EFFECT_HEAD,        FIRN_EFFECT_PRESSURE,
	FIRN_EFFECT_IMPURITIES, FIRN_EFFECT_CERTIFICATE, FIRN_EFFECT_MANTLE_AGE
};

static void keep_correction(struct reduction *r, int visit, const char *name, const char *reason,
			    struct firn_node dt)
{
	const double value_K = firn_value(dt);
	const bool small = fabs(value_K) < 1e-3;
	const struct lab_correction correction = {
		.name = reduction_text(r, "%s", name),
		.value_K = value_K,
		.u_K = firn_u(dt),
		.words = value_K == 0.0
			     ? reduction_text(r, "no effect")
			     : reduction_text(r, "%.*f %s %s: %s", small ? 1 : 3,
					      fabs(value_K) * (small ? 1e6 : 1e3),
					      small ? "\u00b5K" : "mK",
					      value_K < 0.0 ? "colder" : "hotter", reason),
	};

	g_array_append_val(r->visits[visit].result.corrections, correction);
}

/* The uncertainties that belong to the realisation itself; each an input of value 0. */
static size_t realisation(struct reduction *r, const struct lab_visit *said,
			  const struct lab_cell *cell, struct firn_node *ret)
{
	size_t n = 0;

	if (lab_given(cell->u_cell_K))
		ret[n++] =
		    reduction_shared_input(r, reduction_text(r, "cell.%s.realisation", cell->id),
					   "K", 0.0, cell->u_cell_K, cell->dof);
	if (lab_given(said->u_K))
		ret[n++] = reduction_input(r, reduction_text(r, "visit.%s.realisation", said->id),
					   "K", 0.0, said->u_K, said->dof);
	for (int i = 0; i < LAB_TERMS; i++)
		if (lab_given(said->terms[i].u))
			ret[n++] = reduction_input(r,
						   reduction_text(r, "visit.%s.%s", said->id,
								  lab_term_name((enum lab_term)i)),
						   "K", 0.0, said->terms[i].u, said->terms[i].dof);
	return n;
}

static void note_what_is_missing(struct reduction *r, int visit, const struct firn_effects *effects)
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

static bool add_up(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)cell->point);
	struct firn_effects effects = {
		.dt_K = { [FIRN_EFFECT_ISOTOPES] = isotopes(r, cell),
			  [FIRN_EFFECT_IMPURITIES] = impurities(r, cell),
			  [FIRN_EFFECT_HEAD] = head(r, said, point),
			  [FIRN_EFFECT_PRESSURE] = pressure(r, said, cell, point),
			  [FIRN_EFFECT_MANTLE_AGE] = mantle_age(r, said),
			  [FIRN_EFFECT_CERTIFICATE] = certificate(r, cell) },
		.held = { [FIRN_EFFECT_ISOTOPES] = cell->certificate.holds_isotopes,
			  [FIRN_EFFECT_IMPURITIES] = cell->certificate.holds_impurities,
			  [FIRN_EFFECT_HEAD] = cell->certificate.holds_head,
			  [FIRN_EFFECT_PRESSURE] = cell->certificate.holds_pressure },
	};
	const struct firn_node triple = triple_point(r, cell, point);
	struct firn_node parts[LAB_TERMS + 4], dt = { .tape = r->tape };
	size_t n = 0;

	if (firn_effects_total(r->tape, &effects, &parts[n]) < 0) {
		if (firn_tape_status(r->tape) >= 0)
			reduction_wrong(r, said->mark,
					"visit %s: the certificate of cell %s contains "
					"corrections, but states none; give "
					"its correction_mK",
					said->id, cell->id);
		return false;
	}
	n++;
	if (triple.index != 0)
		parts[n++] = triple;
	n += realisation(r, said, cell, parts + n);
	dt = firn_name("dT", firn_sum(n, parts));
	r->visits[visit].dt_K = dt;
	if (firn_tape_status(r->tape) < 0)
		return false;
	for (size_t i = 0; i < G_N_ELEMENTS(order_of_effects); i++) {
		const enum firn_effect e = order_of_effects[i];

		if (effects.dt_K[e].index != 0 && !effects.held[e])
			keep_correction(r, visit, effects_in_words[e].name,
					effects_in_words[e].reason, effects.dt_K[e]);
	}
	if (triple.index != 0)
		keep_correction(r, visit, "triple_point", "a triple point, not the melting point",
				triple);
	note_what_is_missing(r, visit, &effects);
	return true;
}

/* The temperature and W_r that the scale gives the point, and the slope of the reference there. */
static bool define(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const enum firn_point id = (enum firn_point)reduction_point(r, visit);
	struct reduced_visit *v = &r->visits[visit];
	double wr;

	if (id != FIRN_E_H2_VAPOUR) {
		v->t90_K = firn_scale_point(id)->t90_K;
		if (firn_scale_wr_at(id, r->job->wr_from_equation, &wr, &v->dwr_per_K) < 0)
			return false;
		v->wr = firn_wr_at(r->tape, id, r->job->wr_from_equation);
		return true;
	}
	const struct firn_node p =
	    reduction_input(r, reduction_text(r, "visit.%s.vapour_pressure_Pa", said->id), "Pa",
			    said->vapour_pressure_Pa, said->u_vapour_pressure_Pa, (double)INFINITY);
	const struct firn_node t90 = firn_vapour_t90(p);
	if (firn_tape_status(r->tape) < 0) {
		reduction_wrong(
		    r,
		    lab_calibration_mark(
			r->job, reduction_text(r, "visit.%s.vapour_pressure_Pa", said->id)),
		    "visit %s: at %g Pa the vapour pressure of hydrogen is no point of the scale; "
		    "33188.1 "
		    "to 33454.5 Pa (17 K) or 100992 to 101592 Pa (20.3 K) are needed",
		    said->id, said->vapour_pressure_Pa);
		return false;
	}
	v->t90_K = firn_value(t90);
	v->wr = firn_wr(false, t90);
	return firn_scale_wr(v->t90_K, false, &wr, &v->dwr_per_K) >= 0;
}

static void keep_cell(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	struct reduced_visit *v = &r->visits[visit];

	v->result.point = cell->point;
	v->result.cell = reduction_text(r, "%s", cell->id);
	v->result.t90_defined_K = v->t90_K;
	v->result.depth_m = said->depth_m;
	v->result.pressure_Pa =
	    lab_given(said->pressure_Pa) ? said->pressure_Pa : cell->pressure_Pa;
	v->result.correction_total_K = firn_value(v->dt_K);
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
static void reserve_missing(struct reduction *r)
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

bool reduction_correct(struct reduction *r)
{
	bool good = true;

	for (guint i = 0; i < r->job->visits->len; i++) {
		struct lab_visit_result *result = &r->visits[i].result;

		result->id = reduction_text(r, "%s", reduction_visit(r, (int)i)->id);
		result->corrections = g_array_new(FALSE, TRUE, sizeof(struct lab_correction));
		result->not_included = g_ptr_array_new();
		result->point = LAB_NO_POINT;
		result->t90_defined_K = result->depth_m = result->pressure_Pa = LAB_NOT_GIVEN;
		result->wr = result->s = result->u_w_K = LAB_NOT_GIVEN;
		if (reduction_point(r, (int)i) == LAB_NO_POINT)
			continue;
		if (!define(r, (int)i) || !add_up(r, (int)i)) {
			reduction_is_good(
			    r, reduction_visit(r, (int)i)->mark,
			    reduction_text(r, "visit %s", reduction_visit(r, (int)i)->id));
			if (firn_tape_status(r->tape) < 0)
				return false;
			good = false;
			continue;
		}
		keep_cell(r, (int)i);
	}
	if (good)
		reserve_missing(r);
	return good;
}
