#define _POSIX_C_SOURCE 200809L
#include "tests/support/near.h"
#include "firn/number.h"

#include <float.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct {
	const char *text;
	size_t length; /* of the number at the start; 0: none stands there */
	double value;
} texts[] = {
	{ "100.0000123", 11, 100.0000123 },
	{ "-.5", 3, -0.5 },
	{ "+5.", 3, 5.0 },
	{ "1e3", 3, 1000.0 },
	{ "1e", 1, 1.0 },
	{ "2.5E-3x", 6, 2.5e-3 },
	{ "1,5", 1, 1.0 },
	{ "4.9e-324", 8, 4.9406564584124654e-324 },
	{ "1.7976931348623157e308", 22, DBL_MAX },
	{ "0x10", 1, 0.0 },
	{ "inf", 0, 0.0 },
	{ "nan", 0, 0.0 },
	{ " 1", 0, 0.0 },
	{ ".", 0, 0.0 },
	{ "-", 0, 0.0 },
	{ "", 0, 0.0 },
	/* halfway cases of IEEE 754: 2^53 + 1 is no double, and goes to the even neighbour */
	{ "9007199254740993", 16, 9007199254740992.0 },
	{ "9007199254740993.0000000000000000000001", 39, 9007199254740994.0 },
};

static void check_texts(void)
{
	for (size_t i = 0; i < sizeof(texts) / sizeof(texts[0]); i++) {
		double x = -77.0;

		if (firn_number_prefix(texts[i].text, strlen(texts[i].text), &x) != texts[i].length)
			fail_msg("\"%s\": wrong length", texts[i].text);
		assert_near(x, texts[i].length == 0 ? -77.0 : texts[i].value, 0.0);
	}
}

static void test_prefix(void **state)
{
	(void)state;
	check_texts();
}

static void test_whole_text(void **state)
{
	double x = -77.0;

	(void)state;
	assert_int_equal(firn_number_parse("1.5", 3, &x), FIRN_OK);
	assert_near(x, 1.5, 0.0);
	assert_int_equal(firn_number_parse("1.5 K", 5, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_number_parse("1e999", 5, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_number_parse("", 0, &x), FIRN_E_DOMAIN);
	assert_near(x, 1.5, 0.0); /* untouched by what failed */
}

/* A number reads back to the same double, and 0.1 is "0.1". */
static void test_round_trip(void **state)
{
	unsigned long long seed = 12345;

	(void)state;
	for (int i = 0; i < 100000; i++) {
		char text[FIRN_NUMBER_SIZE];
		double x, y = 0.0;

		seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
		memcpy(&x, &seed, sizeof(x));
		if (!isfinite(x))
			continue;
		assert_int_equal(firn_number_parse(text, firn_number_print(x, text), &y), FIRN_OK);
		assert_true(x == y);
	}
}

/* Short numbers take a way of their own; the C library's strtod, in the C locale, is the other. */
static void test_short_numbers(void **state)
{
	unsigned long long seed = 99;

	(void)state;
	for (int i = 0; i < 200000; i++) {
		char text[64];
		double x = 0.0;

		seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
		const unsigned digits = (unsigned)(seed >> 60) + 1;
		const unsigned long long whole = (seed >> 8) % 10000000000000000ULL;
		const int exponent = (int)((seed >> 20) % 60) - 30;

		if (digits % 3 == 0)
			snprintf(text, sizeof(text), "%s%llu.%0*llu", digits % 2 ? "-" : "",
				 whole % 1000, (int)digits, whole % 1000000000ULL);
		else
			snprintf(text, sizeof(text), "%lluE%+d", whole >> (digits % 40), exponent);
		assert_int_equal(firn_number_parse(text, strlen(text), &x), FIRN_OK);
		assert_true(x == strtod(text, NULL));
	}
}

static void test_shortest(void **state)
{
	static const struct {
		double x;
		const char *text;
	} cases[] = { { 0.1, "0.1" },       { 100.000512, "100.000512" },
		      { 273.16, "273.16" }, { 1.0 / 3.0, "0.3333333333333333" },
		      { 1e22, "1e+22" },    { -0.0, "-0" } };

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		char text[FIRN_NUMBER_SIZE];

		firn_number_print(cases[i].x, text);
		assert_string_equal(text, cases[i].text);
	}
}

static void test_fixed(void **state)
{
	char text[64];

	(void)state;
	firn_number_print_fixed(10.05762, 3, text, sizeof(text));
	assert_string_equal(text, "10.058");
	firn_number_print_fixed(0.5, 0, text, sizeof(text)); /* half to even on the binary value */
	assert_string_equal(text, "0");
	firn_number_print_fixed(2.0, 4, text, sizeof(text));
	assert_string_equal(text, "2.0000");
}

static void test_exponent(void **state)
{
	static const struct {
		double x;
		int digits;
		const char *text;
	} cases[] = { { 1.380649e-23, 7, "1.380649e-23" },
		      { -6.02214076e23, 3, "-6.02e+23" },
		      { 9.96, 2, "1.0e+01" },  /* a carry */
		      { 0.125, 2, "1.2e-01" }, /* halfway, to even */
		      { 0.0, 2, "0.0e+00" },
		      { 4.9406564584124654e-324, 1, "5e-324" },
		      { -1.7976931348623157e308, 17, "-1.7976931348623157e+308" } };

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		char text[FIRN_NUMBER_SIZE];

		assert_int_equal(firn_number_print_exponent(cases[i].x, cases[i].digits, text),
				 strlen(cases[i].text));
		assert_string_equal(text, cases[i].text);
	}
}

/* A host program may have set a locale with a decimal comma; nothing changes. */
static void test_comma_locale(void **state)
{
	char text[FIRN_NUMBER_SIZE];
	const char *folder = getenv("FIRN_LOCALES");

	(void)state;
	if (folder != NULL)
		setenv("LOCPATH", folder, 1);
	if (setlocale(LC_ALL, "de_DE.UTF-8") == NULL) {
		/* tools/check.py makes one; a bare run of this test may find none */
		print_message("# no locale with a decimal comma here\n");
		return;
	}
	snprintf(text, sizeof(text), "%.1f", 1.5);
	assert_string_equal(text, "1,5"); /* the locale is at work */
	check_texts();
	firn_number_print(273.16, text);
	assert_string_equal(text, "273.16");
	firn_number_print_exponent(1.5, 2, text);
	assert_string_equal(text, "1.5e+00");
	firn_number_print_fixed(0.25, 2, text, sizeof(text));
	assert_string_equal(text, "0.25");
	setlocale(LC_ALL, "C");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_prefix),     cmocka_unit_test(test_whole_text),
		cmocka_unit_test(test_round_trip), cmocka_unit_test(test_short_numbers),
		cmocka_unit_test(test_shortest),   cmocka_unit_test(test_fixed),
		cmocka_unit_test(test_exponent),   cmocka_unit_test(test_comma_locale),
	};

	return cmocka_run_group_tests_name("number", tests, NULL, NULL);
}
