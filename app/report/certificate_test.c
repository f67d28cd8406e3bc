/* Certificates are written, and read back as a reader gets them: by pdftotext (poppler-utils). */
#define _GNU_SOURCE /* memmem */

#include "app/report/certificate.h"
#include "app/report/example.h"
#include "app/report/rounding.h"

#include <gio/gio.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

/* Keeps a certificate for a person to look at when FIRN_LOOK names a folder. */
static void keep(const char *name, const GByteArray *pdf)
{
	const char *folder = g_getenv("FIRN_LOOK");

	if (folder == NULL)
		return;
	g_autofree char *path = g_build_filename(folder, name, NULL);
	assert_true(g_file_set_contents(path, (const char *)pdf->data, (gssize)pdf->len, NULL));
}

/* Bytes of a certificate; empty when it was refused. */
static GByteArray *write_pdf(const struct lab_calibration *c,
			     const struct lab_calibration_result *r, base_messages *messages)
{
	GByteArray *pdf = g_byte_array_new();

	if (report_certificate_pdf(c, r, pdf, messages))
		assert_memory_equal(pdf->data, "%PDF-1.5", 8);
	else
		assert_int_equal(pdf->len, 0);
	return pdf;
}

static GByteArray *write_good_pdf(const struct lab_calibration *c,
				  const struct lab_calibration_result *r, const char *name)
{
	g_autoptr(base_messages) messages = base_messages_new();
	GByteArray *pdf = write_pdf(c, r, messages);

	base_messages_print(messages, stderr);
	assert_int_equal(base_messages_n(messages), 0);
	assert_true(pdf->len > 10000);
	keep(name, pdf);
	return pdf;
}

/* The words of a PDF with ordinary spaces and hyphens, without the thin spaces of its numbers. */
static char *text_of(const GByteArray *pdf)
{
	g_autoptr(GSubprocess) reader =
	    g_subprocess_new(G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, NULL,
			     "pdftotext", "-enc", "UTF-8", "-raw", "-", "-", NULL);
	g_autoptr(GBytes) in = g_bytes_new_static(pdf->data, pdf->len);
	g_autoptr(GBytes) out = NULL;

	if (reader == NULL)
		skip(); /* not installed here; CI has it */
	assert_true(g_subprocess_communicate(reader, in, NULL, &out, NULL, NULL));
	gsize size;
	const char *bytes = g_bytes_get_data(out, &size);
	GString *text = g_string_new_len(bytes, (gssize)size);
	g_string_replace(text, "\u2009", "", 0);
	g_string_replace(text, "\u00a0", " ", 0);
	g_string_replace(text, "−", "-", 0);
	return g_string_free(text, FALSE);
}

static void assert_says(const char *text, const char *words)
{
	if (strstr(text, words) == NULL)
		fail_msg("not in the certificate: %s\n%s", words, text);
}

static void test_same_bytes(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(GByteArray) one = write_good_pdf(c, r, "release.pdf");
	g_autoptr(GByteArray) two = write_good_pdf(c, r, "release.pdf");

	(void)state;
	assert_int_equal(one->len, two->len);
	assert_memory_equal(one->data, two->data, one->len);
}

/* Every W with its U, each coefficient, each row of the table: character by character what the
   rounding routine makes of the result's own numbers. */
static void test_numbers(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	char a[REPORT_NUMBER_SIZE], b[REPORT_NUMBER_SIZE];

	(void)state;
	r->coverage_factor = 2.0;
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "k2.pdf");
	g_autofree char *text = text_of(pdf);
	for (unsigned i = 0; i < r->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(r->visits, lab_visit_result, i);

		if (v->point == LAB_H2O || v->point == LAB_NO_POINT)
			continue;
		report_pair(v->w.value, 2.0 * v->w.u, REPORT_PLAIN, a, b);
		assert_says(text, a);
		assert_says(text, b);
	}
	for (unsigned i = 0; i < 2; i++) {
		const struct lab_subrange_result *s = LAB_AT(r->subranges, lab_subrange_result, i);

		for (unsigned k = 0; k < 2; k++) {
			const struct lab_coefficient *x =
			    LAB_AT(s->coefficients, lab_coefficient, k);

			report_scaled(x->estimate.value, -4, 4, REPORT_PLAIN, a);
			assert_says(text, a);
		}
	}
	const struct lab_curve *curve = LAB_AT(r->curves, lab_curve, 1);
	for (unsigned i = 4; i < curve->points->len; i++) {
		const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, i);

		report_fixed(p->w, 8, REPORT_PLAIN, a);
		report_fixed(1.0 / p->dw_per_K, 3, REPORT_PLAIN, b);
		assert_says(text, a);
		assert_says(text, b);
	}
	assert_says(text, "R(0.01 °C) = 25.478612 Ω, U = 0.000024 Ω");
	assert_says(text, "the standard uncertainty times k = 2");
}

/* What each certificate has to say by itself. */
static void test_statements(void **state)
{
	static const char *const words[] = {
		"Certificate of calibration",
		"31-018",
		"from -38.8344 °C to 231.928 °C.",
		"Tarn Valley Waterworks, Weir House",
		"measured 23 to 25 September 2031, issued 15 October 2031",
		"Departures: The limit of drift at indium",
		"Before: three hours at 480 °C",
		"standard resistor R-100-3",
		"mercury, triple",
		"form W with your own R(0.01 °C)",
		"The thermometer meets what is asked of it",
		"No use outside a range",
		"leaves out: your own measurement",
		"states no interval for the next calibration",
		"copied only as a",
		"hold for this thermometer alone",
		"visit 4: leakage is not stated",
		"page 1 of 3",
		"page 3 of 3",
		"— end of certificate 31-018 —",
	};
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "release.pdf");
	g_autofree char *text = text_of(pdf);

	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(words); i++)
		assert_says(text, words[i]);
	assert_null(strstr(text, "DRAFT"));
}

static void test_draft(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();

	(void)state;
	c->release = (struct lab_release){ 0 };
	c->report = (struct lab_report){ 0 };
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "draft.pdf");
	g_autofree char *text = text_of(pdf);
	g_auto(GStrv) pages = g_strsplit(text, "\f", -1);
	assert_int_equal(g_strv_length(pages), 4); /* three, and nothing after the last */
	for (int i = 0; i < 3; i++)
		assert_says(pages[i], "Draft, not issued");
	assert_says(text, "Draft certificate of calibration");
	assert_null(strstr(text, "Certificate of calibration"));
	assert_null(strstr(text, "issued,"));
}

static const char *all_texts(const base_messages *messages)
{
	static GString *all;

	if (all == NULL)
		all = g_string_new(NULL);
	g_string_truncate(all, 0);
	for (size_t i = 0; i < base_messages_n(messages); i++)
		g_string_append_printf(all, "%s\n", base_messages_at(messages, i)->text);
	return all->str;
}

static void test_clauses(void **state)
{
	static const char *const paths[] = {
		"report.laboratory",
		"report.address",
		"report.place",
		"release.number",
		"report.customer",
		"report.customer_address",
		"report.method",
		"thermometer.serial",
		"release.date",
		"release.name",
		"report.conditions",
		"report.traceability",
		"the time of each reading",
	};
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	c->release = (struct lab_release){ .given = true };
	c->report = (struct lab_report){ 0 };
	c->thermometer.serial = NULL;
	r->first_us = r->last_us = INT64_MIN;
	g_autoptr(GByteArray) pdf = write_pdf(c, r, messages);
	assert_int_equal(pdf->len, 0);
	assert_int_equal(base_messages_count(messages, BASE_ERROR), G_N_ELEMENTS(paths));
	for (size_t i = 0; i < G_N_ELEMENTS(paths); i++)
		assert_says(all_texts(messages), paths[i]);
	assert_says(all_texts(messages), "ISO/IEC 17025:2017, 7.8.4.1 c");
}

/* Gallium has the least U, 0.18 mK. */
static void test_capability(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	c->limits.capability_K = 1.7e-4;
	g_autoptr(GByteArray) allowed = write_pdf(c, r, messages);
	assert_true(allowed->len > 0);
	c->limits.capability_K = 2.0e-4;
	g_autoptr(GByteArray) refused = write_pdf(c, r, messages);
	assert_int_equal(refused->len, 0);
	assert_int_equal(base_messages_count(messages, BASE_ERROR), 1);
	assert_says(all_texts(messages),
		    "visit 6: U = 0.18 mK is below the laboratory's capability of 0.2 mK");
}

static void test_missing_sign(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	c->report.customer = lab_calibration_text(c, "Waterworks 水 of Tarn Valley");
	g_autoptr(GByteArray) pdf = write_pdf(c, r, messages);
	assert_int_equal(pdf->len, 0);
	assert_int_equal(base_messages_count(messages, BASE_ERROR), 1);
	assert_says(all_texts(messages), "水 (U+6C34)");
	assert_says(all_texts(messages), "Waterworks 水 of Tarn Valley");
}

static void test_scripts(void **state)
{
	static const char name[] = "Łódź & <Ångström> · Θερμόμετρο · Термометр Ґ · Đặng ẞ";
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();

	(void)state;
	c->report.customer = lab_calibration_text(c, name);
	c->report.laboratory = lab_calibration_text(c, "Лабораторія температури Θάλης & Süd");
	c->thermometer.id = lab_calibration_text(c, "Δ-417 «β»");
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "scripts.pdf");
	g_autofree char *text = text_of(pdf);
	assert_says(text, name);
	assert_says(text, "Δ-417 «β»");
}

static void test_letter(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();

	(void)state;
	c->report.paper = lab_calibration_text(c, "Letter");
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "letter.pdf");
	g_autofree char *box = g_strdup("/MediaBox [ 0 0 612 792 ]");
	assert_non_null(memmem(pdf->data, pdf->len, box, strlen(box)));
}

static void test_one_point(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_one_point_result();

	(void)state;
	c->release = (struct lab_release){ 0 };
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "one-point.pdf");
	g_autofree char *text = text_of(pdf);
	assert_says(text, "from 0 °C to 29.7646 °C.");
	assert_says(text, "gallium, melting");
}

/* Nothing measured but water: a draft with what there is. */
static void test_nothing_found(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_one_point_result();

	(void)state;
	c->release = (struct lab_release){ 0 };
	g_array_set_size(r->subranges, 0);
	g_array_set_size(r->curves, 0);
	g_array_remove_index(r->visits, 0);
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "water-alone.pdf");
	g_autofree char *text = text_of(pdf);
	assert_says(text, "1 Results at the fixed points\nR(0.01 °C) = 25.478610 Ω");
}

/* A series three times as long, with names that fill lines: more pages, each numbered, no row lost.
 */
static void test_long(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_long_result();
	g_autoptr(GString) method = g_string_new(NULL);

	(void)state;
	for (int i = 0; i < 120; i++)
		g_string_append_printf(method, "Sentence %d of the method. ", i);
	c->report.method = lab_calibration_text(c, method->str);
	c->report.laboratory =
	    lab_calibration_text(c, "Hollowmere Temperature Laboratory for Fixed Points, "
				    "Resistance and Everything Besides");
	c->report.place = lab_calibration_text(c, "measured in the old pump house of the Tarn "
						  "Valley Waterworks, second basement, room 14");
	g_autoptr(GByteArray) pdf = write_good_pdf(c, r, "long.pdf");
	g_autofree char *text = text_of(pdf);
	assert_says(text, "Sentence 119 of the method.");
	assert_says(text, "second basement, room 14"); /* a long head gets smaller, not cut */
	assert_says(text, "page 1 of 6");
	assert_says(text, "page 5 of 6");
	assert_says(text, "a visit with a name that goes on and on 36");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_same_bytes),    cmocka_unit_test(test_numbers),
		cmocka_unit_test(test_statements),    cmocka_unit_test(test_draft),
		cmocka_unit_test(test_clauses),       cmocka_unit_test(test_capability),
		cmocka_unit_test(test_missing_sign),  cmocka_unit_test(test_scripts),
		cmocka_unit_test(test_letter),        cmocka_unit_test(test_one_point),
		cmocka_unit_test(test_nothing_found), cmocka_unit_test(test_long),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
