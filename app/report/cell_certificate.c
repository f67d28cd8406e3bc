#include "app/report/cell_certificate.h"

#include "app/report/cell_words.h"
#include "app/report/pdf.h"
#include "app/report/rounding.h"
#include "app/report/table.h"
#include "app/report/times.h"
#include "app/report/words.h"

#include "firn/scale.h"

#include <math.h>

struct paper {
	const lab_cell_comparison *record;
	const lab_cell_compare *found;
	const struct lab_compared_cell *cell;
	const struct lab_compared_value *value;
	report_pdf *pdf;
	GStringChunk *keep;
	int sections, defined;
};

static char *kept(struct paper *p, const char *format, ...) G_GNUC_PRINTF(2, 3);
static char *kept(struct paper *p, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	return g_string_chunk_insert(p->keep, text);
}

static char *escaped(struct paper *p, const char *text)
{
	g_autofree char *markup = text == NULL ? NULL : report_markup(text);

	return markup == NULL ? NULL : g_string_chunk_insert(p->keep, markup);
}

static char *date_of(struct paper *p, int day)
{
	GDate date;

	g_date_clear(&date, 1);
	g_date_set_julian(&date, (guint32)day);
	return kept(p, "%04u-%02u-%02u", g_date_get_year(&date), (unsigned)g_date_get_month(&date),
		    g_date_get_day(&date));
}

static char *date_words(struct paper *p, int day)
{
	g_autofree char *words = report_date_words(date_of(p, day));

	return g_string_chunk_insert(p->keep, words);
}

/* "−44.3(1.7) µK" in the style of print, expanded or standard as handed in. */
static char *size(struct paper *p, double K, double u_K)
{
	char x[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

	report_pair(1e6 * K, 1e6 * u_K, REPORT_PRINT, x, u);
	return kept(p, "%s\u00a0µK", x);
}

static char *u_size(struct paper *p, double u_K)
{
	char u[REPORT_NUMBER_SIZE];

	report_uncertainty(1e6 * u_K, REPORT_PRINT, u);
	return kept(p, "%s\u00a0µK", u_K > 0.0 ? u : "0");
}

static const char *cell_name(const struct paper *p, int i)
{
	return LAB_AT(p->record->cells, lab_compared_cell, i)->id;
}

static void body(struct paper *p, const char *markup)
{
	report_pdf_add(p->pdf, report_paragraph(markup, &report_font_body, "P", 6.0, 1.0, 0.0));
}

static void heading(struct paper *p, const char *markup)
{
	report_pdf_add(p->pdf, report_heading(++p->sections, markup, false));
}

static void define(struct paper *p, const char *label, const char *markup)
{
	if (markup != NULL && markup[0] != '\0')
		report_pdf_add(p->pdf,
			       report_definition(label, markup, p->defined++ == 0 ? 16.0 : 5.25));
}

/* ---- first part: what was compared, with what, when ---- */

static bool of_cell(const struct paper *p, const struct lab_cell_difference *d)
{
	return d->a == p->record->report.cell || d->b == p->record->report.cell;
}

static char *period(struct paper *p)
{
	int first = 0, last = 0;

	for (guint i = 0; i < p->record->differences->len; i++) {
		const struct lab_cell_difference *d =
		    LAB_AT(p->record->differences, lab_cell_difference, i);

		if (!of_cell(p, d))
			continue;
		first = first == 0 || d->day < first ? d->day : first;
		last = MAX(last, d->day);
	}
	if (first == last)
		return kept(p, "compared %s", date_words(p, first));
	return kept(p, "compared from %s to %s", date_words(p, first), date_words(p, last));
}

static char *joined(struct paper *p, const char *first, const char *second)
{
	if (first == NULL || second == NULL)
		return escaped(p, first != NULL ? first : second);
	g_autofree char *both = g_strconcat(first, ", ", second, NULL);
	return escaped(p, both);
}

static void front(struct paper *p)
{
	const struct lab_cell_paper *r = &p->record->report;
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)p->record->point);
	const char *glass = p->cell->glass == LAB_GLASS_BOROSILICATE   ? ", borosilicate"
			    : p->cell->glass == LAB_GLASS_FUSED_SILICA ? ", fused silica"
								       : "";
	const char *name = escaped(p, p->cell->id);
	const char *reference = escaped(p, cell_name(p, p->record->datum));

	report_pdf_add(p->pdf, report_title("Draft certificate of a fixed-point cell", NULL));
	report_pdf_add(
	    p->pdf, report_paragraph(kept(p,
					  "Cell %s, %s, compared with cell %s on the International "
					  "Temperature Scale of 1990.",
					  name, report_point_words(p->record->point, point->t90_K),
					  reference),
				     &report_font_subtitle, "P", 4.0, 0.81, 0.0));
	define(p, "Item",
	       r->item != NULL ? escaped(p, r->item) : kept(p, "Cell %s%s.", name, glass));
	define(p, "For", joined(p, r->customer, r->customer_address));
	define(p, "Dates", kept(p, "%s; values of %s", period(p), date_words(p, p->found->day)));
	define(
	    p, "Method",
	    r->method != NULL
		? escaped(p, r->method)
		: "Differences between cells with the same thermometer at zero current, freed "
		  "of the head of liquid and of what is known of the isotopes of both cells; all "
		  "comparisons of the laboratory's cells adjusted together by least squares.");
	define(p, "Reference",
	       kept(p, "Cell %s: %s above the defined temperature, <i>u</i>\u00a0=\u00a0%s (%s).",
		    reference, size(p, p->record->datum_K.value, lab_or(p->record->datum_K.u, 0.0)),
		    u_size(p, lab_or(p->record->datum_K.u, 0.0)),
		    escaped(p, p->record->datum_source)));
	define(p, "Conditions", escaped(p, r->conditions));
}

/* ---- results ---- */

static void result_row(struct paper *p, report_table *table, const char *what, double K, double u_K,
		       double U_K)
{
	report_table_cell(table, what);
	report_table_cell(table, size(p, K, U_K));
	report_table_cell(table, u_size(p, u_K));
	report_table_cell(table, u_size(p, U_K));
}

static void results(struct paper *p)
{
	const struct lab_compared_value *v = p->value;
	const bool whole = lab_given(v->whole_K.value);
	report_table *table = report_table_new();

	heading(p, "Result");
	report_table_column(table, REPORT_LEFT, "Temperature of the cell minus the defined one");
	report_table_column(table, REPORT_RIGHT, "value");
	report_table_column(table, REPORT_RIGHT, "<i>u</i>");
	report_table_column(table, REPORT_RIGHT, "<i>U</i>");
	if (whole)
		result_row(p, table, "as it is, isotopes included", v->whole_K.value, v->whole_K.u,
			   v->whole_U_K);
	result_row(p, table, whole ? "after the correction for its isotopes" : "as it is",
		   v->K.value, v->K.u, v->U_K);
	report_pdf_add(p->pdf, report_table_block(table, 8.0));
	body(p, kept(p,
		     "<i>U</i> is the standard uncertainty times <i>k</i>\u00a0=\u00a0%.2f, for a "
		     "coverage probability of about 95\u00a0%%. The temperature of the cell is the "
		     "defined one plus the value, at the surface of the liquid; the head at the "
		     "middle of the sensor comes to it.",
		     v->k));
	if (lab_given(v->K_per_year.value))
		body(p, kept(p, "The cell drifts by %s per year, <i>u</i>\u00a0=\u00a0%s.",
			     size(p, v->K_per_year.value, v->K_per_year.u),
			     u_size(p, v->K_per_year.u)));
	body(p, "<i>U</i> holds the reference, all comparisons and the isotopes of the cells "
		"compared. It does not hold what happens to the cell after the day of the values, "
		"transport, the age and state of its mantle or freeze in use, heat exchange of "
		"another thermometer, and head.");
}

static void comparisons(struct paper *p)
{
	report_table *table = report_table_new();

	heading(p, "Comparisons of this cell");
	report_table_column(table, REPORT_LEFT, "date");
	report_table_column(table, REPORT_LEFT, "with");
	report_table_column(table, REPORT_RIGHT, "this cell minus that");
	report_table_column(table, REPORT_RIGHT, "<i>u</i>");
	report_table_column(table, REPORT_RIGHT, "left by the adjustment");
	for (guint i = 0; i < p->record->differences->len; i++) {
		const struct lab_cell_difference *d =
		    LAB_AT(p->record->differences, lab_cell_difference, i);
		const struct lab_compared_difference *x =
		    LAB_AT(p->found->differences, lab_compared_difference, i);
		const bool is_a = d->a == p->record->report.cell;
		const double sign = is_a ? 1.0 : -1.0;

		if (!of_cell(p, d))
			continue;
		report_table_cell(table, date_of(p, d->day));
		report_table_cell(table, escaped(p, cell_name(p, is_a ? d->b : d->a)));
		report_table_cell(table, size(p, sign * x->K.value, x->K.u));
		report_table_cell(table, u_size(p, x->K.u));
		report_table_cell(table, size(p, sign * x->residual_K, x->K.u));
	}
	report_pdf_add(p->pdf, report_table_block(table, 8.0));
	if (p->found->dof > 0.0)
		body(p,
		     kept(p,
			  "All %u comparisons of %u cells agree within what is stated of them: "
			  "chi-squared %.3g with %.0f degrees of freedom, 95\u00a0%% limit %.3g.",
			  p->record->differences->len, p->record->cells->len, p->found->chi2,
			  p->found->dof, p->found->limit));
}

static void signatures(struct paper *p)
{
	const struct lab_cell_paper *r = &p->record->report;
	const struct report_signature both[] = {
		{ "measured", r->measured_by != NULL ? escaped(p, r->measured_by) : "" },
		{ "checked", r->checked_by != NULL ? escaped(p, r->checked_by) : "" },
	};

	report_pdf_add(p->pdf, report_signatures(G_N_ELEMENTS(both), both));
	report_pdf_keep_last(p->pdf);
	report_pdf_add(
	    p->pdf, report_paragraph("— end of draft —", &report_font_body, "P", 14.0, 1.0, 0.5));
}

static bool may_be_made(const lab_cell_comparison *c, const lab_cell_compare *found,
			base_messages *messages)
{
	const char *why =
	    !c->report.given || c->report.cell < 0
		? "a certificate needs report: {cell}, the cell that it is of"
	    : c->datum < 0 ? "a certificate needs a named reference as datum; with the mean of the "
			     "cells as datum, values only test budgets"
	    : c->report.cell == c->datum
		? "a reference cell has its certificate already; name another under report"
	    : !found->consistent
		? "the comparisons do not agree, so no value of them is certified; look at the "
		  "largest deviations first"
		: NULL;

	if (why != NULL)
		base_messages_add(messages, BASE_ERROR, c->path, c->report.mark, "%s", why);
	return why == NULL;
}

static struct report_document document_of(struct paper *p)
{
	const struct lab_cell_paper *r = &p->record->report;
	const char *where = r->place;

	if (r->address != NULL && r->place != NULL)
		where = kept(p, "%s · %s", r->address, r->place);
	else if (r->address != NULL)
		where = r->address;
	return (struct report_document){
		.file = p->record->path,
		.paper = r->paper,
		.title = kept(p, "Draft certificate, cell %s", p->cell->id),
		.author = r->laboratory,
		.subject = "Comparison of a fixed-point cell on the ITS-90",
		.date = date_of(p, p->found->day),
		.head_left = escaped(p, r->laboratory),
		.head_right = escaped(p, where),
		.foot_left = kept(p, "Draft, not issued · cell %s", escaped(p, p->cell->id)),
		.watermark = "DRAFT",
	};
}

bool report_cell_certificate_pdf(const lab_cell_comparison *comparison,
				 const lab_cell_compare *found, GByteArray *to,
				 base_messages *messages)
{
	struct paper p = { .record = comparison, .found = found };
	bool written;

	if (!may_be_made(comparison, found, messages))
		return false;
	g_autoptr(report_fonts) fonts = report_fonts_new(messages);
	if (fonts == NULL)
		return false;
	p.keep = g_string_chunk_new(2048);
	p.cell = LAB_AT(comparison->cells, lab_compared_cell, comparison->report.cell);
	p.value = LAB_AT(found->values, lab_compared_value, comparison->report.cell);
	const struct report_document document = document_of(&p);
	g_autoptr(report_pdf) pdf = report_pdf_new(&document);
	p.pdf = pdf;
	front(&p);
	results(&p);
	comparisons(&p);
	signatures(&p);
	written = report_pdf_write(pdf, fonts, to, messages);
	g_string_chunk_free(p.keep);
	return written;
}
