/* Tables of each subrange over temperature, calibration alone, and where subranges overlap. */
#include "app/calc/reduction.h"

/* Steps for tables, in kelvin: the first that gives at most this many lines. */
enum { MOST_LINES = 50, OVERLAP_STEPS = 200 };
static const double steps_K[] = { 1, 2, 5, 10, 20, 50 };

static double step_for(double span_K)
{
	for (size_t i = 0; i < G_N_ELEMENTS(steps_K); i++)
		if (span_K / steps_K[i] <= MOST_LINES)
			return steps_K[i];
	return 100;
}

/*
 * The same W formed with the user's own R(TPW), and what the job states of the use. R itself is
 * taken as exact: what its measurement adds depends on where and how the user measures.
 */
static double u_in_use(struct reduction *r, enum lab_subrange name, double w)
{
	const struct lab_use *use = &r->job->use;
	struct firn_node r_tpw, t90;

	if (use->tpw < 0)
		return LAB_NOT_GIVEN;
	r_tpw = r->visits[use->tpw].r_ohm;
	const struct firn_node r_ohm = firn_constant(r->tape, w * firn_value(r_tpw));
	t90 = reduction_t90(r, name, firn_formula("W = r_ohm/r_tpw", r_ohm, r_tpw));
	const struct firn_node drift =
	    reduction_shared_input(r, "use.drift", "K", 0.0, use->u_drift_K, (double)INFINITY);
	const struct firn_node immersion = reduction_shared_input(
	    r, "use.immersion", "K", 0.0, use->u_immersion_K, (double)INFINITY);
	const struct firn_node used =
	    firn_formula("t90_K = t90 + drift + immersion", t90, drift, immersion);
	return reduction_estimate(r, used).u;
}

static bool add_line(struct reduction *r, enum lab_subrange name, double t90_K, GArray *lines)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];
	struct lab_curve_point line = { .t90_K = t90_K };
	double dt_dw_K, found_K;

	if (firn_subrange_w(subrange, s->values, s->w_al_value, t90_K, &line.w, &line.dw_per_K) <
		0 ||
	    !reduction_t90_value(r, name, line.w, &found_K, &dt_dw_K)) {
		reduction_wrong(r, lab_calibration_mark(r->job, "visits"),
				"subrange %s has no W at %g K: its deviation is too large to be "
				"that of a platinum "
				"thermometer; look at the readings of its points",
				lab_subrange_name(name), t90_K);
		return false;
	}
	const struct firn_node w = firn_constant(r->tape, line.w);
	const struct firn_node deviation = firn_deviation(subrange, s->coefficients, w, s->w_al);
	const struct firn_node t90 =
	    firn_t90_of_wr(subrange->from_zero, firn_wr_by_deviation(w, deviation));
	const struct lab_estimate alone = reduction_estimate(r, t90);
	line.u_in_use_K = u_in_use(r, name, line.w);
	line.u_calibration_K = alone.u;
	line.dof = alone.dof;
	if (!reduction_is_good(r, lab_calibration_mark(r->job, "visits"), "the table of u(t)"))
		return false;
	line.deviation_K = firn_value(deviation) * dt_dw_K;
	line.u_non_uniqueness_K = reduction_non_uniqueness(name, t90_K);
	line.u_inconsistency_K = reduction_inconsistency(r, name, line.w, t90_K);
	g_array_append_val(lines, line);
	return true;
}

static int rising(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* Whole steps in degrees Celsius, both ends, and the fixed points that were measured. */
static GArray *temperatures_of(const struct reduction *r, const struct firn_subrange *subrange)
{
	GArray *t = g_array_new(FALSE, FALSE, sizeof(double));
	const double step = step_for(subrange->high_K - subrange->low_K);
	double kept = -1.0;

	g_array_append_val(t, subrange->low_K);
	for (double t_C = step * ceil((subrange->low_K - 273.15) / step);
	     t_C + 273.15 < subrange->high_K; t_C += step) {
		const double t90_K = t_C + 273.15;

		g_array_append_val(t, t90_K);
	}
	for (int i = 0; i < REDUCTION_POINTS; i++) {
		if (!r->points[i].measured)
			continue;
		const double t90_K = r->visits[g_array_index(r->points[i].visits, int, 0)].t90_K;

		if (t90_K > subrange->low_K && t90_K < subrange->high_K)
			g_array_append_val(t, t90_K);
	}
	g_array_append_val(t, subrange->high_K);
	g_array_sort(t, rising);
	for (guint i = 0; i < t->len;) { /* a fixed point may coincide with an end */
		const double t90_K = g_array_index(t, double, i);

		if (t90_K - kept < 1e-9) {
			g_array_remove_index(t, i);
		} else {
			kept = t90_K;
			i++;
		}
	}
	return t;
}

static bool tabulate(struct reduction *r, enum lab_subrange name)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	g_autoptr(GArray) t = temperatures_of(r, subrange);
	const struct lab_curve curve = { .subrange = name,
					 .name = reduction_text(r, "%s", lab_subrange_name(name)),
					 .points = g_array_new(FALSE, TRUE,
							       sizeof(struct lab_curve_point)) };
	bool good = true;

	g_array_append_val(r->result->curves, curve);
	for (guint i = 0; i < t->len && good; i++)
		good = add_line(r, name, g_array_index(t, double, i), curve.points);
	return good;
}

static void compare(struct reduction *r, enum lab_subrange a, enum lab_subrange b)
{
	const struct firn_subrange *x = firn_scale_subrange((enum firn_subrange_id)a);
	const struct firn_subrange *y = firn_scale_subrange((enum firn_subrange_id)b);
	struct lab_overlap overlap = { .a = reduction_text(r, "%s", lab_subrange_name(a)),
				       .b = reduction_text(r, "%s", lab_subrange_name(b)),
				       .low_K = fmax(x->low_K, y->low_K),
				       .high_K = fmin(x->high_K, y->high_K) };

	if (overlap.high_K - overlap.low_K < 0.1)
		return; /* the ten millikelvins at 273.16 K that end one family and start the other
			 */
	for (int i = 0; i <= OVERLAP_STEPS; i++) {
		const double t90_K =
		    overlap.low_K + (overlap.high_K - overlap.low_K) * i / OVERLAP_STEPS;
		double w, slope, other_K;

		if (firn_subrange_w(x, r->subranges[a].values, r->subranges[a].w_al_value, t90_K,
				    &w, &slope) < 0 ||
		    !reduction_t90_value(r, b, w, &other_K, &slope))
			continue;
		if (fabs(t90_K - other_K) > fabs(overlap.largest_K)) {
			overlap.largest_K = t90_K - other_K;
			overlap.at_K = t90_K;
		}
	}
	g_array_append_val(r->result->overlaps, overlap);
}

static void reserve_few_dof(struct reduction *r)
{
	const struct lab_curve_point *fewest = NULL;
	const char *name = NULL;

	for (guint i = 0; i < r->result->curves->len; i++) {
		const struct lab_curve *curve = LAB_AT(r->result->curves, lab_curve, i);

		for (guint j = 0; j < curve->points->len; j++) {
			const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, j);

			if (!(p->dof < (fewest == NULL ? 1.0 : fewest->dof)))
				continue;
			fewest = p;
			name = curve->name;
		}
	}
	if (fewest != NULL)
		reduction_reserve(
		    r,
		    "By %s u(t) at %.6g \u00b0C has %.2g degrees of freedom: with fewer "
		    "than 1 it is hardly known, and U with it (JCGM 100:2008, G.4.2).",
		    name, fewest->t90_K - 273.15, fewest->dof);
}

bool reduction_tabulate(struct reduction *r)
{
	for (int i = 0; i < LAB_SUBRANGES; i++)
		if (r->subranges[i].solved && !tabulate(r, (enum lab_subrange)i))
			return false;
	for (int i = 0; i < LAB_SUBRANGES; i++)
		for (int j = i + 1; j < LAB_SUBRANGES; j++)
			if (r->subranges[i].solved && r->subranges[j].solved)
				compare(r, (enum lab_subrange)i, (enum lab_subrange)j);
	reserve_few_dof(r);
	return true;
}
