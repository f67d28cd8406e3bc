/* The first page of a certificate: what was calibrated, for whom, when, how. */
#include "app/report/certificate_parts.h"

#include "app/report/equipment.h"
#include "app/report/times.h"
#include "app/report/words.h"

#include <string.h>

/* Appends a text of the job as a sentence of its own. */
static void add_sentence(GString *to, const char *before, const char *text)
{
	if (text == NULL)
		return;
	g_autofree char *markup = report_markup(text);
	const size_t n = strlen(markup);

	if (to->len > 0)
		g_string_append_c(to, ' ');
	g_string_append(to, before);
	g_string_append(to, markup);
	if (n > 0 && strchr(".!?", markup[n - 1]) == NULL)
		g_string_append_c(to, '.');
}

static void define(struct certificate *c, const char *label, const char *markup)
{
	if (markup != NULL && markup[0] != '\0')
		report_pdf_add(c->pdf,
			       report_definition(label, markup, c->defined++ == 0 ? 16.0 : 5.25));
}

static void define_text(struct certificate *c, const char *label, const char *text)
{
	g_autofree char *markup = text == NULL ? NULL : report_markup(text);

	define(c, label, markup);
}

static void find_range(const struct certificate *c, double *ret_low_K, double *ret_high_K)
{
	*ret_low_K = INFINITY;
	*ret_high_K = -INFINITY;
	for (unsigned i = 0; i < c->result->subranges->len; i++) {
		const struct lab_subrange_result *s =
		    LAB_AT(c->result->subranges, lab_subrange_result, i);

		if (!s->certificate)
			continue;
		*ret_low_K = fmin(*ret_low_K, s->low_K);
		*ret_high_K = fmax(*ret_high_K, s->high_K);
	}
}

static void title(struct certificate *c)
{
	const bool released = c->job->release.given;
	g_autofree char *number = released ? report_markup(c->job->release.number) : NULL;
	g_autofree char *id = report_markup(c->job->thermometer.id);
	g_autofree char *range = NULL;
	double low_K, high_K;

	report_pdf_add(c->pdf, report_title(c->job->simulated ? "SPECIMEN of a certificate"
					    : released        ? "Certificate of calibration"
							      : "Draft certificate of calibration",
					    number));
	find_range(c, &low_K, &high_K);
	if (low_K < high_K)
		range = report_celsius_range(low_K, high_K, REPORT_MINUS);
	g_autofree char *what = g_strdup_printf(
	    "Standard platinum resistance thermometer %s, calibrated on the International "
	    "Temperature Scale of 1990%s%s.",
	    id, range != NULL ? " from " : "", range != NULL ? range : "");
	report_pdf_add(c->pdf, report_paragraph(what, &report_font_subtitle, "P", 4.0, 0.81, 0.0));
}

static void item(struct certificate *c)
{
	const struct lab_thermometer *t = &c->job->thermometer;
	const char *words = report_sensor_words(t->sensor);
	g_autoptr(GString) text = g_string_new(NULL);
	char ohm[REPORT_NUMBER_SIZE];

	g_string_printf(text, "%c%s", g_ascii_toupper(words[0]), words + 1);
	if (lab_given(t->nominal_ohm)) {
		report_at_most(t->nominal_ohm, 6, REPORT_MINUS, ohm);
		g_string_append_printf(text, ", nominally %s\u00a0Ω", ohm);
	}
	if (t->maker != NULL)
		g_string_append_printf(text, ", made by %s", t->maker);
	if (t->type != NULL)
		g_string_append_printf(text, ", %s", t->type);
	if (t->serial != NULL)
		g_string_append_printf(text, "; serial number %s", t->serial);
	if (t->serial == NULL || strcmp(t->serial, t->id) != 0)
		g_string_append_printf(text, "; here called %s", t->id);
	g_autoptr(GString) markup = g_string_new(NULL);
	add_sentence(markup, "", text->str);
	add_sentence(markup, "", t->condition);
	define(c, "Item", markup->str);
}

static void customer(struct certificate *c)
{
	const struct lab_report *report = &c->job->report;
	g_autofree char *both = NULL;

	if (report->customer == NULL)
		return;
	both = g_strconcat(report->customer, report->customer_address != NULL ? ", " : NULL,
			   report->customer_address, NULL);
	define_text(c, "For", both);
}

static void add_date(GString *to, const char *what, const char *date)
{
	if (date != NULL)
		g_string_append_printf(to, "%s%s %s", to->len > 0 ? ", " : "", what, date);
}

static void dates(struct certificate *c)
{
	const struct lab_report *report = &c->job->report;
	const struct lab_release *release = &c->job->release;
	g_autofree char *received =
	    report->received != NULL ? report_date_words(report->received) : NULL;
	g_autofree char *measured =
	    report_period_words(c->result->first_us, c->result->last_us, c->job->utc_offset_min);
	g_autofree char *issued =
	    release->given && release->date != NULL ? report_date_words(release->date) : NULL;
	g_autoptr(GString) text = g_string_new(NULL);

	add_date(text, "received", received);
	add_date(text, "measured", measured);
	add_date(text, "issued", issued);
	define_text(c, "Dates", text->str);
}

static void method(struct certificate *c)
{
	const struct lab_report *report = &c->job->report;
	g_autoptr(GString) markup = g_string_new(NULL);

	add_sentence(markup, "", report->method);
	add_sentence(markup, "Before: ", report->stabilisation);
	add_sentence(markup, "Departures: ", report->departures);
	define(c, "Method", markup->str);
}

/* What was corrected, with the points where it was. */
static void corrections(struct certificate *c)
{
	static const struct {
		const char *name, *words;
	} kinds[] = {
		{ "head", "head of liquid" },
		{ "pressure", "gas pressure" },
		{ "isotopes", "isotopes" },
		{ "impurities", "impurities" },
		{ "cell_certificate", "correction of the cell's certificate" },
		{ "mantle_age", "age of the mantle" },
	};
	g_autoptr(GString) text = g_string_new(NULL);
	bool zero_power = false, resistor = false;

	for (size_t k = 0; k < G_N_ELEMENTS(kinds); k++) {
		bool seen[LAB_POINTS] = { false };
		int n = 0;

		for (unsigned i = 0; i < c->result->visits->len; i++) {
			const struct lab_visit_result *v =
			    LAB_AT(c->result->visits, lab_visit_result, i);

			for (unsigned j = 0; v->corrections != NULL && j < v->corrections->len;
			     j++) {
				const char *name = LAB_AT(v->corrections, lab_correction, j)->name;

				if (strcmp(name, kinds[k].name) != 0 || v->point == LAB_NO_POINT ||
				    seen[v->point])
					continue;
				seen[v->point] = true;
				g_string_append(text, n > 0 ? ", " : text->len > 0 ? "; " : "");
				if (n++ == 0)
					g_string_append_printf(text, "%s (", kinds[k].words);
				g_string_append(text, report_point_sign(v->point, true));
			}
		}
		if (n > 0)
			g_string_append_c(text, ')');
	}
	for (unsigned i = 0; i < c->result->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);

		zero_power |= v->zero_power;
		resistor |= lab_given(v->rs_ohm.value);
	}
	if (zero_power)
		g_string_append_printf(text, "%sheating by the current", text->len > 0 ? "; " : "");
	if (resistor)
		g_string_append_printf(text, "%stemperature of the standard resistor",
				       text->len > 0 ? "; " : "");
	define(c, "Corrections", text->str);
}

void certificate_front(struct certificate *c)
{
	const struct lab_report *report = &c->job->report;
	g_autofree char *replaces =
	    report->replaces == NULL ? NULL : g_strdup_printf("certificate %s", report->replaces);
	g_autofree char *traceability = report->traceability != NULL
					    ? g_strdup(report->traceability)
					    : report_equipment_traceability(c->job);

	title(c);
	define_text(c, "Replaces", replaces);
	item(c);
	customer(c);
	dates(c);
	method(c);
	corrections(c);
	define_text(c, "Conditions", report->conditions);
	define_text(c, "Traceability", traceability);
}

static void add_signature(struct report_signature *to, size_t *n, const char *caption, char *lines)
{
	if (lines != NULL)
		to[(*n)++] = (struct report_signature){ caption, lines };
}

void certificate_signatures(struct certificate *c)
{
	const struct lab_report *report = &c->job->report;
	const struct lab_release *release = &c->job->release;
	g_autofree char *measured = report->measured_by ? report_markup(report->measured_by) : NULL;
	g_autofree char *checked = report->checked_by ? report_markup(report->checked_by) : NULL;
	g_autofree char *issued = NULL, *caption = NULL;
	struct report_signature signatures[3];
	size_t n = 0;

	if (release->given) {
		g_autofree char *who =
		    g_strconcat(release->name, release->function != NULL ? ", " : NULL,
				release->function, NULL);
		g_autofree char *date = report_date_words(release->date);

		issued = report_markup(who);
		caption = g_strdup_printf("issued, %s", date);
	}
	add_signature(signatures, &n, "measured", measured);
	add_signature(signatures, &n, "checked", checked);
	add_signature(signatures, &n, caption, issued);
	if (n > 0)
		report_pdf_add(c->pdf, report_signatures(n, signatures));
}
