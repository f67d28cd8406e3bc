/* Certificates are written, and read back by way of their bytes. */
#include "app/report/certificate.h"
#include "app/report/example.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

/* Writes one for a person to look at when FIRN_LOOK names a folder. */
static void keep(const char *name, const GByteArray *pdf)
{
	const char *folder = g_getenv("FIRN_LOOK");

	if (folder == NULL)
		return;
	g_autofree char *path = g_build_filename(folder, name, NULL);
	assert_true(g_file_set_contents(path, (const char *)pdf->data, (gssize)pdf->len, NULL));
}

static GByteArray *write_pdf(const struct lab_calibration *c,
			     const struct lab_calibration_result *r, base_messages *messages)
{
	GByteArray *pdf = g_byte_array_new();
	const bool written = report_certificate_pdf(c, r, pdf, messages);

	if (!written)
		assert_int_equal(pdf->len, 0);
	else
		assert_memory_equal(pdf->data, "%PDF-1.5", 8);
	return pdf;
}

static void test_same_bytes(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GByteArray) one = write_pdf(c, r, messages), two = write_pdf(c, r, messages);

	(void)state;
	base_messages_print(messages, stderr);
	assert_true(one->len > 10000);
	assert_int_equal(one->len, two->len);
	assert_memory_equal(one->data, two->data, one->len);
	keep("release.pdf", one);
}

static void test_draft(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	c->release = (struct lab_release){ 0 };
	c->report = (struct lab_report){ 0 };
	g_autoptr(GByteArray) pdf = write_pdf(c, r, messages);
	base_messages_print(messages, stderr);
	assert_true(pdf->len > 10000);
	keep("draft.pdf", pdf);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_same_bytes),
		cmocka_unit_test(test_draft),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
