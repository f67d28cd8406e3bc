/* The table of t, W, dt/dW and U, for users without a computer; and what was found with it. */
#include "app/report/certificate_parts.h"

#include "app/report/table.h"
#include "app/report/words.h"

void certificate_curves(const struct certificate *c, const struct lab_curve **ret_low,
			const struct lab_curve **ret_high)
{
	const struct lab_subrange_result *low = NULL, *high = NULL;

	for (unsigned i = 0; i < c->result->subranges->len; i++) {
		const struct lab_subrange_result *s =
		    LAB_AT(c->result->subranges, lab_subrange_result, i);

		if (!s->certificate || certificate_curve(c, s->name) == NULL)
			continue;
		if (s->low_K < 273.0 && (low == NULL || s->low_K < low->low_K))
			low = s;
		if (s->high_K > 274.0 && s->low_K > 273.0 &&
		    (high == NULL || s->high_K > high->high_K))
			high = s;
	}
	*ret_low = low == NULL ? NULL : certificate_curve(c, low->name);
	*ret_high = high == NULL ? NULL : certificate_curve(c, high->name);
}

static double curve_end(const struct lab_curve *curve, bool high)
{
	return LAB_AT(curve->points, lab_curve_point, high ? curve->points->len - 1 : 0)->t90_K;
}

char *certificate_curve_range(const struct lab_curve *curve)
{
	return report_celsius_range(curve_end(curve, false), curve_end(curve, true), REPORT_MINUS);
}

/* Decimals of W that the least U of the table asks for: the same in every row, to interpolate. */
static int w_places(const struct certificate *c, const struct lab_curve *curve, int places)
{
	for (unsigned i = 0; curve != NULL && i < curve->points->len; i++) {
		const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, i);
		int here;

		if (report_places(certificate_k(c, p->dof) * p->u_calibration_K * p->dw_per_K,
				  &here) &&
		    here > places && here <= 8)
			places = here;
	}
	return places;
}

/* u vanishes at some points by its formula: below a microkelvin nothing is shown of it. */
static void millikelvin(double U_mK, char ret[REPORT_NUMBER_SIZE])
{
	if (U_mK < 1e-3)
		report_fixed(0.0, 2, REPORT_PRINT, ret);
	else
		report_uncertainty(U_mK, REPORT_PRINT, ret);
}

static void add_row(const struct certificate *c, report_table *table,
		    const struct lab_curve_point *p, int places)
{
	const double between_K =
	    hypot(lab_or(p->u_non_uniqueness_K, 0.0), lab_or(p->u_inconsistency_K, 0.0));
	char text[REPORT_NUMBER_SIZE];

	report_at_most(p->t90_K - 273.15, 4, REPORT_PRINT, text);
	report_table_cell(table, text);
	report_fixed(p->w, places, REPORT_PRINT, text);
	report_table_cell(table, text);
	report_fixed(1.0 / p->dw_per_K, 3, REPORT_PRINT, text);
	report_table_cell(table, text);
	millikelvin(1e3 * certificate_k(c, p->dof) * p->u_calibration_K, text);
	report_table_cell(table, text);
	millikelvin(1e3 * certificate_k(c, (double)INFINITY) * between_K, text);
	report_table_cell(table, lab_given(p->u_non_uniqueness_K) ? text : "–");
}

/* Rows of a curve above one temperature. */
static void add_rows(const struct certificate *c, report_table *table,
		     const struct lab_curve *curve, double above_K, int places)
{
	for (unsigned i = 0; curve != NULL && i < curve->points->len; i++) {
		const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, i);

		if (p->t90_K > above_K)
			add_row(c, table, p, places);
	}
}

static void note(struct certificate *c, const struct lab_curve *low, const struct lab_curve *high)
{
	g_autoptr(GString) text = g_string_new(NULL);

	if (low != NULL && high != NULL) {
		g_autofree char *a = certificate_curve_range(low),
				*b = certificate_curve_range(high);
		char end[REPORT_NUMBER_SIZE];

		report_celsius(curve_end(low, true), REPORT_MINUS, end);
		g_string_append_printf(
		    text, "Up to %s\u00a0°C from the range %s, above it from the range %s. ", end,
		    a, b);
	}
	g_string_append(text,
			"<i>U</i> is what the calibration contributes to " MARKUP_T90
			", <i>W</i> taken as exact; <i>B</i> is the expanded uncertainty of the "
			"behaviour between the fixed points, from published figures (–: none is "
			"published). Other ranges stand in the data file.");
	certificate_small(c, text->str);
}

static void add_range(const struct certificate *c, report_table *table, const char *name)
{
	const struct lab_curve *curve = certificate_curve(c, name);
	g_autofree char *range = curve == NULL ? NULL : certificate_curve_range(curve);

	report_table_cell(table, range);
}

/* Temperatures that the job asked for. */
static void temperatures(struct certificate *c)
{
	const GArray *found = c->result->temperatures;
	report_table *table;

	if (found->len == 0)
		return;
	table = report_table_new();
	report_table_tight(table);
	report_table_column(table, REPORT_WRAPPED, "Temperature measured with it: visit");
	report_table_column(table, REPORT_LEFT, "range");
	report_table_column(table, REPORT_DECIMAL, "W");
	report_table_column(table, REPORT_DECIMAL, MARKUP_T90 "\u2009/°C");
	report_table_column(table, REPORT_DECIMAL, "U\u2009/mK, calibration");
	report_table_column(table, REPORT_DECIMAL, "U\u2009/mK, in use");
	for (unsigned i = 0; i < found->len; i++) {
		const struct lab_temperature *t = LAB_AT(found, lab_temperature, i);
		const double U_K = certificate_k(c, t->dof_in_use) * t->u_in_use_K;
		g_autofree char *id = report_markup(t->visit);
		char text[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE];

		report_table_cell(table, id);
		add_range(c, table, t->subrange);
		report_pair(t->w, U_K / t->dt_dw_K, REPORT_PRINT, text, U);
		report_table_cell(table, text);
		report_pair(t->t90_K - 273.15, U_K, REPORT_PRINT, text, U);
		report_table_cell(table, text);
		millikelvin(1e3 * certificate_k(c, t->dof_calibration) * t->u_calibration_K, text);
		report_table_cell(table, text);
		report_uncertainty(1e3 * U_K, REPORT_PRINT, text);
		report_table_cell(table, text);
	}
	report_pdf_add(c->pdf, report_table_block(table, 12.0));
}

void certificate_table(struct certificate *c)
{
	const struct lab_curve *low, *high;
	report_table *table;

	certificate_curves(c, &low, &high);
	if (low != NULL || high != NULL) {
		const int places = w_places(c, high, w_places(c, low, 6));

		certificate_heading(c, "Table", false);
		table = report_table_new();
		report_table_tight(table);
		report_table_fold(table);
		report_table_column(table, REPORT_DECIMAL, MARKUP_T90 "\u2009/°C");
		report_table_column(table, REPORT_DECIMAL, "W");
		report_table_column(table, REPORT_DECIMAL, "dt/dW\u2009/°C");
		report_table_column(table, REPORT_DECIMAL, "U\u2009/mK");
		report_table_column(table, REPORT_DECIMAL, "B\u2009/mK");
		add_rows(c, table, low, -1.0, places);
		add_rows(c, table, high, low == NULL ? -1.0 : curve_end(low, true), places);
		report_pdf_add(c->pdf, report_table_block(table, 3.75));
		note(c, low, high);
	}
	temperatures(c);
}
