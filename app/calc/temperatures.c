/* T90 at the measured visits, in every subrange that holds them. */
#include "app/calc/reduction.h"

double reduction_non_uniqueness(enum lab_subrange name, double t90_K)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	double u_K;

	return firn_scale_non_uniqueness(t90_K, subrange->from_zero, &u_K) < 0 ? LAB_NOT_GIVEN
									       : u_K;
}

static double w_at(const struct reduction *r, enum lab_point point)
{
	return r->points[point].measured ? firn_value(r->points[point].w)
					 : firn_scale_point((enum firn_point)point)->wr;
}

double reduction_inconsistency(const struct reduction *r, enum lab_subrange name, double w,
			       double t90_K)
{
	double u_K;

	return firn_scale_inconsistency((enum firn_subrange_id)name, t90_K, w, w_at(r, LAB_SN),
					w_at(r, LAB_ZN), &u_K) < 0
		   ? LAB_NOT_GIVEN
		   : u_K;
}

struct firn_node reduction_t90(const struct reduction *r, enum lab_subrange name,
			       struct firn_node w)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];

	return firn_t90_of_wr(subrange->from_zero,
			      firn_wr_of_w(subrange, s->coefficients, w, s->w_al));
}

bool reduction_t90_value(const struct reduction *r, enum lab_subrange name, double w,
			 double *ret_t90_K, double *ret_dt_dw_K)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];

	return firn_subrange_t90(subrange, s->values, s->w_al_value, w, ret_t90_K, ret_dt_dw_K) >=
	       0;
}

struct firn_node reduction_t90_in_use(struct reduction *r, int visit, enum lab_subrange name)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];
	const struct firn_node wr =
	    firn_name("W_r", firn_wr_of_w(subrange, s->coefficients, r->visits[visit].w, s->w_al));
	const char *beneath[] = { "W_r" };
	const struct firn_node found =
	    firn_label("t90_K", "root of the reference function at W_r", 1, beneath, &wr,
		       firn_t90_of_wr(subrange->from_zero, wr));

	if (!lab_given(said->u_temperature_K))
		return found;
	const struct firn_node place =
	    reduction_shared_input(r, reduction_text(r, "visit.%s.temperature", said->id), "K", 0.0,
				   said->u_temperature_K, (double)INFINITY);
	return firn_formula("t90_K = found + place", found, place);
}

static bool holds(const struct firn_subrange *subrange, double t90_K)
{
	return t90_K >= subrange->low_K - FIRN_SCALE_ROUNDING_K &&
	       t90_K <= subrange->high_K + FIRN_SCALE_ROUNDING_K;
}

/* Two recordings of one temperature: with W as a number, the calibration alone; with W as measured,
   the calibration in use. */
static bool measure(struct reduction *r, int visit, enum lab_subrange name, bool *ret_held)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_visit *v = &r->visits[visit];
	const struct lab_visit *said = reduction_visit(r, visit);
	const double w = firn_value(v->w);
	double t90_K, dt_dw_K;

	if (!reduction_t90_value(r, name, w, &t90_K, &dt_dw_K) || !holds(subrange, t90_K))
		return true;
	*ret_held = true;
	const struct firn_node calibration = reduction_t90(r, name, firn_constant(r->tape, w));
	const struct firn_node use = reduction_t90_in_use(r, visit, name);
	if (!reduction_is_good(r, said->mark,
			       reduction_text(r, "the temperature at visit %s", said->id)))
		return false;

	const struct lab_estimate alone = reduction_estimate(r, calibration),
				  in_use = reduction_estimate(r, use);
	struct lab_temperature result = {
		.visit = v->result.id,
		.subrange = reduction_text(r, "%s", lab_subrange_name(name)),
		.tpw = v->result.tpw,
		.w = w,
		.t90_K = alone.value,
		.u_calibration_K = alone.u,
		.dof_calibration = alone.dof,
		.u_in_use_K = in_use.u,
		.dof_in_use = in_use.dof,
		.dt_dw_K = dt_dw_K,
		.u_non_uniqueness_K = reduction_non_uniqueness(name, t90_K),
		.u_inconsistency_K = reduction_inconsistency(r, name, w, t90_K),
		.budget_calibration = reduction_budget(r, calibration),
		.budget_in_use = reduction_budget(r, use),
	};
	result.wr = result.w -
		    firn_value(firn_deviation(subrange, r->subranges[name].coefficients,
					      firn_constant(r->tape, w), r->subranges[name].w_al));
	g_array_append_val(r->result->temperatures, result);
	return true;
}

bool reduction_measure(struct reduction *r)
{
	for (guint i = 0; i < r->job->visits->len; i++) {
		bool held = false;

		if (reduction_point(r, (int)i) != LAB_NO_POINT)
			continue;
		for (int s = 0; s < LAB_SUBRANGES; s++)
			if (r->subranges[s].solved &&
			    !measure(r, (int)i, (enum lab_subrange)s, &held))
				return false;
		if (!held)
			reduction_reserve(
			    r,
			    "Visit %s: W = %.7g lies in none of the subranges calibrated; no "
			    "temperature is stated for it.",
			    reduction_visit(r, (int)i)->id, firn_value(r->visits[i].w));
	}
	return true;
}
