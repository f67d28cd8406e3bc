/* What the scale asks of a thermometer, and the named limits of the laboratory. */
#include "app/calc/reduction.h"
#include "app/lab/criteria.h"

/* A criterion of the scale on W at one point: ITS-90, equations (8a) to (8c). */
struct criterion {
	enum lab_point point;
	double limit;
	bool at_least;
	const char *source;
};
static const struct criterion criteria[] = {
	{ LAB_GA, FIRN_W_GA_LEAST, true, "ITS-90, equation (8a)" },
	{ LAB_HG, FIRN_W_HG_MOST, false, "ITS-90, equation (8b)" },
	{ LAB_AG, FIRN_W_AG_LEAST, true, "ITS-90, equation (8c)" },
};

static double coverage(const struct reduction *r, double dof)
{
	return lab_given(r->job->coverage_factor)
		   ? r->job->coverage_factor
		   : firn_coverage_factor(lab_or(r->job->coverage_probability, 0.95), dof);
}

static enum lab_verdict verdict(double value, double limit, double U, bool at_least)
{
	const double margin = at_least ? value - limit : limit - value;

	if (margin >= 0.0)
		return margin < U ? LAB_MET_WITHIN_U : LAB_MET;
	return -margin < U ? LAB_NOT_MET_WITHIN_U : LAB_NOT_MET;
}

static bool is_met(enum lab_verdict v)
{
	return v == LAB_MET || v == LAB_MET_WITHIN_U;
}

static const char *in_words(enum lab_verdict v)
{
	switch (v) {
	case LAB_MET:
		return "met";
	case LAB_MET_WITHIN_U:
		return "met, by less than U";
	case LAB_NOT_MET_WITHIN_U:
		return "not met, by less than U";
	case LAB_NOT_MET:
		return "not met";
	default:
		return "not judged";
	}
}

/* W that a subrange gives at a temperature, with the u that the calibration gives it. */
static struct lab_estimate calculated(struct reduction *r, enum lab_subrange name, double t90_K)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];
	struct lab_estimate w = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, (double)INFINITY };
	double slope;

	if (firn_subrange_w(subrange, s->values, s->w_al_value, t90_K, &w.value, &slope) < 0)
		return w;
	const struct lab_estimate t90 =
	    reduction_estimate(r, reduction_t90(r, name, firn_constant(r->tape, w.value)));
	w.u = slope * t90.u;
	w.dof = t90.dof;
	return w;
}

/* The narrowest subrange that holds a temperature: it is fixed nearest to it. */
static enum lab_subrange narrowest(const struct reduction *r, double t90_K)
{
	enum lab_subrange best = LAB_NO_SUBRANGE;
	double least_K = (double)INFINITY;

	for (int i = 0; i < LAB_SUBRANGES; i++) {
		const struct firn_subrange *x = firn_scale_subrange((enum firn_subrange_id)i);

		if (r->subranges[i].solved && t90_K >= x->low_K && t90_K <= x->high_K &&
		    x->high_K - x->low_K < least_K) {
			best = (enum lab_subrange)i;
			least_K = x->high_K - x->low_K;
		}
	}
	return best;
}

/* The W of one criterion, measured where it was; false when nothing holds its temperature. */
static bool w_for(struct reduction *r, const struct criterion *c, struct lab_acceptance *ret,
		  struct lab_estimate *ret_w)
{
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)c->point);
	const char *name = lab_point_name(c->point);
	enum lab_subrange subrange;

	ret->name = reduction_text(r, "W(%s)", name);
	ret->limit = c->limit;
	ret->source = reduction_text(r, "%s", c->source);
	ret->measured = r->points[c->point].measured;
	if (ret->measured) {
		*ret_w = reduction_estimate(r, r->points[c->point].w);
		ret->text =
		    reduction_text(r, "W(%s) = %.7g, measured; %s %.7g is asked", name,
				   ret_w->value, c->at_least ? "at least" : "at most", c->limit);
		return true;
	}
	subrange = narrowest(r, point->t90_K);
	if (subrange == LAB_NO_SUBRANGE)
		return false;
	*ret_w = calculated(r, subrange, point->t90_K);
	ret->text = reduction_text(r, "W(%s) = %.7g, calculated by %s; %s %.7g is asked", name,
				   ret_w->value, lab_subrange_name(subrange),
				   c->at_least ? "at least" : "at most", c->limit);
	return lab_given(ret_w->value);
}

static bool judge(struct reduction *r, const struct criterion *c, struct lab_acceptance *ret)
{
	struct lab_estimate w;

	*ret = (struct lab_acceptance){ 0 };
	if (!w_for(r, c, ret, &w))
		return false;
	ret->value = w.value;
	ret->U = coverage(r, w.dof) * w.u;
	ret->verdict = verdict(w.value, c->limit, ret->U, c->at_least);
	ret->text = reduction_text(r, "%s: %s", ret->text, in_words(ret->verdict));
	return true;
}

/* At least one of gallium and mercury has to be met; a measured one counts before a calculated. */
static void judge_purity(struct reduction *r)
{
	struct lab_acceptance both[2];
	bool there[2], met = false, any_measured;

	for (int i = 0; i < 2; i++)
		there[i] = judge(r, &criteria[i], &both[i]);
	any_measured = (there[0] && both[0].measured) || (there[1] && both[1].measured);
	for (int i = 0; i < 2; i++)
		met |= there[i] && both[i].measured == any_measured && is_met(both[i].verdict);
	for (int i = 0; i < 2; i++) {
		if (!there[i])
			continue;
		/* one that fails beside one that is met does not decide */
		both[i].binding =
		    both[i].measured == any_measured && (!met || is_met(both[i].verdict));
		g_array_append_val(r->result->acceptance, both[i]);
	}
	if (!there[0] && !there[1])
		reduction_reserve(
		    r,
		    "Neither W(Ga) nor W(Hg) was measured, and no subrange holds them: whether the "
		    "thermometer is pure enough for the scale is not known.");
	else if (!any_measured)
		reduction_reserve(
		    r,
		    "Neither W(Ga) nor W(Hg) was measured; the criterion of the scale is judged on "
		    "a calculated W.");
}

static void judge_silver(struct reduction *r)
{
	struct lab_acceptance silver;

	if (!r->subranges[LAB_H2O_AG].solved || !judge(r, &criteria[2], &silver))
		return;
	silver.binding = true;
	g_array_append_val(r->result->acceptance, silver);
}

/* S = (W - 1)/(W_r - 1) at every point, beside the criteria: not part of the scale. */
static void judge_consistency(struct reduction *r)
{
	for (int i = 0; i < REDUCTION_POINTS; i++) {
		struct lab_acceptance s = { .limit = FIRN_S_LEAST, .measured = true };

		if (!r->points[i].measured)
			continue;
		const struct firn_node w = r->points[i].w, wr = r->points[i].wr;
		const struct lab_estimate found =
		    reduction_estimate(r, firn_formula("S = (w - 1)/(wr - 1)", w, wr));
		const char *name = r->visits[g_array_index(r->points[i].visits, int, 0)].result.id;

		s.value = found.value;
		s.U = coverage(r, found.dof) * found.u;
		s.verdict = verdict(found.value, FIRN_S_LEAST, s.U, true);
		s.name = reduction_text(r, "S at visit %s", name);
		s.text = reduction_text(
		    r,
		    "S = %.6f at visit %s (%s); above %.4f is usual, though no part of the scale: "
		    "%s",
		    s.value, name,
		    lab_point_name(reduction_point(r, g_array_index(r->points[i].visits, int, 0))),
		    FIRN_S_LEAST, in_words(s.verdict));
		s.source = reduction_text(r, "CCT Guide ch. 5 (2018), 4.4.2");
		g_array_append_val(r->result->acceptance, s);
	}
}

/* Stability of R(TPW) before a calibration starts (app/lab/criteria.h); the same figure
   serves through the sequence unless the job states its own. */
static void judge_stability(struct reduction *r)
{
	const enum lab_sensor sensor = r->job->thermometer.sensor;
	const struct lab_criterion *usual = lab_criterion_of_stability(sensor);
	const bool own = lab_given(r->job->limits.r_tpw_change_K);
	const double limit_K = own             ? r->job->limits.r_tpw_change_K
			       : usual != NULL ? 1e-3 * usual->value
					       : LAB_NOT_GIVEN;
	struct lab_acceptance change = { .value = r->result->tpw_change_K,
					 .limit = limit_K,
					 .measured = true };

	r->result->tpw_limit_K = limit_K;
	if (!lab_given(change.value) || !lab_given(limit_K))
		return;
	change.U = LAB_NOT_GIVEN;
	change.verdict = change.value <= limit_K ? LAB_MET : LAB_NOT_MET;
	change.binding = true;
	change.name = reduction_text(r, "change of R(TPW)");
	change.text = reduction_text(
	    r, "R(TPW) moved by %.2g mK through the sequence; at most %.2g mK is asked: %s",
	    1e3 * change.value, 1e3 * limit_K, in_words(change.verdict));
	change.source =
	    own ? reduction_text(r, "limit of the job") : reduction_text(r, "%s", usual->source);
	g_array_append_val(r->result->acceptance, change);
}

bool reduction_judge(struct reduction *r)
{
	judge_purity(r);
	judge_silver(r);
	judge_consistency(r);
	judge_stability(r);
	r->result->accepted = true;
	for (guint i = 0; i < r->result->acceptance->len; i++) {
		const struct lab_acceptance *a = LAB_AT(r->result->acceptance, lab_acceptance, i);

		r->result->accepted &= !a->binding || is_met(a->verdict);
	}
	return reduction_is_good(r, lab_calibration_mark(r->job, "visits"), "the acceptance");
}
