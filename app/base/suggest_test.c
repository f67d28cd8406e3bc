#include "app/base/suggest.h"

#include "tests/support/near.h"

#include <glib.h>
#include <string.h>

static const char *const known[] = { "depth_m", "u_depth_m", "pressure_Pa", "u_mK",
				     "dof",     "tpw",       "resistor",    "long stem",
				     "k",       "H2O_Ga",    "H2O_In",      NULL };

static struct suggest_case {
	const char *name, *want;
} cases[] = {
	{ "dept_m", "depth_m" },
	{ "Depth_m", "depth_m" },
	{ "depth_mm", "depth_m" },
	{ "depth_cm", "depth_m" },
	{ "depth", "depth_m" },
	{ "pressure_kPa", "pressure_Pa" },
	{ "presure_Pa", "pressure_Pa" },
	{ "resistro", "resistor" },
	{ "longstem", "long stem" },
	{ "U_mK", "u_mK" },
	{ "dpf", "dof" },
	{ "twp", "tpw" },
	{ "K", "k" },
	{ "q", NULL },
	{ "", NULL },
	{ "temperature", NULL },
	{ "xx", NULL },
	{ "H2O_ga", "H2O_Ga" },
	{ "H20_In", "H2O_In" },
	{ "H2O_Im", "H2O_In" },
	{ "H2O_Pb", NULL },
};

static void test_cases(void **state)
{
	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
		const char *got = base_suggest(cases[i].name, known);

		print_message("# \"%s\"\n", cases[i].name);
		if (cases[i].want == NULL)
			assert_null(got);
		else
			assert_string_equal(got != NULL ? got : "(none)", cases[i].want);
	}
}

static void test_long_names(void **state)
{
	char name[1000];

	(void)state;
	memset(name, 'a', sizeof(name) - 1);
	name[sizeof(name) - 1] = '\0';
	assert_null(base_suggest(name, known));
	const char *const one[] = { name, NULL };
	assert_null(base_suggest("depth_m", one));
}

static void test_units(void **state)
{
	(void)state;
	assert_string_equal(base_unit_meant("depth_cm", "depth_m"), "metres");
	assert_string_equal(base_unit_meant("depth", "depth_m"), "metres");
	assert_string_equal(base_unit_meant("at_F", "at_C"), "degrees Celsius");
	assert_null(base_unit_meant("DEPTH_M", "depth_m"));
	assert_null(base_unit_meant("dept_m", "depth_m"));
	assert_null(base_unit_meant("least_square", "least_squares"));
	assert_null(base_unit_meant("per_C", "per_K"));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_cases),
		cmocka_unit_test(test_long_names),
		cmocka_unit_test(test_units),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
