/* The furnace round a plateau, and the budget of the point. */
#include "app/calc/cell_plateau_parts.h"

#include "firn/correction.h"
#include "firn/scale.h"
#include "firn/thermal_error.h"

#include <math.h>

#define FURNACE_LIMIT_K 10e-3 /* CCT Guide sec. 2.4 (2018), 5.2 */
#define BAD_COUPLING    1e-2  /* the example of a bad one there, 5.4 */

static double half_range(struct plateau_work *w, const GArray *x, const char *name,
			 const char *unseen)
{
	double half;

	if (x->len == 0 ||
	    firn_half_range(x->len, (const double *)(const void *)x->data, &half) < 0)
		return LAB_NOT_GIVEN;
	plateau_check(
	    w, name, half <= FURNACE_LIMIT_K ? LAB_CHECK_GOOD : LAB_CHECK_ALARM,
	    plateau_text(w, "±%.2g mK; ±10 mK are asked for (CCT Guide sec. 2.4, 5.2)", 1e3 * half),
	    NULL, unseen);
	return half;
}

static void split(const GArray *rows, double *t_s, double *cell_K, double *furnace_K)
{
	for (guint i = 0; i < rows->len / LAB_SWING_COLUMNS; i++) {
		const double *row = &g_array_index(rows, double, LAB_SWING_COLUMNS *i);

		t_s[i] = row[LAB_SWING_TIME];
		cell_K[i] = row[LAB_SWING_CELL];
		furnace_K[i] = row[LAB_SWING_FURNACE];
	}
}

static void judge_coupling(struct plateau_work *w, const struct firn_coupling *c)
{
	const double offset_K = w->record->coupling.furnace_K.value;
	const bool small = c->ratio + 2.0 * c->u_ratio < FIRN_COUPLING_NEGLIGIBLE,
		   bad = c->ratio >= BAD_COUPLING;
	const struct lab_estimate bound = { c->ratio * offset_K, c->u_ratio * fabs(offset_K),
					    LAB_NOT_GIVEN };

	plateau_check(w, "coupling to the furnace",
		      small ? LAB_CHECK_GOOD
		      : bad ? LAB_CHECK_ALARM
			    : LAB_CHECK_OPEN,
		      plateau_text(w, "%.2g with u %.1g, %.3g s behind%s", c->ratio, c->u_ratio,
				   c->lag_s,
				   small ? "; below 1e-5 it is neglected"
				   : bad ? "; 1e-2 is the Guide's example of a bad one"
					 : "; between 1e-5 and 1e-2 it is budgeted"),
		      lab_given(offset_K) ? plateau_text(w, "%.3g µK with the furnace %.3g K off",
							 1e6 * fabs(bound.value), offset_K)
					  : NULL,
		      "that it changes through the plateau");
	if (small)
		return;
	if (lab_given(offset_K))
		cell_budget_bound(&w->budget, "furnace", &bound,
				  "coupling times the furnace's offset, not corrected");
	else
		cell_budget_reserve(&w->budget, "%s",
				    "The coupling to the furnace is no term: furnace_K, its offset "
				    "from the plateau, is not stated.");
}

static void coupling(struct plateau_work *w)
{
	const struct lab_coupling *c = &w->record->coupling;
	const size_t n = c->rows->len / LAB_SWING_COLUMNS;
	g_autofree double *x = g_new(double, 3 * n + 1);
	struct firn_coupling found;

	if (!c->given)
		return;
	split(c->rows, x, x + n, x + 2 * n);
	const enum firn_status status =
	    firn_furnace_coupling(n, x, x + n, x + 2 * n, c->period_s.value, &found);
	if (status < 0) {
		cell_tape_lacks(&w->tape, c->mark, "%s",
				status == FIRN_E_SINGULAR
				    ? "the furnace does not oscillate with that period beyond its "
				      "noise; look at period_min"
				    : "the oscillation can't be read; it needs 10 readings and two "
				      "periods at least");
		return;
	}
	w->ret->coupling = (struct lab_estimate){ found.ratio, found.u_ratio, LAB_NOT_GIVEN };
	w->ret->coupling_lag_s = found.lag_s;
	judge_coupling(w, &found);
}

void plateau_furnace(struct plateau_work *w)
{
	w->ret->stability_K =
	    half_range(w, w->record->stability_K, "furnace, in time",
		       "gradients; and what is shorter than the readings are apart");
	w->ret->vertical_K =
	    half_range(w, w->record->vertical_K, "furnace, in height",
		       "the gap outside the cell: inside the metal all looks too uniform");
	coupling(w);
}

/* ---- budget ---- */

static void pressure(struct plateau_work *w)
{
	const struct lab_cell_body *cell = &w->tape.study->cell;
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)cell->point);
	const struct lab_quantity *p_Pa = &w->record->pressure_Pa;
	struct firn_node dt;

	if (!point->gas_pressure || cell->triple) {
		if (lab_stated(p_Pa))
			cell_budget_reserve(&w->budget, "%s",
					    "pressure_Pa is of no use at a triple point and was "
					    "not taken.");
		return;
	}
	if (!lab_stated(p_Pa)) {
		cell_budget_reserve(&w->budget, "%s",
				    "No term for the gas pressure: pressure_Pa is not stated. A "
				    "sealed cell filled at altitude may be 20 % off, a millikelvin "
				    "at zinc.");
		return;
	}
	const struct firn_node slope = cell_tape_number(&w->tape, point->dT_dp_K_per_Pa);
	const struct firn_node p = cell_tape_input(&w->tape, "pressure", "Pa", p_Pa);
	g_autofree char *note = g_strdup_printf("%.6g Pa", p_Pa->value);
	if (firn_gas_pressure(slope, p, &dt) >= 0)
		cell_budget_add(&w->budget, "gas pressure", dt, note);
}

static void liquidus(struct plateau_work *w)
{
	const struct lab_estimate *x = &w->ret->liquidus_K;

	if (!(x->u > 0.0)) {
		cell_budget_reserve(&w->budget, "%s",
				    "The readings about the start are too few or do not differ: no "
				    "term for the liquidus point.");
		return;
	}
	cell_budget_add(
	    &w->budget, "liquidus point",
	    firn_tape_input(w->tape.tape, &(struct firn_input){ .name = "liquidus point",
								.unit = "K",
								.source = "scatter of the readings",
								.u = x->u,
								.dof = lab_or(x->dof, 0.0) }),
	    w->ret->liquidus_by);
}

static void static_error(struct plateau_work *w)
{
	const struct lab_plateau *p = w->record;
	struct firn_node dt;

	if (!lab_stated(&p->load_W) || !lab_stated(&p->resistance_K_per_W))
		return;
	const struct firn_node load = cell_tape_input(&w->tape, "heat load", "W", &p->load_W);
	const struct firn_node R =
	    cell_tape_input(&w->tape, "resistance to the interface", "K/W", &p->resistance_K_per_W);
	if (firn_static_error(load, R, &dt) < 0)
		return;
	const struct lab_estimate bound = cell_tape_estimate(dt);
	cell_budget_bound(&w->budget, "static error", &bound,
			  "heat load times resistance, not corrected");
}

/* An estimate of impurities and the slope in 1/F that it would make: far apart, one is wrong. */
static void compare_slope(struct plateau_work *w)
{
	const double implied = w->ret->implied_fraction;

	if (lab_given(implied) && implied > 0.0)
		cell_budget_reserve(
		    &w->budget,
		    "The slope in 1/F would be that of %.2g µmol/mol of impurities that the solid "
		    "takes none of. It validates an analysis and corrects nothing: what the solid "
		    "takes in part, and what raises the point, it does not show.",
		    1e6 * implied);
}

/*
 * The combined method: individual estimates where the solid takes more than a tenth, and for the
 * rest the depression that the slope in 1/F shows at all liquid, as a bound (CCT Guide sec. 2.1
 * (2018), 3.3, equation (12)).
 */
static void slope_term(struct plateau_work *w)
{
	const struct lab_liquidus_fit *fit = &w->ret->reciprocal;

	if (!w->record->slope_term)
		return;
	for (guint i = 0; i < w->record->content.foreign->len; i++) {
		const struct lab_foreign *x = LAB_AT(w->record->content.foreign, lab_foreign, i);

		if (lab_or(x->k.value, 0.0) <= 0.1 && !lab_stated(&x->slope_K))
			cell_budget_reserve(
			    &w->budget,
			    "%s has a distribution coefficient up to 0.1 and is in "
			    "the slope in 1/F as well: with slope_term leave it out "
			    "of found.",
			    x->name);
	}
	if (fit->done)
		cell_budget_bound(
		    &w->budget, "impurities, by the slope", &fit->slope_K,
		    "slope in 1/F as a bound, not corrected; CCT Guide sec. 2.1, 3.3");
}

void plateau_budget(struct plateau_work *w)
{
	liquidus(w);
	if (w->record->content.given)
		cell_budget_content(&w->budget, &w->record->content);
	else
		cell_budget_reserve(&w->budget, "%s",
				    "No term for impurities: give impurities, at least "
				    "total_umol_per_mol as the purity of the metal leaves it.");
	slope_term(w);
	compare_slope(w);
	pressure(w);
	cell_budget_head(&w->budget, &w->record->depth_m);
	if (!lab_stated(&w->record->depth_m))
		cell_budget_reserve(
		    &w->budget, "%s",
		    "No head: depth_mm, from the surface of the metal to the middle "
		    "of the element, is not stated.");
	static_error(w);
	cell_budget_terms(&w->budget, w->record->terms);
	cell_budget_close(&w->budget);
}
