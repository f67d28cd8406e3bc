/* The order of the points: CCT Guide to the Realization of the ITS-90, ch. 5 (2018), 4.4.1, and the
   points of each subrange by ITS-90 (1990), 3.3. */
#include "app/calc/sequence.h"

#include "tests/support/near.h"

static void check_sequence(const char *names, bool check, const char *wanted)
{
	bool subranges[LAB_SUBRANGES] = { false };
	g_auto(GStrv) list = g_strsplit(names, " ", -1);
	g_autoptr(GArray) steps = NULL;
	g_autoptr(GString) found = g_string_new(NULL);

	for (char **name = list; *name != NULL; name++)
		subranges[lab_subrange_named(*name)] = true;
	steps = calc_sequence(subranges, check);
	for (guint i = 0; i < steps->len; i++)
		g_string_append_printf(
		    found, "%s%s", i > 0 ? " " : "",
		    lab_point_name(g_array_index(steps, struct calc_step, i).point));
	assert_string_equal(found->str, wanted);
}

static void from_the_highest_down(void **state)
{
	(void)state;
	check_sequence("H2O_Al", false, "H2O Al H2O Zn H2O Sn H2O");
	check_sequence("H2O_Al", true, "H2O Al H2O Zn H2O Sn H2O In H2O");
	check_sequence("H2O_Al Ar_H2O", false, "H2O Al H2O Zn H2O Sn H2O Hg H2O Ar H2O");
	check_sequence("Hg_Ga", true, "H2O Ga H2O Hg H2O");
	check_sequence("H2O_In", true, "H2O In H2O");
	check_sequence("e-H2_H2O", false,
		       "H2O Hg H2O Ar H2O O2 H2O Ne H2O e-H2-vapour H2O e-H2-vapour H2O e-H2 H2O");
}

static void annealed_after_the_hottest(void **state)
{
	bool subranges[LAB_SUBRANGES] = { [LAB_H2O_AG] = true };
	g_autoptr(GArray) steps = calc_sequence(subranges, false);

	(void)state;
	assert_non_null(g_strstr_len(g_array_index(steps, struct calc_step, 2).advice, -1, "975"));
	assert_non_null(g_strstr_len(g_array_index(steps, struct calc_step, 4).advice, -1, "675"));
	assert_null(g_array_index(steps, struct calc_step, 6).advice);
}

static void reaches_over_what_touches(void **state)
{
	const struct calc_span spans[] = { calc_subrange_span(LAB_H2O_ZN),
					   calc_subrange_span(LAB_AR_H2O),
					   { 800.0, 900.0 } };

	(void)state;
	/* ITS-90, Table 1: argon 83.8058 K, zinc 692.677 K */
	assert_float_equal(calc_reach_K(spans, 3, 83.8058), 692.677, 0.0);
	assert_float_equal(calc_reach_K(spans, 3, 300.0), 692.677, 0.0);
	assert_float_equal(calc_reach_K(spans, 3, 700.0), 700.0, 0.0);
	assert_float_equal(calc_reach_K(spans, 1, 83.8058), 83.8058, 0.0);
	assert_float_equal(calc_reach_K(spans, 3, 83.8058 - 0.9 * CALC_NEAR_K), 692.677, 0.0);
	assert_float_equal(calc_point_K(LAB_AL), 933.473, 0.0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(from_the_highest_down),
		cmocka_unit_test(annealed_after_the_hottest),
		cmocka_unit_test(reaches_over_what_touches),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
