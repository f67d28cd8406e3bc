/* Coefficients of every subrange that the points allow, what they are worth, and redundant points.
 */
#include "app/calc/reduction.h"

#include <string.h>

static const char *point_name(int place)
{
	return place == POINT_VAPOUR_17   ? "e-H2-vapour at 17 K"
	       : place == POINT_VAPOUR_20 ? "e-H2-vapour at 20.3 K"
					  : lab_point_name((enum lab_point)place);
}

/* The scale's list of points, the vapour-pressure point in its two places. */
static int places_of(const struct firn_subrange *subrange, int *ret_places)
{
	int vapour = POINT_VAPOUR_17;

	for (size_t i = 0; i < subrange->n_points; i++)
		ret_places[i] =
		    subrange->points[i] == FIRN_E_H2_VAPOUR ? vapour++ : (int)subrange->points[i];
	return (int)subrange->n_points;
}

static char *missing_points(const struct reduction *r, const struct firn_subrange *subrange)
{
	int places[FIRN_MOST_COEFFICIENTS];
	const int n = places_of(subrange, places);
	GString *missing = g_string_new(NULL);

	for (int i = 0; i < n; i++)
		if (!r->points[places[i]].measured)
			g_string_append_printf(missing, "%s%s", missing->len > 0 ? ", " : "",
					       point_name(places[i]));
	return g_string_free(missing, FALSE);
}

/* The measured W of each point lies within 1e-2 of W_r; beyond, the readings are not of this point.
 */
static bool solve(struct reduction *r, enum lab_subrange name)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	struct reduced_subrange *s = &r->subranges[name];
	struct firn_node w[FIRN_MOST_COEFFICIENTS], wr[FIRN_MOST_COEFFICIENTS];
	const int n = places_of(subrange, s->points);

	for (int i = 0; i < n; i++) {
		w[i] = r->points[s->points[i]].w;
		wr[i] = r->points[s->points[i]].wr;
	}
	s->n = subrange->n_coefficients;
	const struct base_mark mark = lab_calibration_mark(r->job, "subranges");
	const char *what = reduction_text(r, "subrange %s", lab_subrange_name(name));
	if (!reduction_computed(
		r, firn_deviation_solve(subrange, (size_t)n, w, wr, s->coefficients, &s->w_al),
		mark, "%s", what) ||
	    !reduction_computed(r, firn_refined_values(s->n, s->coefficients, s->values), mark,
				"%s", what))
		return reduction_is_good(r, mark, what);
	s->w_al_value = s->w_al.index == 0 ? LAB_NOT_GIVEN : firn_value(s->w_al);
	s->solved = true;
	return true;
}

static void keep_joint_covariance(struct reduction *r, const struct reduced_subrange *s,
				  const struct firn_subrange *subrange,
				  struct lab_subrange_result *result)
{
	g_autofree struct firn_node *nodes =
	    g_new(struct firn_node, s->n + 1 + r->job->visits->len);
	size_t n = 0;

	result->joint_order = g_ptr_array_new();
	for (; n < s->n; n++) {
		nodes[n] = s->coefficients[n];
		g_ptr_array_add(result->joint_order,
				reduction_text(r, "%s", subrange->coefficients[n]));
	}
	if (s->w_al.index != 0) {
		nodes[n++] = s->w_al;
		g_ptr_array_add(result->joint_order, reduction_text(r, "W_Al"));
	}
	for (guint i = 0; i < r->job->visits->len; i++) {
		if (reduction_point(r, (int)i) != LAB_H2O)
			continue;
		nodes[n++] = r->visits[i].r_ohm;
		g_ptr_array_add(result->joint_order,
				reduction_text(r, "r_tpw.%s", reduction_visit(r, (int)i)->id));
	}
	result->joint_covariance = g_new0(double, n *n);
	reduction_computed(r, firn_covariance(n, nodes, result->joint_covariance),
			   lab_calibration_mark(r->job, "subranges"), "the covariance of %s",
			   result->name);
	result->covariance = g_new0(double, s->n * s->n);
	for (size_t i = 0; i < s->n; i++)
		memcpy(result->covariance + i * s->n, result->joint_covariance + i * n,
		       s->n * sizeof(double));
}

static void keep_points(struct reduction *r, const int *places, int n,
			struct lab_subrange_result *result)
{
	result->points = g_ptr_array_new();
	result->visits = g_ptr_array_new();
	for (int i = 0; i < n; i++) {
		const GArray *visits = r->points[places[i]].visits;

		g_ptr_array_add(result->points, reduction_text(r, "%s", point_name(places[i])));
		for (guint j = 0; j < visits->len; j++)
			g_ptr_array_add(result->visits,
					r->visits[g_array_index(visits, int, j)].result.id);
	}
}

static void keep_coefficients(struct reduction *r, const struct firn_subrange *subrange,
			      const struct firn_node *nodes, size_t n,
			      struct lab_subrange_result *result)
{
	result->coefficients = g_array_new(FALSE, TRUE, sizeof(struct lab_coefficient));
	for (size_t i = 0; i < n; i++) {
		const struct lab_coefficient c = { reduction_text(r, "%s",
								  subrange->coefficients[i]),
						   reduction_estimate(r, nodes[i]) };

		g_array_append_val(result->coefficients, c);
	}
}

/* A point is redundant in a subrange that holds its temperature and does not pass through it. */
static bool is_redundant(const struct reduction *r, const struct firn_subrange *subrange,
			 const struct reduced_subrange *s, int place)
{
	double t90_K;

	if (!r->points[place].measured || place == LAB_H2O)
		return false;
	for (size_t i = 0; i < s->n; i++)
		if (s->points[i] == place)
			return false;
	t90_K = r->visits[g_array_index(r->points[place].visits, int, 0)].t90_K;
	return t90_K > subrange->low_K && t90_K < subrange->high_K;
}

static struct firn_node temperature_of(const struct firn_subrange *subrange,
				       const struct firn_node *c, struct firn_node w,
				       struct firn_node w_al)
{
	return firn_t90_of_wr(subrange->from_zero, firn_wr_of_w(subrange, c, w, w_al));
}

static struct lab_residual residual_of(struct reduction *r, const struct firn_subrange *subrange,
				       const struct firn_node *c, struct firn_node w_al, int place,
				       bool used)
{
	const int visit = g_array_index(r->points[place].visits, int, 0);
	const struct firn_node found = temperature_of(subrange, c, r->points[place].w, w_al);
	/* against the temperature that the chosen W_r stands for, so that an exact solution is 0 */
	const struct firn_node defined = firn_t90_of_wr(subrange->from_zero, r->points[place].wr);
	const struct firn_node residual =
	    firn_formula("residual_K = found - defined", found, defined);
	const struct lab_estimate estimate = reduction_estimate(r, residual);

	return (struct lab_residual){ .point = reduction_text(r, "%s", point_name(place)),
				      .visit = r->visits[visit].result.id,
				      .value_K = estimate.value,
				      .u_K = estimate.u,
				      .used = used };
}

static void keep_residuals(struct reduction *r, const struct firn_subrange *subrange,
			   const struct reduced_subrange *s, struct lab_subrange_result *result)
{
	result->residuals = g_array_new(FALSE, TRUE, sizeof(struct lab_residual));
	for (int place = 0; place < REDUCTION_POINTS; place++) {
		if (!is_redundant(r, subrange, s, place))
			continue;
		const struct lab_residual residual =
		    residual_of(r, subrange, s->coefficients, s->w_al, place, false);
		g_array_append_val(result->residuals, residual);
	}
}

static struct lab_subrange_result result_of(struct reduction *r, enum lab_subrange name)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);

	return (struct lab_subrange_result){
		.subrange = name,
		.name = reduction_text(r, "%s", lab_subrange_name(name)),
		.low_K = subrange->low_K,
		.high_K = subrange->high_K,
		.formula = reduction_text(r, "%s", subrange->formula),
		.w_al = r->subranges[name].w_al_value,
		.certificate = true,
	};
}

static void keep_subrange(struct reduction *r, enum lab_subrange name)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];
	struct lab_subrange_result result = result_of(r, name);

	keep_points(r, s->points, (int)s->n, &result);
	keep_coefficients(r, subrange, s->coefficients, s->n, &result);
	for (size_t i = 0; i < s->n; i++)
		LAB_AT(result.coefficients, lab_coefficient, i)->estimate.value = s->values[i];
	keep_joint_covariance(r, s, subrange, &result);
	keep_residuals(r, subrange, s, &result);
	g_array_append_val(r->result->subranges, result);
}

/* All points in the range at once. What comes of it is labelled and never becomes the result. */
static void keep_least_squares(struct reduction *r, enum lab_subrange name)
{
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);
	const struct reduced_subrange *s = &r->subranges[name];
	struct lab_subrange_result result = result_of(r, name);
	int places[REDUCTION_POINTS], n = 0;
	struct firn_node w[REDUCTION_POINTS], wr[REDUCTION_POINTS], c[FIRN_MOST_COEFFICIENTS],
	    w_al = { 0 };

	for (int i = 0; i < (int)s->n; i++)
		places[n++] = s->points[i];
	for (int place = 0; place < REDUCTION_POINTS; place++)
		if (is_redundant(r, subrange, s, place))
			places[n++] = place;
	if (n == (int)s->n)
		return;
	for (int i = 0; i < n; i++) {
		w[i] = r->points[places[i]].w;
		wr[i] = r->points[places[i]].wr;
	}
	if (!reduction_computed(r, firn_deviation_solve(subrange, (size_t)n, w, wr, c, &w_al),
				lab_calibration_mark(r->job, "subranges"), "%s by least squares",
				result.name))
		return;
	result.certificate = false;
	keep_points(r, places, n, &result);
	keep_coefficients(r, subrange, c, s->n, &result);
	result.covariance = g_new0(double, s->n * s->n);
	reduction_computed(r, firn_covariance(s->n, c, result.covariance),
			   lab_calibration_mark(r->job, "subranges"),
			   "the covariance of %s by least squares", result.name);
	result.residuals = g_array_new(FALSE, TRUE, sizeof(struct lab_residual));
	for (int i = 0; i < n; i++) {
		const struct lab_residual residual =
		    residual_of(r, subrange, c, w_al, places[i], true);

		g_array_append_val(result.residuals, residual);
	}
	g_array_append_val(r->result->subranges, result);
}

static bool solve_what_is_asked(struct reduction *r)
{
	bool good = true, any = false;

	for (int i = 0; i < LAB_SUBRANGES; i++) {
		const struct firn_subrange *subrange =
		    firn_scale_subrange((enum firn_subrange_id)i);
		g_autofree char *missing = missing_points(r, subrange);
		g_autofree char *path =
		    g_strdup_printf("subranges.%s", lab_subrange_name((enum lab_subrange)i));

		if (missing[0] == '\0' && (r->job->subranges_all || r->job->subranges[i])) {
			any = true;
			good = solve(r, (enum lab_subrange)i) && good;
		} else if (!r->job->subranges_all && r->job->subranges[i]) {
			reduction_wrong(
			    r, lab_calibration_mark(r->job, path),
			    "subrange %s needs a visit to %s; add it, or leave the subrange out",
			    lab_subrange_name((enum lab_subrange)i), missing);
			good = false;
		}
	}
	if (good && !any) {
		reduction_wrong(r, lab_calibration_mark(r->job, "visits"),
				"the points measured make no subrange of the scale; the least is "
				"Ga, In, or Hg and "
				"Ar, besides H2O");
		good = false;
	}
	return good;
}

bool reduction_solve(struct reduction *r)
{
	if (!solve_what_is_asked(r))
		return false;
	for (int i = 0; i < LAB_SUBRANGES; i++)
		if (r->subranges[i].solved)
			keep_subrange(r, (enum lab_subrange)i);
	for (int i = 0; i < LAB_SUBRANGES && r->job->least_squares; i++)
		if (r->subranges[i].solved)
			keep_least_squares(r, (enum lab_subrange)i);
	return reduction_is_good(r, lab_calibration_mark(r->job, "subranges"), "the subranges");
}
