#include "app/report/rounding.h"

#include <glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const struct concise_case {
	double x, u;
	const char *want;
} concise_cases[] = {
	{ 100.02147, 35e-5, "100.02147(35)" }, /* JCGM 100:2008, 7.2.2 */
	{ 10.05762, 0.027, "10.058(27)" },     /* JCGM 100:2008, 7.2.6 */
	/* JCGM 100:2008, 7.2.6 lets 10.47 become 11 and wants 28 for 28.05. EA-4/02 rounds up only
	   where more than 5 % would be lost, and 10.47 to 10 loses 4.5 %. */
	{ 100.0, 10.47, "100(10)" },
	{ 100.0, 28.05, "100(28)" },
	{ 25.5, 9.96e-6, "25.500000(10)" }, /* a carry: one place less */
	{ 25.5, 9.94e-6, "25.5000000(99)" },
	{ 101327.0, 120.0, "101330(120)" },
	{ 101325.0, 995.0, "101300(1000)" }, /* 995 is halfway from 990 to 1000: to even */
	{ 101325.0, 996.0, "101300(1000)" },
	{ 5.0, 1.5, "5.0(1.5)" },
	{ 0.0, 0.5, "0.00(50)" },
	{ -0.001, 0.5, "0.00(50)" },
	{ -2.5e-4, 2.4e-6, "-0.0002500(24)" },
	{ 273.16, 0.0, "273.16" }, /* exact by definition */
	{ 1e-3, 0.0, "0.001" },
	{ 101325.0, 0.0, "101325" },
	{ 1.5, (double)NAN, "1.5" },
	{ (double)NAN, 0.1, "\xe2\x80\x93(10)" },
	/* Constants of the SI, exact since 2019 (SI brochure, 9th edition, table 1). */
	{ 1.380649e-23, 0.0, "1.380649e-23" },
	{ 6.02214076e23, 0.0, "6.02214076e+23" },
	/* k and N_A of CODATA 2014, G of CODATA 2018, in the notation used there; from memory */
	{ 1.38064852e-23, 7.9e-30, "1.38064852(79)e-23" },
	{ 6.022140857e23, 7.4e15, "6.022140857(74)e+23" },
	{ 6.67430e-11, 1.5e-15, "0.0000000000667430(15)" },
	{ 2e160, 1e158, "2.000(10)e+160" },
	{ 2e160, 1.5e160, "2.0(1.5)e+160" },
	{ 3e-24, 1.2e-23, "0.3(1.2)e-23" },
	{ 9.6e-24, 1.2e-23, "1.0(1.2)e-23" },
	{ -6e-25, 1.2e-23, "-0.1(1.2)e-23" },
	{ -5e-26, 1.2e-23, "0.0(1.2)e-23" },
	{ 0.0, 1.2e-23, "0.0(1.2)e-23" },
	{ 9.9996e-20, 1.0e-23, "9.9996(10)e-20" },
	{ 9.99996e-20, 1.0e-23, "1.00000(10)e-19" }, /* a carry in x */
	{ 1.0, 9.96e-21, "1e+00(1.0e-20)" },
	{ 1.5, 1.2e-25, "1.5e+00(1.2e-25)" }, /* beyond what a double holds */
	{ 2.5e-7, 0.0, "2.5e-07" },
	{ 1.23456789012345e-5, 0.0, "0.0000123456789012345" },
};

static void test_concise(void **state)
{
	(void)state;
	for (size_t i = 0; i < COUNT(concise_cases); i++) {
		char text[REPORT_NUMBER_SIZE];

		report_concise(concise_cases[i].x, concise_cases[i].u, REPORT_PLAIN, text);
		assert_string_equal(text, concise_cases[i].want);
	}
}

/* 0.125, 0.375 and 2.5 are exact in binary, so they lie halfway; 0.15 lies below it, by its binary
   value 0.1499999999999999944, and 2.675 too. Rounded twice (2.4949 by way of 2.5) is wrong. */
static void test_half_to_even(void **state)
{
	static const struct {
		double x;
		int places;
		const char *want;
	} cases[] = {
		{ 0.125, 2, "0.12" },   { 0.375, 2, "0.38" }, { 2.5, 0, "2" },
		{ 0.15, 1, "0.1" },     { 2.675, 2, "2.67" }, { 2.4949, 0, "2" },
		{ 25.0, -1, "20" },     { 35.0, -1, "40" },   { 45.1, -1, "50" },
		{ -25.0, -1, "-20" },   { 3.0, -1, "0" },     { -3.0, -1, "0" },
		{ 1250.0, -2, "1200" },
	};
	char text[REPORT_NUMBER_SIZE];

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		report_fixed(cases[i].x, cases[i].places, REPORT_PLAIN, text);
		assert_string_equal(text, cases[i].want);
	}
}

static void test_style(void **state)
{
	char x[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

	(void)state;
	report_pair(-1234.567891, 1.23e-5, REPORT_PRINT, x, u);
	assert_string_equal(x, "−1234.567"
			       "\xe2\x80\x89"
			       "891");
	assert_string_equal(u, "0.000"
			       "\xe2\x80\x89"
			       "012");
	report_pair(1.1181072134, 7.04e-7, REPORT_PRINT, x, u);
	assert_string_equal(x, "1.118"
			       "\xe2\x80\x89"
			       "107"
			       "\xe2\x80\x89"
			       "21");
	assert_string_equal(u, "0.000"
			       "\xe2\x80\x89"
			       "000"
			       "\xe2\x80\x89"
			       "70");
	report_at_most(429.7485 - 273.15, 4, REPORT_PLAIN, x);
	assert_string_equal(x, "156.5985");
	report_at_most(-0.00001, 4, REPORT_PLAIN, x);
	assert_string_equal(x, "0");
	report_at_most(300.0, 4, REPORT_PLAIN, x);
	assert_string_equal(x, "300");
}

static void test_scaled(void **state)
{
	static const struct {
		double x;
		int exponent, places;
		const char *want;
	} cases[] = {
		{ -2.67513e-4, -4, 3, "-2.675" },
		{ -1.53e-6, -4, 4, "-0.0153" },
		{ 3.5e-3, -4, 1, "35.0" },
		{ 0.0, -4, 2, "0.00" },
		{ -1e-9, -4, 2, "0.00" },
		{ 9.99996e-5, -4, 3, "1.000" },
		{ 1.25, 0, 1, "1.2" },
		{ 0.5, -4, 0, "5000" },
	};
	char text[REPORT_NUMBER_SIZE];

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		report_scaled(cases[i].x, cases[i].exponent, cases[i].places, REPORT_PLAIN, text);
		assert_string_equal(text, cases[i].want);
	}
}

static void test_significant(void **state)
{
	static const struct {
		double x;
		int digits;
		const char *want;
	} cases[] = {
		{ 1.23456, 4, "1.235" },
		{ 0.0099996, 4, "0.01000" },
		{ -2.5e-7, 3, "-2.50e-07" },
		{ 9.9996e-9, 4, "1.000e-08" },
		{ 123456.0, 3, "123000" },
		{ 0.0, 4, "0" },
		{ 3.0e-30, 4, "3.000e-30" },
		{ (double)NAN, 4, "–" },
		{ 123456789012345.0, 4, "123500000000000" },
		{ 999999999999999.9, 4, "1.000e+15" },
		{ -6.02214076e23, 9, "-6.02214076e+23" },
		{ 1e-5, 2, "0.000010" },
		{ 9.96e-6, 2, "0.000010" },
		{ 1.7976931348623157e308, 4, "1.798e+308" },
		{ 4.94e-324, 3, "4.94e-324" },
	};
	char text[REPORT_NUMBER_SIZE];

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		report_significant(cases[i].x, cases[i].digits, REPORT_PLAIN, text);
		assert_string_equal(text, cases[i].want);
	}
}

/* For any u from 1e-12 to 1e12 the text has two digits that differ from u by at most half of the
   second, and never lose more than the 5 % of EA-4/02. */
static void test_two_digits_everywhere(void **state)
{
	(void)state;
	for (double u = 1e-12; u < 1e12; u *= 1.0137) {
		char text[REPORT_NUMBER_SIZE];
		int places;

		assert_true(report_places(u, &places));
		report_uncertainty(u, REPORT_PLAIN, text);
		const double shown = g_ascii_strtod(text, NULL), step = pow(10.0, -places);

		assert_true(fabs(shown - u) <= 0.5000001 * step);
		assert_true(shown >= 0.95 * u);
		assert_true(shown / step > 9.5 && shown / step < 99.5);
	}
	int untouched = 77;
	assert_false(report_places(0.0, &untouched));
	assert_false(report_places((double)NAN, &untouched));
	assert_false(report_places((double)INFINITY, &untouched));
	assert_int_equal(untouched, 77);
}

/* Any magnitude that a double has, each as likely as the others. */
static double any_size(GRand *rand)
{
	const double x = pow(10.0, g_rand_double_range(rand, -323.0, 308.2));

	return g_rand_boolean(rand) ? x : -x;
}

/* What the last digit of a text counts. */
static long double last_digit(const char *text)
{
	const char *point = strchr(text, '.'), *exponent = strchr(text, 'e');
	const char *end = exponent != NULL ? exponent : text + strlen(text);
	const long e = exponent != NULL ? strtol(exponent + 1, NULL, 10) : 0;
	long trailing = 0;

	if (point != NULL)
		return powl(10.0L, (long double)(e - (end - point - 1)));
	while (trailing < end - text - 2 && end[-trailing - 1] == '0')
		trailing++;
	return powl(10.0L, (long double)(e + trailing));
}

/* To half of the last digit of the text, or of another that shows what that is: a number that ends
   in zeros doesn't. strtold has 64 bits: it adds 2^-64 of the number at most. */
static void assert_reads_back(const char *text, const char *other, double x)
{
	const long double unit = fmaxl(last_digit(text), last_digit(other));
	const long double off = fabsl(strtold(text, NULL) - (long double)x);

	if (off > 0.500001L * unit + 0x1p-63L * fabsl((long double)x))
		fail_msg("%.17g became %s", x, text);
}

/* Whatever the sizes, what is printed is the number to half of its last digit, the value ends
   where u does unless a double has no more digits, and no text is long. */
static void test_every_size(void **state)
{
	GRand *rand = g_rand_new_with_seed(20260417);

	(void)state;
	for (int i = 0; i < 100000; i++) {
		const double x = any_size(rand);
		/* far apart and close together */
		const double near = fabs(x) * pow(10.0, g_rand_double_range(rand, -20.0, 3.0));
		const double u = i % 2 == 0 ? fabs(any_size(rand)) : near;
		char x_text[REPORT_NUMBER_SIZE], u_text[REPORT_NUMBER_SIZE],
		    text[REPORT_NUMBER_SIZE];

		if (u == 0.0 || !isfinite(u))
			continue;
		report_pair(x, u, REPORT_PLAIN, x_text, u_text);
		assert_reads_back(x_text, u_text, x);
		assert_reads_back(u_text, u_text, u);
		assert_true(strlen(x_text) <= 37 && strlen(u_text) <= 22);
		/* trailing zeros before a point don't tell where a number ends */
		if (fabs(x) / u < 1e15 && last_digit(u_text) < 1.0L &&
		    fabsl(last_digit(x_text) / last_digit(u_text) - 1.0L) > 1e-9L)
			fail_msg("%s and %s end at different places", x_text, u_text);
		report_uncertainty(u, REPORT_PLAIN, u_text);
		assert_reads_back(u_text, u_text, u);
		report_pair(x, 0.0, REPORT_PLAIN, x_text, u_text);
		assert_reads_back(x_text, x_text, x);
		assert_true(strlen(x_text) <= 24);
		report_significant(x, 2 + i % 14, REPORT_PLAIN, text);
		assert_reads_back(text, text, x);
		assert_true(strlen(text) <= 24);
		report_fixed(x, i % 21, REPORT_PLAIN, text);
		assert_reads_back(text, text, x);
		report_at_most(x, i % 21, REPORT_PLAIN, text);
		assert_true(strlen(text) <= 37);
		report_concise(x, u, REPORT_PRINT, text);
		assert_true(g_utf8_validate(text, -1, NULL) && text[strlen(text) - 1] != ' ');
		assert_true(strchr(text, ')') != NULL);
	}
	g_rand_free(rand);
}

/* A coefficient beyond all reason is shown so, in its own unit. */
static void test_scaled_large(void **state)
{
	char text[REPORT_NUMBER_SIZE];

	(void)state;
	report_scaled(-2.5e160, -4, 3, REPORT_PLAIN, text);
	assert_string_equal(text, "-2.5e+164");
}

/* A straight thermometer with the deviation of ITS-90, equation (14), without its last term. */
static bool cubic(const void *subrange, const double *x, double t90_K, double *ret)
{
	const double v = (t90_K - 273.16) * 0.0036;

	(void)subrange;
	*ret = 1.0 + v + v * (x[0] + v * (x[1] + v * x[2]));
	return true;
}

static bool refuses(const void *subrange, const double *x, double t90_K, double *ret)
{
	(void)subrange;
	(void)x;
	(void)t90_K;
	(void)ret;
	return false;
}

/* At W - 1 = 2.376 the three powers add up to 21.4; dt/dW is 312 K there. An error of half of the
   ninth decimal in each makes at most 21.4 * 5e-10 * 312 K = 3.3 uK, of the tenth 0.33 uK: ten
   decimals always do for 1 uK; fewer do when the digits dropped happen to be small. */
static void test_coefficient_places(void **state)
{
	static const double t90_K[] = { 302.9, 505.1, 692.7, 933.16 },
			    dt_dw[] = { 253, 269, 286, 312 };
	static const double odd[] = { -2.67512345678e-4, -1.5312345678e-5, 7.1234567891e-6 };
	static const double round[] = { -2.5e-4, -1.5e-5, 0.0 };
	int places = -1;

	(void)state;
	assert_true(report_coefficient_places(3, odd, 4, t90_K, dt_dw, 1e-6, cubic, NULL, &places));
	assert_in_range(places, 9, 10);
	assert_true(
	    report_coefficient_places(3, round, 4, t90_K, dt_dw, 1e-6, cubic, NULL, &places));
	assert_int_equal(places, 6);
	places = -1;
	assert_false(
	    report_coefficient_places(3, odd, 4, t90_K, dt_dw, 1e-6, refuses, NULL, &places));
	assert_int_equal(places, -1);
	assert_false(report_coefficient_places(3, odd, 4, t90_K, dt_dw, 0.0, cubic, NULL, &places));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_concise),
		cmocka_unit_test(test_half_to_even),
		cmocka_unit_test(test_style),
		cmocka_unit_test(test_scaled),
		cmocka_unit_test(test_significant),
		cmocka_unit_test(test_two_digits_everywhere),
		cmocka_unit_test(test_every_size),
		cmocka_unit_test(test_scaled_large),
		cmocka_unit_test(test_coefficient_places),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
