/* The temperature that a visit is to find, on one tape. */
#include "app/calc/plan_parts.h"

#include "firn/scale.h"

#include <math.h>
#include <string.h>

/* An analysed cell: 1 per mille of D and 0.1 of 18O are what laboratories state. */
#define U_DD   1e-3
#define U_D18O 1e-4

struct measured {
	struct firn_node K, reading[2], linearity, bath, ohm;
};

static struct firn_node input(struct cell_tape *t, const char *name, const char *unit, double value,
			      double u)
{
	return cell_tape_assumed(t, name, unit, value, lab_or(u, 0.0), "planned");
}

/* dR/dT over R there: of the reference function, at the point; of ice, at the triple point. */
static double slope_per_K(const struct lab_cell_body *cell)
{
	const enum firn_point point =
	    cell->point == LAB_NO_POINT ? FIRN_H2O : (enum firn_point)cell->point;
	double wr, slope;

	if (firn_scale_wr_at(point, false, &wr, &slope) < 0)
		return LAB_NOT_GIVEN; /* vapour pressure: no cell's file has it */
	return slope / wr;
}

static double ohm_there(const lab_plan *plan, const struct lab_cell_body *cell)
{
	const struct firn_fixed_point *p =
	    cell->point == LAB_NO_POINT ? NULL : firn_scale_point((enum firn_point)cell->point);

	return plan->own->thermometer.nominal_ohm * (p == NULL ? 1.0 : p->wr);
}

/* Read at the first current, the second, and the first again. */
static struct measured measure(struct cell_tape *t, const lab_plan *plan, const double heating_K[2],
			       const struct plan_change *change)
{
	const struct lab_plan_bridge *b = &plan->bridge;
	const struct lab_plan_resistor *rs = &plan->resistor;
	const double per_K = slope_per_K(&t->study->cell),
		     n = (double)b->readings * change->readings;
	const double R = ohm_there(plan, &t->study->cell), *i = plan->own->thermometer.currents_A;
	const bool two = lab_given(i[1]);
	struct measured m;
	struct firn_node r0;

	for (int k = 0; k < 2; k++)
		m.reading[k] = input(
		    t, k == 0 ? "reading at the first current" : "reading at the second current",
		    "1", R / rs->ohm * (1.0 + per_K * lab_or(heating_K[k], 0.0)),
		    b->s_reading / sqrt(k == 0 && two ? 2.0 * n : n));
	m.linearity =
	    input(t, "linearity of the bridge", "1", 0.0, b->u_linearity * change->linearity);
	m.bath = input(t, "temperature of the resistor", "K", 0.0, rs->u_bath_K);
	m.ohm = input(t, "resistor", "ohm", rs->ohm, rs->u_ohm);

	const struct firn_node r1 = m.reading[0], r2 = m.reading[1], linearity = m.linearity,
			       bath = m.bath, ohm = m.ohm,
			       alpha = cell_tape_number(t, lab_or(rs->per_K, 0.0)),
			       expected = cell_tape_number(t, R),
			       slope = cell_tape_number(t, per_K);
	if (two) {
		const struct firn_node q = cell_tape_number(t, pow(i[1] / i[0], 2.0) - 1.0);

		r0 = firn_formula("r0 = r1 - (r2 - r1)/q + linearity", r1, r2, q, linearity);
	} else {
		r0 = firn_formula("r0 = r1 + linearity", r1, linearity);
	}
	m.K = firn_formula("dt = (r0*ohm*(1 + alpha*bath)/expected - 1)/slope", r0, ohm, alpha,
			   bath, expected, slope);
	return m;
}

static void add_cause(struct plan_budget *ret, const char *name, double u_K)
{
	if (u_K > 0.0 && ret->n < PLAN_MOST_CAUSES)
		ret->causes[ret->n++] = (struct plan_cause){ name, u_K };
}

/* What an input gives to the result, in kelvin. */
static double part(struct firn_node y, struct firn_node x)
{
	return fabs(firn_sensitivity(y, x)) * firn_u(x);
}

static void tell_causes(struct firn_node y, const struct measured *m,
			const struct cell_effects_nodes *effects, bool two, struct plan_budget *ret)
{
	add_cause(ret, "readings",
		  hypot(part(y, m->reading[0]), two ? part(y, m->reading[1]) : 0.0));
	add_cause(ret, "bridge", part(y, m->linearity));
	add_cause(ret, "resistor", hypot(part(y, m->bath), part(y, m->ohm)));
	for (size_t i = 0; i < effects->n; i++)
		add_cause(ret, effects->each[i].told.name, firn_u(effects->each[i].K));
}

static struct firn_node add_terms(struct cell_tape *t, const struct lab_plan_realisation *r,
				  const struct plan_change *change, struct firn_node y,
				  struct plan_budget *ret)
{
	for (guint i = 0; i < r->terms->len; i++) {
		const struct lab_plan_term *term = LAB_AT(r->terms, lab_plan_term, i);
		const double half = g_strcmp0(change->halved, term->name) == 0 ? 0.5 : 1.0;
		const struct firn_input said = { .name = term->name,
						 .unit = "K",
						 .source = term->source,
						 .u = half * term->u_K.value,
						 .dof = isfinite(term->dof) ? term->dof : 0.0 };

		y = firn_add(y, firn_tape_input(t->tape, &said));
		add_cause(ret, term->name, said.u);
	}
	return y;
}

static bool isotopes_matter(const struct lab_cell_body *cell)
{
	return cell->point == LAB_H2O && !(lab_stated(&cell->dD) && lab_stated(&cell->d18O));
}

/* The study with its change made; a copy that shares all texts and lists. */
static struct lab_cell_study changed(const lab_cell_study *study, const struct plan_change *change)
{
	struct lab_cell_study copy = *study;

	if (change->analysed && isotopes_matter(&copy.cell)) {
		copy.cell.dD = (struct lab_quantity){ 0.0, U_DD, study->cell.mark };
		copy.cell.d18O = (struct lab_quantity){ 0.0, U_D18O, study->cell.mark };
	}
	return copy;
}

bool plan_budget(const lab_plan *plan, const struct lab_plan_realisation *r,
		 const double heating_K[2], const struct plan_change *change,
		 base_messages *messages, GStringChunk *text, struct plan_budget *ret)
{
	const struct lab_cell_study study = changed(r->study, change);
	const double age_d = lab_or(change->age_d, r->age_d);
	struct cell_effects_nodes effects;
	struct cell_tape t;
	struct cell_stem s;
	bool good;

	*ret = (struct plan_budget){ .analysed = !isotopes_matter(&study.cell) };
	if (!cell_tape_open(&t, &study, messages))
		return false;
	good = cell_stem_build(&t, &s) && cell_effects_record(&t, &s, age_d, text, &effects);
	if (good) {
		const struct measured m = measure(&t, plan, heating_K, change);
		const struct firn_node dt = m.K, effect = effects.sum_K;
		struct firn_node y = firn_formula("found = dt - effect", dt, effect);

		y = add_terms(&t, r, change, y, ret);
		tell_causes(y, &m, &effects, lab_given(plan->own->thermometer.currents_A[1]), ret);
		ret->K = cell_tape_estimate(y);
		ret->depth_m = firn_value(effects.middle_m);
		good = firn_tape_status(t.tape) >= 0 && isfinite(ret->K.u);
		if (!good)
			cell_tape_lacks(&t, r->mark, "the budget can't be computed: %s",
					firn_status_text(firn_tape_status(t.tape)));
	}
	cell_tape_close(&t);
	return good;
}
