#include "app/base/suggest.h"

#include "tests/support/near.h"

#include <glib.h>
#include <string.h>

static const char *const known[] = { "depth_m", "u_depth_m", "pressure_Pa", "u_mK", "dof",
				     "tpw",     "resistor",  "long stem",   "k",    NULL };

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

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_cases),
		cmocka_unit_test(test_long_names),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
