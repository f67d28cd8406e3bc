/* The locale of this pass of the tests is what the pass says it is: with a comma under the test
   setup `comma`, which sets FIRN_TEST_LOCALE, and with a point otherwise. */
#include "tests/support/near.h"

#include "firn/number.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_comma_pass(void)
{
	return getenv("FIRN_TEST_LOCALE") != NULL;
}

static void test_c_library(void **state)
{
	char text[16];

	(void)state;
	snprintf(text, sizeof(text), "%.1f", 0.5);
	assert_string_equal(text, is_comma_pass() ? "0,5" : "0.5");
	assert_near(strtod("0,5", NULL), is_comma_pass() ? 0.5 : 0.0, 0.0);
	assert_near(strtod("0.5", NULL), is_comma_pass() ? 0.0 : 0.5, 0.0);
}

static void test_engine(void **state)
{
	char text[FIRN_NUMBER_SIZE];
	double x = 0.0;

	(void)state;
	firn_number_print(0.5, text);
	assert_string_equal(text, "0.5");
	assert_int_equal(firn_number_parse("0.5", 3, &x), FIRN_OK);
	assert_near(x, 0.5, 0.0);
	assert_int_not_equal(firn_number_parse("0,5", 3, &x), FIRN_OK);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_c_library),
		cmocka_unit_test(test_engine),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
