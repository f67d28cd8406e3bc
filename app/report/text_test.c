/* Text for people: columns, wrapping, and that the right number stands beside the right word. */
#include "app/report/columns.h"
#include "app/report/equipment.h"
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
		int offset_min;
		const char *want;
	} cases[] = {
		{ 0, 3600, 0, "1 January 1970" },
		{ 0, 86400, 0, "1 to 2 January 1970" },
		{ 0, 40 * 86400, 0, "1 January to 10 February 1970" },
		{ -1, 0, 0, "31 December 1969 to 1 January 1970" },
		/* 06:00 and 23:00 of one day at +10:00 are two days in UTC; so at -05:00, one hour
		 */
		{ -4 * 3600, 13 * 3600, 600, "1 January 1970" },
		{ 0, 3600, -300, "31 December 1969" },
		{ 4 * 3600, 6 * 3600, -300, "31 December 1969 to 1 January 1970" },
	};
	g_autofree char *day = report_date_words("2031-10-05"), *other = report_date_words("soon");

	(void)state;
	assert_string_equal(day, "5 October 2031");
	assert_string_equal(other, "soon");
	assert_null(report_period_words(INT64_MIN, 0, 600));
	for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
		g_autofree char *got = report_period_words(
		    cases[i].first_s * 1000000, cases[i].last_s * 1000000, cases[i].offset_min);

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

/* What calc says beside its number, and what is said of an u that is 0 or was never stated. */
static void test_corrections(void **state)
{
	static const struct {
		double value_K, u_K;
		const char *words, *want;
	} cases[] = {
		{ -1.935e-4, 2e-6, "193.5 µK colder: a cause",
		  "193.5 µK colder: a cause; u = 2.0 µK\n" },
		{ 3.85e-4, NAN, "385.0 µK warmer: a cause",
		  "385.0 µK warmer: a cause; no u stated\n" },
		{ 3.85e-4, 0.0, "385.0 µK warmer: a cause", "385.0 µK warmer: a cause; u = 0\n" },
		{ 0.0, 6e-6, "no effect", "no effect; u = 6.0 µK\n" },
		{ 0.0, NAN, "no effect", "no effect; no u stated\n" },
		{ -2e-6, 0.0, NULL, "2.0 µK colder; u = 0\n" },
	};
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	struct lab_visit_result *v = LAB_AT(r->visits, lab_visit_result, 0);

	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
		g_autoptr(GString) to = g_string_new(NULL);
		struct lab_correction *x = LAB_AT(v->corrections, lab_correction, 0);

		x->value_K = cases[i].value_K;
		x->u_K = cases[i].u_K;
		x->words = lab_result_text(r, cases[i].words);
		report_calibration_text(c, r, to);
		g_autofree char *want = g_strdup_printf("    %-17s %s", x->name, cases[i].want);
		assert_says(to, want);
	}
}

static void test_what_was_used(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	struct lab_subrange_result *s = LAB_AT(r->subranges, lab_subrange_result, 1);
	struct lab_visit_result *v = LAB_AT(r->visits, lab_visit_result, 1);
	g_autoptr(GString) to = g_string_new(NULL);

	(void)state;
	s->certificate = false;
	v->tpw = lab_result_text(r, "1 and 3");
	LAB_AT(r->acceptance, lab_acceptance, 0)->U = LAB_NOT_GIVEN;
	LAB_AT(r->acceptance, lab_acceptance, 0)->text = lab_result_text(r, "a sentence: met");
	LAB_AT(r->acceptance, lab_acceptance, 0)->source = lab_result_text(r, "a source");
	report_calibration_text(c, r, to);
	assert_says(to, "\nEquipment\n  resistor R-100-3, certificate 30-2277\n  bridge B2\n");
	assert_says(to, "divided by R(TPW) of visits 1 and 3\n");
	assert_says(to, "divided by R(TPW) of visit 9\n");
	assert_says(to, "  H2O_Sn by least squares, not the ITS-90 interpolation, ");
	assert_says(to, "  a sentence: met (a source)\n");
}

/* Only what a visit was read with, and has a certificate, carries the result. */
static void test_traceability(void **state)
{
	g_autoptr(lab_calibration) c = example_calibration();
	struct lab_cell *cell = lab_add_cell(c);
	struct lab_resistor *other = lab_add_resistor(c);

	(void)state;
	other->id = lab_calibration_text(c, "not used");
	other->certificate = lab_calibration_text(c, "30-1");
	cell->id = lab_calibration_text(c, "W3");
	cell->point = LAB_H2O;
	cell->certificate.number = lab_calibration_text(c, "29-1140");
	LAB_AT(c->visits, lab_visit, 0)->cell = 0;
	g_autofree char *got = report_equipment_traceability(c);
	assert_string_equal(got, "Through standard resistor R-100-3, certificate 30-2277; cell W3 "
				 "(H2O), certificate 29-1140.");
	LAB_AT(c->resistors, lab_resistor, 0)->certificate = NULL;
	cell->certificate.number = NULL;
	assert_null(report_equipment_traceability(c));
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

/* Sizes that a fixed point can't show, and whose squares no double holds. */
static void test_evaluation_of_any_size(void **state)
{
	g_autoptr(lab_model) model = lab_model_new();
	g_autoptr(lab_evaluation) e = lab_evaluation_new();
	struct lab_evaluated small = {
		.value = -4.14365096e-21, .u = 1.38e-26, .dof = INFINITY, .k = 1.96, .U = 2.7e-26
	};
	struct lab_evaluated large = {
		.value = 6.0024e162, .u = 3.0e160, .dof = INFINITY, .k = 1.96, .U = 5.88e160
	};
	struct lab_budget_line line = {
		.value = 2e160, .u = 1e158, .dof = 4.0, .sensitivity = 300.0, .contribution = 3e160
	};
	g_autoptr(GString) to = g_string_new(NULL);

	(void)state;
	small.name = large.name = line.input = g_string_chunk_insert(e->text, "E");
	large.budget = g_array_new(FALSE, TRUE, sizeof line);
	g_array_append_val(large.budget, line);
	g_array_append_val(e->outputs, small);
	g_array_append_val(e->outputs, large);
	e->correlations = g_new0(double, 4);
	report_evaluation_text(model, e, to);
	assert_says(to, "E = −4.143651e-21, U = 2.7e-26 with k = 1.96; u = 1.4e-26");
	assert_says(to, "E = 6.002e+162, U = 5.9e+160 with k = 1.96; u = 3.0e+160");
	assert_says(to, "2.000e+160  1.0e+158");
	assert_says(to, "100.0\n");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_columns),       cmocka_unit_test(test_narrow),
		cmocka_unit_test(test_wrap),          cmocka_unit_test(test_words),
		cmocka_unit_test(test_dates),         cmocka_unit_test(test_formula),
		cmocka_unit_test(test_calibration),   cmocka_unit_test(test_corrections),
		cmocka_unit_test(test_what_was_used), cmocka_unit_test(test_traceability),
		cmocka_unit_test(test_evaluation),    cmocka_unit_test(test_evaluation_of_any_size),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
