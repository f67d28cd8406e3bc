#include "app/simulate/compare.h"

#include <math.h>
#include <string.h>

/* Below this an uncertainty is none: at 273.16 K the calibration is exact. */
#define U_NONE_K 1e-9
#define COVERAGE 0.95

/* T90 that the table gives, less the T90 at which the thermometer has that W. The difference is of
   the size of u, over which the slope is constant. */
static bool error_K(const struct simulate_thermometer *thermometer, bool above,
		    const struct lab_curve_point *line, bool departing, double *ret_K)
{
	double w, slope_per_K;

	if (!simulate_w(thermometer, above, line->t90_K, departing, &w, &slope_per_K))
		return false;
	*ret_K = (w - line->w) / slope_per_K;
	return true;
}

/* The trials of this line of the table; NULL where there are none. */
static const struct lab_trial_comparison *trials_of(const struct lab_calibration_result *result,
						    const char *subrange, double t90_K)
{
	const GArray *all = result->trials.temperatures;

	for (guint i = 0; result->trials.n > 0 && i < all->len; i++) {
		const struct lab_trial_comparison *t = LAB_AT(all, lab_trial_comparison, i);

		if (t->t90_K == t90_K && strcmp(t->subrange, subrange) == 0)
			return t;
	}
	return NULL;
}

static void compare_line(const struct simulate_thermometer *thermometer,
			 const struct lab_calibration_result *result, const struct lab_curve *curve,
			 const struct lab_curve_point *line, GArray *to)
{
	const struct lab_trial_comparison *trials = trials_of(result, curve->name, line->t90_K);
	const double u_K = line->u_calibration_K,
		     u_total_K = hypot(u_K, hypot(lab_or(line->u_non_uniqueness_K, 0.0),
						  lab_or(line->u_inconsistency_K, 0.0)));
	const bool above = firn_scale_subrange((enum firn_subrange_id)curve->subrange)->from_zero;
	double alone_K, total_K;

	if (u_K < U_NONE_K || !error_K(thermometer, above, line, false, &alone_K) ||
	    !error_K(thermometer, above, line, true, &total_K))
		return;
	const double dof_total = line->dof * pow(u_total_K / u_K, 4.0);
	const struct simulate_error error = {
		.t90_K = line->t90_K,
		.u_K = u_K,
		.z = alone_K / u_K,
		.z_total = total_K / u_total_K,
		.linear = fabs(alone_K) <= firn_coverage_factor(COVERAGE, line->dof) * u_K,
		.linear_total =
		    fabs(total_K) <= firn_coverage_factor(COVERAGE, dof_total) * u_total_K,
		.trials = trials != NULL && -alone_K >= trials->low && -alone_K <= trials->high,
	};
	g_array_append_val(to, error);
}

static void compare_tables(const struct simulate_laboratory *laboratory,
			   const struct simulate_thermometer *thermometer,
			   const struct lab_calibration_result *result, struct simulate_errors *ret)
{
	for (size_t k = 0; k < laboratory->n_judged; k++) {
		ret->tables[k] = g_array_new(FALSE, TRUE, sizeof(struct simulate_error));
		for (guint i = 0; i < result->curves->len; i++) {
			const struct lab_curve *curve = LAB_AT(result->curves, lab_curve, i);

			if (curve->subrange != laboratory->judged[k])
				continue;
			for (guint j = 0; j < curve->points->len; j++)
				compare_line(thermometer, result, curve,
					     LAB_AT(curve->points, lab_curve_point, j),
					     ret->tables[k]);
		}
	}
}

/* Each place lies in one of the subranges judged. */
static void compare_places(const struct simulate_laboratory *laboratory,
			   const struct lab_calibration *record,
			   const struct lab_calibration_result *result, struct simulate_errors *ret)
{
	const guint n = result->temperatures->len;
	int place = 0;

	for (guint i = 0; i < record->visits->len; i++) {
		const struct lab_visit *visit = LAB_AT(record->visits, lab_visit, i);

		if (!visit->measure)
			continue;
		for (guint k = 0; k < n; k++) {
			const struct lab_temperature *t =
			    LAB_AT(result->temperatures, lab_temperature, k);
			if (strcmp(t->visit, visit->id) != 0)
				continue;
			const double u_K =
			    hypot(t->u_in_use_K, hypot(lab_or(t->u_non_uniqueness_K, 0.0),
						       lab_or(t->u_inconsistency_K, 0.0)));
			const double z = (t->t90_K - laboratory->places_K[place]) / u_K;

			ret->squares_in_use += z * z / n;
			ret->u2_in_use += u_K * u_K / n;
		}
		place++;
	}
	if (n != SIMULATE_PLACES) /* a place that no subrange holds is a mistake of ours */
		ret->squares_in_use = (double)NAN;
}

static void compare_water(const struct simulate_calibration *calibration,
			  const struct lab_calibration_result *result, struct simulate_errors *ret)
{
	const guint n = result->tpw->len;

	for (guint i = 0; i < n; i++) {
		const struct lab_tpw_value *tpw = LAB_AT(result->tpw, lab_tpw_value, i);

		for (guint v = 0; v < calibration->record->visits->len; v++) {
			if (strcmp(LAB_AT(calibration->record->visits, lab_visit, v)->id,
				   tpw->visit) != 0)
				continue;
			const double z =
			    (tpw->ohm.value - g_array_index(calibration->r_tpw_ohm, double, v)) /
			    tpw->ohm.u;

			ret->squares_r_tpw += z * z / n;
			ret->u2_r_tpw += tpw->ohm.u * tpw->ohm.u / n;
		}
	}
}

void simulate_compare(const struct simulate_laboratory *laboratory,
		      const struct simulate_calibration *calibration,
		      const struct lab_calibration_result *result, struct simulate_errors *ret)
{
	*ret = (struct simulate_errors){ 0 };
	compare_tables(laboratory, &calibration->thermometer, result, ret);
	compare_places(laboratory, calibration->record, result, ret);
	compare_water(calibration, result, ret);
}

void simulate_errors_clear(struct simulate_errors *errors)
{
	for (size_t k = 0; k < SIMULATE_MOST_JUDGED; k++)
		if (errors->tables[k] != NULL)
			g_array_unref(errors->tables[k]);
}

/* Shares of W; of R where the point is water, whose own budget is judged as R(TPW). */
static double rectangles_of(const struct lab_visit_result *visit, double *ret_fewest_dof)
{
	double variance = 0.0, rectangles = 0.0;

	for (guint k = 0; k < visit->budget->len; k++) {
		const struct lab_budget_line *line = LAB_AT(visit->budget, lab_budget_line, k);
		const double part = line->contribution * line->contribution;

		variance += part;
		if (strstr(line->input, ".total_umol_per_mol") != NULL)
			rectangles += part;
		if (part > 0.0 && strstr(line->input, ".ratio at ") == NULL)
			*ret_fewest_dof = fmin(*ret_fewest_dof, line->dof);
	}
	return rectangles / variance;
}

void simulate_look(const struct lab_calibration_result *calibration, struct simulate_result *ret)
{
	ret->largest_rectangle = 0.0;
	ret->smallest_rectangle = 1.0;
	ret->fewest_dof = (double)INFINITY;
	for (guint i = 0; i < calibration->visits->len; i++) {
		const struct lab_visit_result *visit =
		    LAB_AT(calibration->visits, lab_visit_result, i);

		if (visit->point == LAB_NO_POINT || visit->point == LAB_H2O)
			continue;
		const double share = rectangles_of(visit, &ret->fewest_dof);

		ret->largest_rectangle = fmax(ret->largest_rectangle, share);
		ret->smallest_rectangle = fmin(ret->smallest_rectangle, share);
	}
}
