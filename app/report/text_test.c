/* Text for people: columns, wrapping, and that the right number stands beside the right word. */
#include "app/report/columns.h"
#include "app/report/example.h"
#include "app/report/formula.h"
#include "app/report/text.h"
#include "app/report/times.h"
#include "app/report/words.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

static void test_columns(void **state)
{
	report_columns *columns = report_columns_new();
	g_autoptr(GString) to = g_string_new(NULL);

	(void)state;
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "visit");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "W");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "n");
	report_columns_cell(columns, "Ω é"); /* e with a combining acute accent */
	report_columns_cell(columns, "−1.25");
	report_columns_cell(columns, "7");
	report_columns_cell(columns, "水");
	report_columns_cell(columns, "300");
	report_columns_cell(columns, "12");
	report_columns_print(columns, to);
	assert_string_equal(to->str, "  visit       W   n\n"
				     "  Ω é     −1.25   7\n"
				     "  水     300     12\n");
}

/* No line is wider than the terminal, whatever names are given; numbers stay whole. */
static void test_narrow(void **state)
{
	report_columns *columns = report_columns_new();
	g_autoptr(GString) to = g_string_new(NULL);
	g_autofree char *name = g_strnfill(300, 'x');

	(void)state;
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "name");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "other");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "value");
	report_columns_cell(columns, name);
	report_columns_cell(columns, name);
	report_columns_cell(columns, "123.456789");
	report_columns_print(columns, to);
	g_auto(GStrv) lines = g_strsplit(to->str, "\n", -1);
	for (size_t i = 0; lines[i] != NULL; i++)
		assert_true(report_text_width(lines[i]) <= REPORT_TEXT_WIDTH);
	assert_non_null(strstr(to->str, "123.456789"));
	assert_non_null(strstr(to->str, "x…"));
}

static void test_wrap(void **state)
{
	g_autoptr(GString) text = g_string_new(NULL), to = g_string_new(NULL);

	(void)state;
	for (int i = 0; i < 60; i++)
		g_string_append_printf(text, "%sword%d", i > 0 ? " " : "", i);
	report_wrap(to, text->str, 4);
	g_auto(GStrv) lines = g_strsplit(to->str, "\n", -1);
	assert_int_equal(g_strv_length(lines), 6);
	for (size_t i = 0; lines[i] != NULL; i++)
		assert_true(report_text_width(lines[i]) <= REPORT_TEXT_WIDTH);
	assert_true(g_str_has_prefix(lines[1], "    word"));
}

static void test_words(void **state)
{
	char text[REPORT_NUMBER_SIZE];
	g_autofree char *small = report_kelvin_words(-1.8432e-4, 1.2e-6, REPORT_MINUS);
	g_autofree char *large = report_kelvin_words(2.104e-3, NAN, REPORT_MINUS);
	g_autofree char *nothing = report_kelvin_words(0.0, NAN, REPORT_MINUS);
	g_autofree char *mK = report_millikelvin(2.1e-5, NAN, REPORT_MINUS);

	(void)state;
	assert_string_equal(small, "−184.3 µK");
	assert_string_equal(large, "2.104 mK");
	assert_string_equal(nothing, "0.0 µK");
	assert_string_equal(mK, "0.021\u00a0mK");
	report_celsius(234.3156, REPORT_MINUS, text);
	assert_string_equal(text, "−38.8344");
	/* ITS-90, Table 1: gallium melts at 302.9146 K; its triple point lies 2.0 mK higher. */
	assert_string_equal(report_point_words(LAB_GA, 302.9146), "gallium, melting");
	assert_string_equal(report_point_words(LAB_GA, 302.9166), "gallium, triple");
}

static void test_dates(void **state)
{
	static const struct {
		int64_t first_s, last_s;
		const char *want;
	} cases[] = {
		{ 0, 3600, "1 January 1970" },
		{ 0, 86400, "1 to 2 January 1970" },
		{ 0, 40 * 86400, "1 January to 10 February 1970" },
		{ -1, 0, "31 December 1969 to 1 January 1970" },
	};
	g_autofree char *day = report_date_words("2031-10-05"), *other = report_date_words("soon");

	(void)state;
	assert_string_equal(day, "5 October 2031");
	assert_string_equal(other, "soon");
	assert_null(report_period_words(INT64_MIN, 0));
	for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
		g_autofree char *got =
		    report_period_words(cases[i].first_s * 1000000, cases[i].last_s * 1000000);

		assert_string_equal(got, cases[i].want);
	}
}

static void test_formula(void **state)
{
	g_autofree char *got =
	    report_formula_markup("deltaW = a*(W - 1) + c1*ln(W)^2 + d*(W - W_Al)^2");

	(void)state;
	assert_string_equal(got, "<i>W</i> − <i>W</i><sub>r</sub> = <i>a</i>(<i>W</i> − 1) + "
				 "<i>c</i><sub>1</sub>(ln\u2009<i>W</i>)<sup>2</sup> + "
				 "<i>d</i>(<i>W</i> − <i>W</i><sub>Al</sub>)<sup>2</sup>");
}

static void assert_says(const GString *text, const char *words)
{
	if (strstr(text->str, words) == NULL)
		fail_msg("not said: %s\n%s", words, text->str);
}

static void test_calibration(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(GString) to = g_string_new(NULL);

	(void)state;
	report_calibration_text(c, r, to);
	assert_true(g_str_has_prefix(to->str,
				     "S-109 is calibrated from −38.8344 °C to 231.928 °C in 2 "
				     "subranges and meets what is asked of it.\n"));
	assert_says(to, "head              193.5 µK colder: the sensor lies deeper; u = 2.0 µK\n");
	assert_says(to, "1 mA              0.4824466227(20), 12 readings\n");
	assert_says(to, "not included      leakage\n");
	assert_says(to, "In at visit 4, not used");
	/* 373.12412 K; calibration only 0.231 mK, in use 0.307 mK, never the other way round. */
	assert_says(to, "u calibration only  u in use");
	assert_says(to, "99.97412                0.23      0.31");
	assert_says(to, "u, calibration only, leaves out\n  – your own measurement");
	assert_says(to, "To be known\n  – visit 4: leakage");
	g_auto(GStrv) lines = g_strsplit(to->str, "\n", -1);
	for (size_t i = 0; lines[i] != NULL; i++) {
		if (report_text_width(lines[i]) > REPORT_TEXT_WIDTH)
			fail_msg("too wide: %s", lines[i]);
	}
	r->accepted = false;
	g_string_truncate(to, 0);
	report_calibration_text(c, r, to);
	assert_says(to, ", but does not meet all that is");
}

static void test_evaluation(void **state)
{
	g_autoptr(lab_model) model = lab_model_new();
	g_autoptr(lab_evaluation) e = lab_evaluation_new();
	struct lab_evaluated x = {
		.value = 0.24990001, .u = 3.2e-4, .dof = 4.2, .k = 2.78, .U = 8.896e-4
	};
	struct lab_budget_line line = {
		.value = 4.999, .u = 0.0032, .dof = 4.0, .sensitivity = 0.0999, .contribution = 1e-4
	};
	g_autoptr(GString) to = g_string_new(NULL);

	(void)state;
	x.name = g_string_chunk_insert(e->text, "P");
	x.unit = g_string_chunk_insert(e->text, "W");
	x.budget = g_array_new(FALSE, TRUE, sizeof line);
	line.input = g_string_chunk_insert(e->text, "small");
	g_array_append_val(x.budget, line);
	line.input = g_string_chunk_insert(e->text, "large");
	line.contribution = -3.04e-4;
	line.dof = INFINITY;
	g_array_append_val(x.budget, line);
	g_array_append_val(e->outputs, x);
	e->coverage_probability = 0.95;
	report_evaluation_text(model, e, to);
	assert_says(
	    to, "P = 0.24990 W, U = 0.00089 W with k = 2.78 for 95 %; u = 0.00032 W, 4.2 degrees "
		"of freedom.");
	assert_true(strstr(to->str, "large") < strstr(to->str, "small"));
	assert_says(to, "90.2\n"); /* (3.04/3.2)^2 */
	assert_says(to, "∞");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_columns),     cmocka_unit_test(test_narrow),
		cmocka_unit_test(test_wrap),        cmocka_unit_test(test_words),
		cmocka_unit_test(test_dates),       cmocka_unit_test(test_formula),
		cmocka_unit_test(test_calibration), cmocka_unit_test(test_evaluation),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
