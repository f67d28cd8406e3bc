#include "app/report/certificate.h"

#include "app/report/certificate_parts.h"
#include "app/report/clauses.h"
#include "app/report/times.h"
#include "app/base/time.h"

#include "firn/tape.h"

#include <string.h>

#define DEFAULT_PROBABILITY 0.95 /* common practice; ILAC-P14:09/2020 says "approximately 95 %" */

double certificate_k(const struct certificate *c, double dof)
{
	if (lab_given(c->result->coverage_factor))
		return c->result->coverage_factor;
	return firn_coverage_factor(lab_or(c->result->coverage_probability, DEFAULT_PROBABILITY),
				    dof);
}

const struct lab_curve *certificate_curve(const struct certificate *c, const char *name)
{
	for (unsigned i = 0; i < c->result->curves->len; i++) {
		const struct lab_curve *curve = LAB_AT(c->result->curves, lab_curve, i);

		if (strcmp(curve->name, name) == 0)
			return curve;
	}
	return NULL;
}

void certificate_heading(struct certificate *c, const char *markup, bool new_page)
{
	report_pdf_add(c->pdf, report_heading(++c->sections, markup, new_page));
}

void certificate_body(struct certificate *c, const char *markup)
{
	report_pdf_add(c->pdf, report_paragraph(markup, &report_font_body, "P", 6.0, 1.0, 0.0));
}

void certificate_small(struct certificate *c, const char *markup)
{
	report_pdf_add(c->pdf, report_paragraph(markup, &report_font_small, "P", 5.25, 1.0, 0.0));
}

/* An accredited laboratory does not state less than it is known to be capable of: ILAC-P14:09/2020.
 */
static bool is_capable(const struct certificate *c)
{
	const double least_K = c->job->limits.capability_K;
	const size_t before = base_messages_count(c->messages, BASE_ERROR);

	if (!lab_given(least_K))
		return true;
	for (unsigned i = 0; i < c->result->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);
		const double U_K = certificate_k(c, v->w.dof) * v->u_w_K;
		char U[REPORT_NUMBER_SIZE], least[REPORT_NUMBER_SIZE];

		if (v->point == LAB_NO_POINT || v->point == LAB_H2O || !(U_K < least_K))
			continue;
		report_uncertainty(1e3 * U_K, REPORT_PLAIN, U);
		report_at_most(1e3 * least_K, 6, REPORT_PLAIN, least);
		base_messages_add(
		    c->messages, BASE_ERROR, c->job->path,
		    lab_calibration_mark(c->job, "limits.capability_mK"),
		    "visit %s: U = %s mK is below the laboratory's capability of %s mK; "
		    "state what the budget leaves out, or the capability that was assessed",
		    v->id, U, least);
	}
	return base_messages_count(c->messages, BASE_ERROR) == before;
}

/* Heads and feet of the pages; texts in `keep`, as long as the document. */
static struct report_document document_of(const struct certificate *c, GStringChunk *keep)
{
	const struct lab_report *report = &c->job->report;
	const struct lab_release *release = &c->job->release;
	struct report_document d = { .file = c->job->path, .paper = report->paper };
	g_autofree char *thermometer = report_markup(c->job->thermometer.id);
	g_autoptr(GString) line = g_string_new(NULL);
	char time[BASE_TIME_SIZE];

	base_time_print(c->result->last_us == BASE_NO_TIME
			    ? BASE_NO_TIME
			    : c->result->last_us + c->job->utc_offset_min * INT64_C(60000000),
			time);
	d.date = "1970-01-01"; /* a draft of readings without times: any date, always the same */
	if (release->given && release->date != NULL)
		d.date = release->date;
	else if (time[0] != '\0')
		d.date = g_string_chunk_insert_len(keep, time, 10);
	d.author = report->laboratory;
	d.subject = "Calibration of a standard platinum resistance thermometer on the ITS-90";
	d.watermark = c->job->simulated ? "SPECIMEN" : release->given ? NULL : "DRAFT";
	g_string_printf(line, "%s%s%s%s", c->job->simulated ? "SPECIMEN: " : "",
			release->given ? "Certificate of calibration " : "Draft certificate",
			release->given ? release->number : ", thermometer ",
			release->given ? "" : c->job->thermometer.id);
	d.title = g_string_chunk_insert(keep, line->str);
	if (report->laboratory != NULL) {
		g_autofree char *markup = report_markup(report->laboratory);

		d.head_left = g_string_chunk_insert(keep, markup);
	}
	if (report->address != NULL || report->place != NULL) {
		const bool both = report->address != NULL && report->place != NULL;
		g_autofree char *text =
		    g_strconcat(report->address != NULL ? report->address : "", both ? " · " : "",
				report->place != NULL ? report->place : "", NULL);
		g_autofree char *markup = report_markup(text);

		d.head_right = g_string_chunk_insert(keep, markup);
	}
	if (release->given) {
		g_autofree char *number = report_markup(release->number);
		g_autofree char *date = report_date_words(release->date);

		g_string_printf(line, "Certificate %s · thermometer %s · issued %s", number,
				thermometer, date);
	} else {
		g_string_printf(line, "Draft, not issued · thermometer %s", thermometer);
	}
	d.foot_left = g_string_chunk_insert(keep, line->str);
	return d;
}

static void end_mark(struct certificate *c)
{
	g_autofree char *number = NULL;
	g_autofree char *markup = NULL;

	if (c->job->release.given) {
		number = report_markup(c->job->release.number);
		markup = g_strdup_printf("— end of certificate %s —", number);
	} else {
		markup = g_strdup("— end of draft —");
	}
	report_pdf_keep_last(c->pdf);
	report_pdf_add(c->pdf, report_paragraph(markup, &report_font_body, "P", 14.0, 1.0, 0.5));
}

static void compose(struct certificate *c)
{
	certificate_front(c);
	certificate_points(c);
	certificate_signatures(c);
	certificate_interpolation(c);
	certificate_plots(c);
	certificate_table(c);
	certificate_use(c);
	end_mark(c);
}

bool report_certificate_pdf(const struct lab_calibration *calibration,
			    const struct lab_calibration_result *result, GByteArray *to,
			    base_messages *messages)
{
	return report_certificate_texts(calibration, result, to, NULL, messages);
}

bool report_certificate_texts(const struct lab_calibration *calibration,
			      const struct lab_calibration_result *result, GByteArray *to,
			      GPtrArray *texts, base_messages *messages)
{
	struct certificate c = { .job = calibration, .result = result, .messages = messages };
	GStringChunk *keep = NULL;

	if (calibration->release.given) {
		const bool complete = report_clauses_met(calibration, result, messages);

		if (!is_capable(&c) || !complete)
			return false;
	}
	g_autoptr(report_fonts) fonts = report_fonts_new(messages);
	if (fonts == NULL)
		return false;
	keep = g_string_chunk_new(1024);
	struct report_document document = document_of(&c, keep);

	document.texts = texts;
	g_autoptr(report_pdf) pdf = report_pdf_new(&document);
	c.pdf = pdf;
	compose(&c);
	const bool written = report_pdf_write(pdf, fonts, to, messages);
	g_string_chunk_free(keep);
	return written;
}
