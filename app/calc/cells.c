/* What makes each cell's temperature differ from the one that the scale defines. */
#include "app/calc/reduction.h"

#include "firn/correction.h"

#include <string.h>

/* The effects of a cell. Index 0 stays where nothing is stated; false: it was stated, is not to be
   computed, and that has been told. */

static bool head(struct reduction *r, const struct lab_visit *said,
		 const struct firn_fixed_point *point, struct firn_node *ret_dt)
{
	if (!lab_given(said->depth_m) || point->kind == FIRN_VAPOUR_PRESSURE_POINT)
		return true;
	const struct firn_node depth =
	    reduction_input(r, reduction_text(r, "visit.%s.depth_m", said->id), "m", said->depth_m,
			    said->u_depth_m, (double)INFINITY);
	return reduction_computed(
	    r, firn_head(firn_constant(r->tape, point->dT_dl_K_per_m), depth, ret_dt), said->mark,
	    "the head of visit %s", said->id);
}

static bool pressure(struct reduction *r, const struct lab_visit *said, const struct lab_cell *cell,
		     const struct firn_fixed_point *point, struct firn_node *ret_dt)
{
	struct firn_node p;

	if (!point->gas_pressure || cell->triple)
		return true;
	if (lab_given(said->pressure_Pa))
		p = reduction_input(r, reduction_text(r, "visit.%s.pressure_Pa", said->id), "Pa",
				    said->pressure_Pa, said->u_pressure_Pa, (double)INFINITY);
	else if (lab_given(cell->pressure_Pa))
		p = reduction_cell_input(r, cell, "pressure_Pa", "Pa", cell->pressure_Pa,
					 cell->u_pressure_Pa);
	else
		return true;
	return reduction_computed(
	    r, firn_gas_pressure(firn_constant(r->tape, point->dT_dp_K_per_Pa), p, ret_dt),
	    said->mark, "the effect of the pressure at visit %s", said->id);
}

static bool certificate(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt)
{
	const struct lab_cell_certificate *said = &cell->certificate;

	if (!lab_given(said->correction_K))
		return true;
	const char *path = reduction_text(r, "cell.%s.certificate", cell->id);
	const struct firn_node correction =
	    reduction_shared_input(r, path, "K", said->correction_K, said->u_K, said->dof);
	return reduction_computed(r, firn_certificate_effect(correction, ret_dt),
				  lab_calibration_mark(r->job, path),
				  "the effect that the certificate of cell %s states", cell->id);
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

/* NaN when nothing beneath the effect has a u: none was stated, or 0, which tells as little. */
static double u_stated(struct reduction *r, int visit, struct firn_node dt)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const double u = reduction_estimate(r, dt).u;
	struct firn_budget_line line;
	size_t n = 0;

	if (u != 0.0 || !reduction_computed(r, firn_budget(dt, 1, &line, &n), said->mark,
					    "the budget of an effect at visit %s", said->id))
		return u;
	return n > 0 ? LAB_NOT_GIVEN : u;
}

static void keep_correction(struct reduction *r, int visit, const char *name, const char *reason,
			    struct firn_node dt)
{
	const double value_K = firn_value(dt);
	const bool small = fabs(value_K) < 1e-3;
	const struct lab_correction correction = {
		.name = reduction_text(r, "%s", name),
		.value_K = value_K,
		.u_K = u_stated(r, visit, dt),
		.words = value_K == 0.0
			     ? reduction_text(r, "no effect")
			     : reduction_text(r, "%.*f %s %s: %s", small ? 1 : 3,
					      fabs(value_K) * (small ? 1e6 : 1e3),
					      small ? "\u00b5K" : "mK",
					      value_K < 0.0 ? "colder" : "warmer", reason),
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

/* What the total consists of, for explanations: the effects by name, then the realisation's inputs.
 */
static void label_total(const struct firn_effects *effects, struct firn_node triple, size_t n_parts,
			const struct firn_node *parts, struct firn_node total)
{
	const char *names[FIRN_EFFECTS + LAB_TERMS + 4];
	struct firn_node arguments[FIRN_EFFECTS + LAB_TERMS + 4];
	size_t n = 0;

	for (size_t i = 0; i < G_N_ELEMENTS(order_of_effects); i++) {
		const enum firn_effect e = order_of_effects[i];

		if (effects->dt_K[e].index != 0 && !effects->held[e]) {
			names[n] = effects_in_words[e].name;
			arguments[n++] = effects->dt_K[e];
		}
	}
	if (triple.index != 0) {
		names[n] = "triple_point";
		arguments[n++] = triple;
	}
	for (size_t i = 1; i < n_parts; i++) { /* the first is the sum of the effects */
		struct firn_input said;

		if (firn_tape_input_of(parts[i], &said) < 0)
			continue;
		const char *dot = strrchr(said.name, '.');
		names[n] = dot == NULL ? said.name : dot + 1;
		arguments[n++] = parts[i];
	}
	firn_label("dT", "sum of what stands below", n, names, arguments, total);
}

static bool collect_effects(struct reduction *r, const struct lab_visit *said,
			    const struct lab_cell *cell, const struct firn_fixed_point *point,
			    struct firn_effects *ret)
{
	*ret = (struct firn_effects){
		.held = { [FIRN_EFFECT_ISOTOPES] = cell->certificate.holds_isotopes,
			  [FIRN_EFFECT_IMPURITIES] = cell->certificate.holds_impurities,
			  [FIRN_EFFECT_HEAD] = cell->certificate.holds_head,
			  [FIRN_EFFECT_PRESSURE] = cell->certificate.holds_pressure },
	};
	for (int i = 0; i < FIRN_EFFECTS; i++)
		ret->dt_K[i].tape = r->tape;
	if (!reduction_isotopes(r, cell, &ret->dt_K[FIRN_EFFECT_ISOTOPES]) ||
	    !reduction_impurities(r, cell, &ret->dt_K[FIRN_EFFECT_IMPURITIES]) ||
	    !head(r, said, point, &ret->dt_K[FIRN_EFFECT_HEAD]) ||
	    !pressure(r, said, cell, point, &ret->dt_K[FIRN_EFFECT_PRESSURE]))
		return false;
	ret->dt_K[FIRN_EFFECT_MANTLE_AGE] = mantle_age(r, said);
	return certificate(r, cell, &ret->dt_K[FIRN_EFFECT_CERTIFICATE]);
}

static bool add_up(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)cell->point);
	struct firn_effects effects;

	if (!collect_effects(r, said, cell, point, &effects))
		return false;
	const struct firn_node triple = triple_point(r, cell, point);
	struct firn_node parts[LAB_TERMS + 4], dt = { .tape = r->tape };
	size_t n = 0;

	const enum firn_status total = firn_effects_total(r->tape, &effects, &parts[n]);
	if (total < 0) {
		if (total != FIRN_E_DOMAIN)
			reduction_computed(r, total, said->mark, "the sum of effects at visit %s",
					   said->id);
		else if (firn_tape_status(r->tape) >= 0)
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
	dt = firn_sum(n, parts);
	label_total(&effects, triple, n, parts, dt);
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
	reduction_note_missing(r, visit, &effects);
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
			if (firn_tape_status(r->tape) < 0 || r->failed < 0)
				return false;
			good = false;
			continue;
		}
		keep_cell(r, (int)i);
	}
	if (good)
		reduction_reserve_missing(r);
	return good;
}
