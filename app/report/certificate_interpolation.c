/* Coefficients of every subrange, with what a reader needs to compute with them. */
#include "app/report/certificate_parts.h"

#include "app/report/formula.h"
#include "app/report/table.h"
#include "app/report/words.h"

#include "firn/scale.h"

#include <string.h>

#define COEFFICIENT_LIMIT_K 1e-6 /* what rounding of the printed coefficients may do to t90 */
#define EXPONENT            (-4) /* coefficients are printed in 10^-4 */

static void formulas(struct certificate *c)
{
	const GArray *subranges = c->result->subranges;

	for (unsigned i = 0; i < subranges->len; i++) {
		const struct lab_subrange_result *s = LAB_AT(subranges, lab_subrange_result, i);
		g_autoptr(GString) ranges = g_string_new(NULL);
		bool first = s->certificate;

		for (unsigned k = 0; k < subranges->len; k++) {
			const struct lab_subrange_result *other =
			    LAB_AT(subranges, lab_subrange_result, k);

			if (!other->certificate || strcmp(other->formula, s->formula) != 0)
				continue;
			first &= k >= i; /* said already */
			g_autofree char *range =
			    report_celsius_range(other->low_K, other->high_K, REPORT_MINUS);
			g_string_append_printf(ranges, "%s%s", ranges->len > 0 ? "; " : "", range);
		}
		if (!first)
			continue;
		g_autofree char *formula = report_formula_markup(s->formula);
		g_autofree char *markup = g_strdup_printf("%s\u2003(%s)", formula, ranges->str);
		report_pdf_add(c->pdf,
			       report_paragraph(markup, &report_font_body, "P", 2.0, 1.0, 0.0));
	}
	certificate_small(
	    c, "<i>W</i><sub>r</sub> is the reference function of the ITS-90, <i>W</i> = "
	       "<i>R</i>(" MARKUP_T90 ")/" MARKUP_R_TPW "; " MARKUP_T90
	       "\u2009/°C = <i>T</i><sub>90</sub>\u2009/K − 273.15.");
}

/* The silver range needs the thermometer's own W at the aluminium point, to more digits than U
 * asks. */
static void aluminium(struct certificate *c)
{
	for (unsigned i = 0; i < c->result->subranges->len; i++) {
		const struct lab_subrange_result *s =
		    LAB_AT(c->result->subranges, lab_subrange_result, i);
		char w[REPORT_NUMBER_SIZE];

		if (!s->certificate || !lab_given(s->w_al))
			continue;
		report_fixed(s->w_al, 9, REPORT_PRINT, w);
		g_autofree char *markup =
		    g_strdup_printf("<i>W</i><sub>Al</sub> = %s is its <i>W</i> at the aluminium "
				    "point; the term with "
				    "<i>d</i> acts above it.",
				    w);
		certificate_small(c, markup);
		return;
	}
}

/* For the reading-back of printed coefficients. */
static bool w_at(const void *data, const double *coefficients, double t90_K, double *ret_w)
{
	const struct lab_subrange_result *s = data;
	const struct firn_subrange *subrange =
	    firn_scale_subrange((enum firn_subrange_id)s->subrange);
	double slope;

	return firn_subrange_w(subrange, coefficients, s->w_al, t90_K, ret_w, &slope) >= 0;
}

/* Decimals of the coefficients, found by reading the printed ones back. */
static int coefficient_places(struct certificate *c, const struct lab_subrange_result *s)
{
	const struct lab_curve *curve = certificate_curve(c, s->name);
	const size_t n = s->coefficients->len, n_t = curve == NULL ? 0 : curve->points->len;
	g_autofree double *x = g_new(double, n), *t90_K = g_new(double, n_t + 1),
			  *dt_dw_K = g_new(double, n_t + 1);
	int places = 0, u_places;

	for (size_t i = 0; i < n; i++)
		x[i] = LAB_AT(s->coefficients, lab_coefficient, i)->estimate.value;
	for (size_t i = 0; i < n_t; i++) {
		t90_K[i] = LAB_AT(curve->points, lab_curve_point, i)->t90_K;
		dt_dw_K[i] = 1.0 / LAB_AT(curve->points, lab_curve_point, i)->dw_per_K;
	}
	if (!report_coefficient_places(n, x, n_t, t90_K, dt_dw_K, COEFFICIENT_LIMIT_K, w_at, s,
				       &places))
		base_messages_add(
		    c->messages, BASE_FAILURE, c->job->path, (struct base_mark){ 0, 0 },
		    "subrange %s: no number of decimals keeps W, computed from printed "
		    "coefficients, within 1 µK",
		    s->name);
	/* Two digits of the least u stand below one another with the value. */
	for (size_t i = 0; i < n; i++) {
		const double u = LAB_AT(s->coefficients, lab_coefficient, i)->estimate.u;

		if (report_places(u, &u_places) && u_places > places && u_places <= 16)
			places = u_places;
	}
	return places;
}

static char *correlations(const struct lab_subrange_result *s, unsigned i)
{
	const unsigned n = s->coefficients->len;
	g_autoptr(GString) text = g_string_new(NULL);

	for (unsigned k = 0; k < i; k++) {
		const double r = s->covariance[i * n + k] /
				 sqrt(s->covariance[i * n + i] * s->covariance[k * n + k]);
		char number[REPORT_NUMBER_SIZE];

		/* Near 1 two digits say too little: JCGM 100:2008, 7.2.6. */
		report_fixed(r, fabs(r) > 0.995 ? 5 : 3, REPORT_MINUS, number);
		g_string_append_printf(text, "%s%s", k > 0 ? ", " : "", number);
	}
	return g_strdup(text->str);
}

static void add_subrange(struct certificate *c, report_table *table,
			 const struct lab_subrange_result *s)
{
	const int places = coefficient_places(c, s);

	for (unsigned i = 0; i < s->coefficients->len; i++) {
		const struct lab_coefficient *x = LAB_AT(s->coefficients, lab_coefficient, i);
		g_autofree char *range = report_celsius_range(s->low_K, s->high_K, REPORT_MINUS);
		g_autofree char *name = report_formula_markup(x->name);
		g_autofree char *r = correlations(s, i);
		char text[REPORT_NUMBER_SIZE];
		int u_places;

		report_table_cell(table, i == 0 ? range : NULL);
		report_table_cell(table, name);
		report_scaled(x->estimate.value, EXPONENT, places + EXPONENT, REPORT_PRINT, text);
		report_table_cell(table, text);
		if (report_places(x->estimate.u, &u_places) && u_places + EXPONENT >= 0)
			report_scaled(x->estimate.u, EXPONENT, u_places + EXPONENT, REPORT_PRINT,
				      text);
		else
			report_uncertainty(1e4 * x->estimate.u, REPORT_PRINT, text);
		report_table_cell(table, text);
		report_table_cell(table, r);
	}
}

static void coefficients(struct certificate *c)
{
	report_table *table = report_table_new();
	const GArray *subranges = c->result->subranges;

	report_table_column(table, REPORT_LEFT, "Range");
	report_table_column(table, REPORT_LEFT, "");
	report_table_column(table, REPORT_DECIMAL, "coefficient\u2009/10<sup>−4</sup>");
	report_table_column(table, REPORT_DECIMAL, "u\u2009/10<sup>−4</sup>");
	report_table_column(table, REPORT_LEFT, "r with those above");
	for (unsigned i = 0; i < subranges->len; i++) {
		const struct lab_subrange_result *s = LAB_AT(subranges, lab_subrange_result, i);

		if (s->certificate)
			add_subrange(c, table, s);
	}
	report_pdf_add(c->pdf, report_table_block(table, 8.0));
}

/* W that the coefficients of a subrange give in its middle, to try a program with. */
static void check_values(struct certificate *c)
{
	report_table *table = report_table_new();
	bool any = false;

	report_table_tight(table);
	report_table_column(table, REPORT_LEFT, "Check values: range");
	report_table_column(table, REPORT_DECIMAL, MARKUP_T90 "\u2009/°C");
	report_table_column(table, REPORT_DECIMAL, "W");
	report_table_column(table, REPORT_DECIMAL, "W − W<sub>r</sub>");
	for (unsigned i = 0; i < c->result->subranges->len; i++) {
		const struct lab_subrange_result *s =
		    LAB_AT(c->result->subranges, lab_subrange_result, i);
		const struct lab_curve *curve = certificate_curve(c, s->name);

		if (!s->certificate || curve == NULL || curve->points->len < 3)
			continue;
		const struct lab_curve_point *p =
		    LAB_AT(curve->points, lab_curve_point, curve->points->len * 3 / 4);
		g_autofree char *range = report_celsius_range(s->low_K, s->high_K, REPORT_MINUS);
		char text[REPORT_NUMBER_SIZE];

		report_table_cell(table, range);
		report_at_most(p->t90_K - 273.15, 4, REPORT_PRINT, text);
		report_table_cell(table, text);
		report_fixed(p->w, 8, REPORT_PRINT, text);
		report_table_cell(table, text);
		report_fixed(p->deviation_K * p->dw_per_K, 8, REPORT_PRINT, text);
		report_table_cell(table, text);
		any = true;
	}
	struct report_block *block = report_table_block(table, 10.0);
	if (any)
		report_pdf_add(c->pdf, block);
	else
		block->class->free(block);
}

static void overlap_sentence(struct certificate *c, GString *text)
{
	double largest = 0.0;

	for (unsigned i = 0; i < c->result->overlaps->len; i++)
		largest =
		    fmax(largest, fabs(LAB_AT(c->result->overlaps, lab_overlap, i)->largest_K));
	if (c->result->overlaps->len == 0)
		return;
	g_autofree char *words = report_millikelvin(largest, LAB_NOT_GIVEN, REPORT_MINUS);
	g_string_append_printf(text, " Where ranges overlap they agree within %s.", words);
}

static void residual_sentence(struct certificate *c, GString *text)
{
	for (unsigned i = 0; i < c->result->subranges->len; i++) {
		const struct lab_subrange_result *s =
		    LAB_AT(c->result->subranges, lab_subrange_result, i);

		for (unsigned k = 0;
		     s->certificate && s->residuals != NULL && k < s->residuals->len; k++) {
			const struct lab_residual *r = LAB_AT(s->residuals, lab_residual, k);

			if (r->used)
				continue;
			g_autofree char *range =
			    report_celsius_range(s->low_K, s->high_K, REPORT_MINUS);
			g_autofree char *words =
			    report_millikelvin(fabs(r->value_K), r->u_K, REPORT_MINUS);
			const enum lab_point point = lab_point_named(r->point);
			g_string_append_printf(text,
					       " %s, measured but not used for %s, lies %s %s the "
					       "curve.",
					       report_point_sign(point, true), range, words,
					       r->value_K < 0.0 ? "below" : "above");
		}
	}
}

void certificate_interpolation(struct certificate *c)
{
	g_autoptr(GString) text =
	    g_string_new("<i>u</i> is a standard uncertainty, <i>r</i> a correlation coefficient; "
			 "coefficients taken "
			 "from here give " MARKUP_T90
			 " within 1\u00a0µK of those in the data file, which holds all "
			 "digits and the covariance with " MARKUP_R_TPW ".");

	if (c->result->subranges->len == 0)
		return;
	certificate_heading(c, "Interpolation", true);
	formulas(c);
	aluminium(c);
	coefficients(c);
	overlap_sentence(c, text);
	residual_sentence(c, text);
	g_string_append(text, " No use outside a range.");
	certificate_small(c, text->str);
	check_values(c);
}
