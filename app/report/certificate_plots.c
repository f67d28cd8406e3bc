/* Pictures of the calibration: deviation with its points, U(t), R(0.01 °C) through the series. */
#include "app/report/certificate_parts.h"

#include "app/report/plot.h"
#include "app/report/words.h"

static double between_points_K(const struct lab_curve_point *p)
{
	return hypot(lab_or(p->u_non_uniqueness_K, 0.0), lab_or(p->u_inconsistency_K, 0.0));
}

/* The curve's own numbers at its points, in the units of a plot. */
static void curve_columns(const struct certificate *c, const struct lab_curve *curve,
			  double *ret_t_C, double *ret_deviation_mK, double *ret_U_mK,
			  double *ret_between_mK)
{
	for (unsigned i = 0; i < curve->points->len; i++) {
		const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, i);

		ret_t_C[i] = p->t90_K - 273.15;
		ret_deviation_mK[i] = 1e3 * p->deviation_K;
		ret_U_mK[i] = 1e3 * certificate_k(c, p->dof) * p->u_calibration_K;
		ret_between_mK[i] = 1e3 * certificate_k(c, (double)INFINITY) * between_points_K(p);
	}
}

static const struct lab_curve_point *nearest(const struct lab_curve *curve, double t90_K)
{
	const struct lab_curve_point *best = LAB_AT(curve->points, lab_curve_point, 0);

	for (unsigned i = 1; i < curve->points->len; i++) {
		const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, i);

		if (fabs(p->t90_K - t90_K) < fabs(best->t90_K - t90_K))
			best = p;
	}
	return best;
}

/* Rising in temperature: labels are placed from left to right. */
static int by_temperature(const void *a, const void *b)
{
	const struct lab_visit_result *x = *(struct lab_visit_result *const *)a;
	const struct lab_visit_result *y = *(struct lab_visit_result *const *)b;

	return (x->t90_defined_K > y->t90_defined_K) - (x->t90_defined_K < y->t90_defined_K);
}

static GPtrArray *plotted_visits(const struct certificate *c)
{
	GPtrArray *visits = g_ptr_array_new();
	bool water = false;

	for (unsigned i = 0; i < c->result->visits->len; i++) {
		struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);

		if (v->point == LAB_NO_POINT || (v->point == LAB_H2O && water))
			continue;
		water |= v->point == LAB_H2O;
		g_ptr_array_add(visits, v);
	}
	g_ptr_array_sort(visits, by_temperature);
	return visits;
}

static void mark_points(const struct certificate *c, report_plot *deviation,
			report_plot *uncertainty, const struct lab_curve *low,
			const struct lab_curve *high)
{
	g_autoptr(GPtrArray) visits = plotted_visits(c);
	enum lab_point named = LAB_NO_POINT;

	for (unsigned i = 0; i < visits->len; i++) {
		const struct lab_visit_result *v = g_ptr_array_index(visits, i);
		const struct lab_curve *curve =
		    v->t90_defined_K < 273.155 || high == NULL ? low : high;
		const char *sign = v->point == named ? NULL : report_point_sign(v->point, true);

		if (curve == NULL)
			curve = high;
		const double t_C = v->t90_defined_K - 273.15;
		const double dw_per_K = nearest(curve, v->t90_defined_K)->dw_per_K;
		const double w = v->point == LAB_H2O ? v->wr : v->w.value;
		report_plot_point(deviation, t_C, 1e3 * (w - v->wr) / dw_per_K, sign);
		if (sign != NULL) /* once for all visits to a point */
			report_plot_tick(uncertainty, t_C, sign);
		named = v->point;
	}
}

static void draw_curve(const struct certificate *c, const struct lab_curve *curve, bool dashed,
		       report_plot *deviation, report_plot *uncertainty)
{
	if (curve == NULL)
		return;
	const unsigned n = curve->points->len;
	g_autofree double *t = g_new(double, n), *d = g_new(double, n), *U = g_new(double, n),
			  *b = g_new(double, n);

	curve_columns(c, curve, t, d, U, b);
	report_plot_line(deviation, n, t, d, dashed);
	report_plot_ground(uncertainty, n, t, b);
	report_plot_line(uncertainty, n, t, U, dashed);
}

static void curves(struct certificate *c)
{
	const struct lab_curve *low, *high;

	certificate_curves(c, &low, &high);
	if (low == NULL && high == NULL)
		return;
	report_plot *deviation =
	    report_plot_new("Deviation W − W<sub>r</sub>, as millikelvin, against "
			    "t<sub>90</sub>\u2009/°C");
	report_plot *uncertainty =
	    report_plot_new("Expanded uncertainty U, in millikelvin, against "
			    "t<sub>90</sub>\u2009/°C");
	report_plot_from_zero(uncertainty);
	draw_curve(c, low, low != NULL && high != NULL, deviation, uncertainty);
	draw_curve(c, high, false, deviation, uncertainty);
	mark_points(c, deviation, uncertainty, low, high);
	report_pdf_add(c->pdf, report_plots(deviation, uncertainty, NULL, 12.0));

	g_autoptr(GString) text = g_string_new(NULL);
	if (low != NULL && high != NULL) {
		g_autofree char *a = certificate_curve_range(low),
				*b = certificate_curve_range(high);

		g_string_append_printf(text, "Dashed: %s; full: %s. ", a, b);
	}
	g_string_append(text,
			"Lines: what the calibration contributes; grey, in addition: behaviour "
			"between the fixed points, as published for thermometers of this kind.");
	certificate_small(c, text->str);
}

static void water(struct certificate *c)
{
	const GArray *sequence = c->result->tpw;
	g_autoptr(GString) beside = g_string_new(NULL);
	double sum_mK = 0.0;

	if (sequence->len < 2)
		return;
	const unsigned n = sequence->len;
	g_autofree double *x = g_new(double, n), *y = g_new(double, n);
	report_plot *plot = report_plot_new(
	    "R(0.01\u00a0°C) through the series, change as millikelvin, against visit");
	for (unsigned i = 0; i < n; i++) {
		const struct lab_tpw_value *value = LAB_AT(sequence, lab_tpw_value, i);

		sum_mK += i == 0 ? 0.0 : 1e3 * lab_or(value->change_K, 0.0);
		x[i] = i + 1.0;
		y[i] = sum_mK;
	}
	report_plot_name_x(plot);
	report_plot_line(plot, n, x, y, false);
	for (unsigned i = 0; i < n; i++) {
		g_autofree char *id = report_markup(LAB_AT(sequence, lab_tpw_value, i)->visit);

		report_plot_point(plot, x[i], y[i], NULL);
		report_plot_tick(plot, x[i], id);
	}
	g_string_append(beside, "Change of " MARKUP_R_TPW
				" from the first visit to the water triple point on.");
	if (lab_given(c->result->tpw_change_K)) {
		g_autofree char *change =
		    report_millikelvin(c->result->tpw_change_K, LAB_NOT_GIVEN, REPORT_MINUS);

		g_string_append_printf(beside, " Largest minus smallest: %s", change);
		if (lab_given(c->result->tpw_limit_K)) {
			g_autofree char *limit =
			    report_millikelvin(c->result->tpw_limit_K, LAB_NOT_GIVEN, REPORT_MINUS);

			g_string_append_printf(beside, ", where at most %s is allowed", limit);
		}
		g_string_append_c(beside, '.');
	}
	report_pdf_add(c->pdf, report_plots(plot, NULL, beside->str, 10.0));
}

void certificate_plots(struct certificate *c)
{
	curves(c);
	water(c);
}
