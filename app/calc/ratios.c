/* R(TPW) for every visit, W, and the sequence of R(TPW). */
#include "app/calc/reduction.h"

#include "firn/correction.h"

#include <string.h>

/* Above this the oxidation state of the wire may change between two R(TPW): CCT Guide ch. 5 (2018),
   5.1.1 (two-dimensional oxide grows from 200 degC). */
#define OXIDATION_K 473.15

static bool is_tpw(const struct reduction *r, int visit)
{
	return visit >= 0 && visit < (int)r->job->visits->len &&
	       reduction_point(r, visit) == LAB_H2O;
}

static int nearest_tpw(const struct reduction *r, int visit, int step)
{
	for (int i = visit + step; i >= 0 && i < (int)r->job->visits->len; i += step)
		if (is_tpw(r, i))
			return i;
	return -1;
}

static int first_tpw(const struct reduction *r)
{
	return is_tpw(r, 0) ? 0 : nearest_tpw(r, 0, 1);
}

/* An event between visits a and b, both orders; NULL when there is none. */
static const struct lab_event *event_between(const struct reduction *r, int a, int b)
{
	for (guint i = 0; i < r->job->events->len; i++) {
		const struct lab_event *event = LAB_AT(r->job->events, lab_event, i);

		if (event->after >= MIN(a, b) && event->after < MAX(a, b))
			return event;
	}
	return NULL;
}

static bool may_interpolate(struct reduction *r, int visit, int before, int after)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_event *event = event_between(r, before, after);

	if (event != NULL) {
		reduction_wrong(
		    r, said->mark,
		    "visit %s: R(TPW) can't be interpolated across the %s after visit %s; use the "
		    "visit after each point (tpw: after), or name one",
		    said->id, event->kind,
		    event->after < 0 ? "start" : reduction_visit(r, event->after)->id);
		return false;
	}
	for (int i = before + 1; i < after; i++) {
		if (reduction_point(r, i) == LAB_NO_POINT || r->visits[i].t90_K <= OXIDATION_K)
			continue;
		reduction_wrong(r, said->mark,
				"visit %s: R(TPW) can't be interpolated between visits %s and %s, "
				"because visit "
				"%s was above 200 \u00b0C, where the wire's oxide changes; use the "
				"visit after each "
				"point (tpw: after), or name one",
				said->id, reduction_visit(r, before)->id,
				reduction_visit(r, after)->id, reduction_visit(r, i)->id);
		return false;
	}
	if (!lab_given(r->visits[before].time_s) || !lab_given(r->visits[after].time_s) ||
	    !lab_given(r->visits[visit].time_s)) {
		reduction_wrong(r, said->mark,
				"visit %s: to interpolate R(TPW), the readings of visits %s, %s "
				"and %s need times",
				said->id, reduction_visit(r, before)->id, said->id,
				reduction_visit(r, after)->id);
		return false;
	}
	return true;
}

static bool interpolate(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const int before = nearest_tpw(r, visit, -1), after = nearest_tpw(r, visit, 1);
	struct reduced_visit *v = &r->visits[visit];

	if (before < 0 || after < 0) {
		reduction_wrong(
		    r, said->mark,
		    "visit %s: to interpolate R(TPW), visits to H2O before and after it are "
		    "needed, and there is none %s; give the visit a tpw of its own, or choose tpw: "
		    "%s for all",
		    said->id, before < 0 ? "before" : "after", before < 0 ? "after" : "before");
		return false;
	}
	if (!may_interpolate(r, visit, before, after))
		return false;

	const double span_s = r->visits[after].time_s - r->visits[before].time_s;
	const double share = span_s > 0.0 ? (v->time_s - r->visits[before].time_s) / span_s : 0.5;
	const double weights[2] = { 1.0 - share, share };
	const struct firn_node both[2] = { r->visits[before].r_ohm, r->visits[after].r_ohm };

	v->tpw[0] = before;
	v->tpw[1] = after;
	v->r_tpw_ohm = firn_name("r_tpw", firn_linear(2, weights, both));
	return true;
}

static bool divide_by(struct reduction *r, int visit, int tpw)
{
	r->visits[visit].tpw[0] = tpw;
	r->visits[visit].tpw[1] = -1;
	r->visits[visit].r_tpw_ohm = r->visits[tpw].r_ohm;
	return true;
}

static bool choose_tpw(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	int tpw;

	if (said->tpw >= 0)
		return divide_by(r, visit, said->tpw);
	switch (r->job->tpw_scheme) {
	case LAB_TPW_INTERPOLATED:
		return interpolate(r, visit);
	case LAB_TPW_ONE: /* the first; a further one can be named by the visit itself */
		tpw = first_tpw(r);
		break;
	case LAB_TPW_BEFORE:
		tpw = nearest_tpw(r, visit, -1);
		break;
	default:
		tpw = nearest_tpw(r, visit, 1);
		break;
	}
	if (tpw >= 0)
		return divide_by(r, visit, tpw);
	reduction_wrong(r, said->mark,
			"visit %s: there is no visit to H2O %s it; measure R(TPW) there, or name a "
			"visit with tpw",
			said->id,
			r->job->tpw_scheme == LAB_TPW_ONE      ? "to divide"
			: r->job->tpw_scheme == LAB_TPW_BEFORE ? "before"
							       : "after");
	return false;
}

/* The linear step to the defined temperature is refused beyond 0.1 K. */
static bool is_corrected(struct reduction *r, int visit, enum firn_status status)
{
	const struct reduced_visit *v = &r->visits[visit];

	if (status >= 0)
		return true;
	reduction_wrong(r, reduction_visit(r, visit)->mark,
			"visit %s: its effects add up to %.3g mK on %.6g ohm; at most 100 mK can "
			"be corrected, so "
			"look at impurities, certificate and depth",
			v->result.id, 1e3 * firn_value(v->dt_K), firn_value(v->r0_ohm));
	return false;
}

/* What a bridge and a resistor do to R cancels in W only when both have seen both. */
static bool units_agree(struct reduction *r, int visit)
{
	const struct reduced_visit *v = &r->visits[visit];

	for (int i = 0; i < 2; i++) {
		if (v->tpw[i] < 0 || r->visits[v->tpw[i]].in_ohm == v->in_ohm)
			continue;
		reduction_wrong(
		    r, reduction_visit(r, visit)->mark,
		    "visit %s was read %s, its R(TPW) at visit %s %s; W needs both alike",
		    v->result.id, v->in_ohm ? "in ohm" : "as a ratio",
		    r->visits[v->tpw[i]].result.id, v->in_ohm ? "as a ratio" : "in ohm");
		return false;
	}
	return true;
}

static bool correct_and_divide(struct reduction *r, int visit)
{
	struct reduced_visit *v = &r->visits[visit];
	const struct firn_node r_tpw = v->r_tpw_ohm;

	if (!units_agree(r, visit))
		return false;
	if (reduction_point(r, visit) == LAB_NO_POINT)
		v->r_ohm = v->r0_ohm;
	else if (!is_corrected(
		     r, visit,
		     firn_correct_point(v->r0_ohm, r_tpw, v->dwr_per_K, v->dt_K, &v->r_ohm)))
		return false;
	const struct firn_node r_ohm = v->r_ohm;
	v->w = firn_formula("W = r_ohm/r_tpw", r_ohm, r_tpw);
	return true;
}

static void add_to_point(struct reduction *r, int visit)
{
	struct reduced_visit *v = &r->visits[visit];
	int place = reduction_point(r, visit);

	if (place == LAB_E_H2_VAPOUR)
		place = v->t90_K < 18.5 ? POINT_VAPOUR_17 : POINT_VAPOUR_20;
	g_array_append_val(r->points[place].visits, visit);
}

/* Several visits to one point count alike; the scale knows one W for it. */
static void average_points(struct reduction *r)
{
	for (int i = 0; i < REDUCTION_POINTS; i++) {
		struct reduced_point *point = &r->points[i];
		const guint n = point->visits->len;

		if (n == 0)
			continue;
		point->measured = true;
		point->wr = r->visits[g_array_index(point->visits, int, 0)].wr;
		point->w = r->visits[g_array_index(point->visits, int, 0)].w;
		if (n == 1)
			continue;
		g_autofree double *weights = g_new(double, n);
		g_autofree struct firn_node *w = g_new(struct firn_node, n),
					    *wr = g_new(struct firn_node, n);
		for (guint j = 0; j < n; j++) {
			weights[j] = 1.0 / n;
			w[j] = r->visits[g_array_index(point->visits, int, j)].w;
			wr[j] = r->visits[g_array_index(point->visits, int, j)].wr;
		}
		point->w = firn_name("W", firn_linear(n, weights, w));
		point->wr = firn_name("Wr", firn_linear(n, weights, wr));
		reduction_reserve(
		    r, "%s was visited %u times: the mean of the W is used.",
		    lab_point_name(i >= LAB_POINTS ? LAB_E_H2_VAPOUR : (enum lab_point)i), n);
	}
}

/* Heating at the lowest current as a temperature, with the slope at the point, or at W_r = W. */
static void keep_heating(struct reduction *r, int visit)
{
	struct reduced_visit *v = &r->visits[visit];
	const struct firn_node heating_ohm = v->heating_ohm,
			       r_tpw = is_tpw(r, visit) ? v->r_ohm : v->r_tpw_ohm;
	double slope_per_K = v->dwr_per_K, t90_K, per_w_K;

	v->result.self_heating_K = v->result.self_heating_u_K = LAB_NOT_GIVEN;
	if (heating_ohm.index == 0)
		return;
	if (slope_per_K == 0.0) {
		if (firn_scale_t90(firn_value(v->w), false, &t90_K, &per_w_K) < 0)
			return;
		slope_per_K = 1.0 / per_w_K;
	}
	const struct firn_node slope = firn_constant(r->tape, slope_per_K);
	const struct firn_node heating =
	    firn_formula("heating_K = heating_ohm/(r_tpw*slope)", heating_ohm, r_tpw, slope);
	const struct lab_estimate found = reduction_estimate(r, heating);
	v->result.self_heating_K = found.value;
	v->result.self_heating_u_K = found.u;
}

/* R and W of all visits, rounded once on the way from the readings. */
static void refine_values(struct reduction *r)
{
	const guint n = r->job->visits->len;
	g_autofree struct firn_node *nodes = g_new(struct firn_node, 2 * n);
	g_autofree double *values = g_new(double, 2 * n);

	for (guint i = 0; i < n; i++) {
		nodes[2 * i] = r->visits[i].r_ohm;
		nodes[2 * i + 1] = is_tpw(r, (int)i) ? r->visits[i].r_ohm : r->visits[i].w;
	}
	if (!reduction_computed(r, firn_refined_values(2 * n, nodes, values),
				lab_calibration_mark(r->job, "visits"), "R and W of the visits"))
		return;
	for (guint i = 0; i < n; i++) {
		r->visits[i].result.r_ohm.value = values[2 * i];
		if (!is_tpw(r, (int)i))
			r->visits[i].result.w.value = values[2 * i + 1];
	}
}

static void keep_ratio(struct reduction *r, int visit)
{
	struct reduced_visit *v = &r->visits[visit];
	struct lab_visit_result *result = &v->result;

	result->zero_power = v->n_currents > 1;
	result->rs_ohm = reduction_estimate(r, v->rs_ohm);
	result->r0_ohm = reduction_estimate(r, v->r0_ohm);
	keep_heating(r, visit);
	result->r_ohm = reduction_estimate(r, v->r_ohm);
	result->budget = reduction_budget(r, is_tpw(r, visit) ? v->r_ohm : v->w);
	if (is_tpw(r, visit)) {
		result->w = (struct lab_estimate){ 1.0, 0.0, (double)INFINITY };
		result->wr = 1.0;
		result->s = LAB_NOT_GIVEN;
		return;
	}
	result->tpw = reduction_text(r, "%s", reduction_visit(r, v->tpw[0])->id);
	if (v->tpw[1] >= 0)
		result->tpw = reduction_text(r, "%s and %s", reduction_visit(r, v->tpw[0])->id,
					     reduction_visit(r, v->tpw[1])->id);
	result->w = reduction_estimate(r, v->w);
	result->wr = v->wr.index == 0 ? LAB_NOT_GIVEN : firn_value(v->wr);
	result->s = (result->w.value - 1.0) / (result->wr - 1.0);
	result->u_w_K = v->dwr_per_K > 0.0 ? result->w.u / v->dwr_per_K : LAB_NOT_GIVEN;
}

static void keep_sequence(struct reduction *r)
{
	struct lab_calibration_result *result = r->result;
	double least = (double)INFINITY, most = -(double)INFINITY, before = LAB_NOT_GIVEN,
	       per_K = 0.0;

	for (guint i = 0; i < r->job->visits->len; i++) {
		const struct reduced_visit *v = &r->visits[i];

		if (!is_tpw(r, (int)i))
			continue;
		struct lab_tpw_value value = { .visit = v->result.id,
					       .ohm = v->result.r_ohm,
					       .time_us = lab_given(v->time_s)
							      ? (int64_t)(v->time_s * 1e6)
							      : INT64_MIN };
		per_K = v->dwr_per_K * value.ohm.value;
		value.change_K = (value.ohm.value - before) / per_K;
		before = value.ohm.value;
		least = fmin(least, before);
		most = fmax(most, before);
		g_array_append_val(result->tpw, value);
	}
	result->tpw_change_K = result->tpw->len > 1 ? (most - least) / per_K : LAB_NOT_GIVEN;
}

bool reduction_divide(struct reduction *r)
{
	const int n = (int)r->job->visits->len;
	bool good = true;

	for (int i = 0; i < n; i++)
		if (is_tpw(r, i)) {
			struct reduced_visit *v = &r->visits[i];

			v->tpw[0] = v->tpw[1] = -1;
			good = is_corrected(
				   r, i,
				   firn_correct_tpw(v->r0_ohm, v->dwr_per_K, v->dt_K, &v->r_ohm)) &&
			       good;
		}
	if (!good)
		return false; /* without R(TPW) nothing can be divided */
	for (int i = 0; i < n; i++) {
		if (is_tpw(r, i))
			continue;
		if (!choose_tpw(r, i) || !correct_and_divide(r, i)) {
			good = false;
			continue;
		}
		if (reduction_point(r, i) != LAB_NO_POINT)
			add_to_point(r, i);
	}
	if (!good)
		return false;
	average_points(r);
	if (!reduction_is_good(r, lab_calibration_mark(r->job, "visits"), "W at the fixed points"))
		return false;
	for (int i = 0; i < n; i++)
		keep_ratio(r, i);
	refine_values(r);
	keep_sequence(r);
	for (int i = 0; i < n; i++)
		g_array_append_val(r->result->visits, r->visits[i].result);
	return true;
}
