/* Pictures: what stands in the SVG, that paper comes out the same twice, and numbers on axes. */
#include "app/report/picture.h"
#include "app/report/picture_axis.h"

#include "tests/support/near.h"

#include <math.h>

static report_picture *small(void)
{
	report_picture *picture = report_picture_new(100.0, 50.0, "A <test> & more");
	const struct report_pen ice = { .fill = REPORT_ICE,
					.texture = REPORT_HATCHED_ICE,
					.line = REPORT_ICE_LINE,
					.dash = REPORT_DASHED,
					.pale = 0.5 };
	const struct report_pen line = { .line = REPORT_INK, .width = 2.0 };

	report_picture_rect(picture, 10.0, 10.0, 20.0, 30.0, &ice);
	report_picture_line(picture, 0.0, 0.0);
	report_picture_line(picture, 1.0 / 3.0, -1e-9);
	report_picture_line(picture, (double)NAN, 3.0);
	report_picture_line(picture, 5.0, 6.0);
	report_picture_draw(picture, &line);
	report_picture_text(picture, 50.0, 20.0, 1.0, 13.0, REPORT_TELL, REPORT_INK, "5 < 6 µK");
	return picture;
}

static void test_svg(void **state)
{
	static const char *const wanted[] = {
		"<title>A &lt;test&gt; &amp; more</title>",
		"<path d=\"M10 10L30 10L30 40L10 40Z\" fill=\"#AFD8E4\" stroke=\"#2A7C98\"",
		" stroke-width=\"1\" stroke-dasharray=\"4 3\" opacity=\"0.5\"/>",
		"fill=\"url(#texture-1)\" opacity=\"0.5\"/>",
		/* to a hundredth of a px, no minus before zero, and a gap where a point is none */
		"<path d=\"M0 0L0.33 0M5 6\" fill=\"none\" stroke=\"#12242C\" stroke-width=\"2\"/>",
		"text-anchor=\"end\" fill=\"#12242C\">5 &lt; 6 µK</text>",
	};
	g_autoptr(report_picture) picture = small();
	g_autoptr(GString) svg = g_string_new(NULL);

	(void)state;
	report_picture_svg(picture, svg);
	for (size_t i = 0; i < G_N_ELEMENTS(wanted); i++)
		if (strstr(svg->str, wanted[i]) == NULL)
			fail_msg("%s\nis not in\n%s", wanted[i], svg->str);
}

static void test_pdf(void **state)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(report_fonts) fonts = report_fonts_new(messages);
	g_autoptr(report_picture) picture = small();
	g_autoptr(GByteArray) first = g_byte_array_new(), second = g_byte_array_new();

	(void)state;
	assert_non_null(fonts);
	assert_true(report_picture_pdf(picture, fonts, "a.pdf", first, messages));
	assert_true(report_picture_pdf(picture, fonts, "a.pdf", second, messages));
	assert_true(first->len > 500 && first->len == second->len);
	assert_memory_equal(first->data, second->data, first->len);
	assert_null(g_strstr_len((const char *)first->data, first->len, "CreationDate"));

	/* A sign that the font lacks is told, and nothing is made. */
	report_picture_text(picture, 0.0, 0.0, 0.0, 13.0, REPORT_TELL, REPORT_INK, "\u6c34");
	assert_false(report_picture_pdf(picture, fonts, "a.pdf", second, messages));
	assert_true(base_messages_n(messages) > 0);
	assert_true(second->len == first->len);
}

static void check_ticks(struct report_axis axis, int most, size_t n, const double *want)
{
	g_autoptr(GArray) ticks = report_axis_ticks(&axis, most);

	assert_int_equal(ticks->len, n);
	for (size_t i = 0; i < n; i++)
		assert_near(g_array_index(ticks, double, i), want[i], 1e-12 * fabs(want[i]));
	assert_near(report_axis_at(&axis, axis.low), axis.from, 1e-9);
	assert_near(report_axis_at(&axis, axis.high), axis.to, 1e-9);
}

static void test_axes(void **state)
{
	const double even[] = { -0.2, 0.0, 0.2, 0.4, 0.6 };
	const double decades[] = { 0.02, 0.05, 0.1, 0.2, 0.5, 1.0 };
	const double flat[] = { 3.0, 4.0, 5.0, 6.0 };

	(void)state;
	check_ticks((struct report_axis){ -0.11, 0.55, 0.0, 100.0, false }, 5, 5, even);
	check_ticks((struct report_axis){ 0.03, 0.7, 100.0, 0.0, true }, 5, 6, decades);
	check_ticks((struct report_axis){ 3.0, 3.0, 0.0, 100.0, false }, 3, 4, flat);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_svg),
		cmocka_unit_test(test_pdf),
		cmocka_unit_test(test_axes),
	};

	return cmocka_run_group_tests_name("pictures", tests, NULL, NULL);
}
