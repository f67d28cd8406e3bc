#include "firn/scale.h"

#include "tests/support/near.h"

/* ITS-90, Tables 1 and 2: one point of each kind; the names are those of job files. */
static void test_points(void **state)
{
	static const char *const names[] = { "e-H2", "e-H2-vapour", "Ne", "O2", "Ar", "Hg", "H2O",
					     "Ga",   "In",          "Sn", "Zn", "Al", "Ag" };
	const struct firn_fixed_point *hg = firn_scale_point(FIRN_HG),
				      *ga = firn_scale_point(FIRN_GA);
	const struct firn_fixed_point *ag = firn_scale_point(FIRN_AG),
				      *h2o = firn_scale_point(FIRN_H2O);

	(void)state;
	for (int i = 0; i < FIRN_POINTS; i++)
		assert_string_equal(firn_scale_point((enum firn_point)i)->name, names[i]);
	assert_null(firn_scale_point(FIRN_POINTS));
	assert_null(firn_scale_point((enum firn_point) - 1));

	assert_true(hg->t90_K == 234.3156 && hg->kind == FIRN_TRIPLE_POINT && !hg->gas_pressure);
	assert_true(hg->wr == 0.84414211 && hg->dT_dl_K_per_m == 7.1e-3 &&
		    hg->u_comparison_K == 0.2e-3);
	assert_true(ga->t90_K == 302.9146 && ga->kind == FIRN_MELTING_POINT && ga->gas_pressure);
	assert_true(ga->dT_dp_K_per_Pa == -2.0e-8 && ga->dT_dl_K_per_m == -1.2e-3);
	assert_true(ag->t90_K == 1234.93 && ag->kind == FIRN_FREEZING_POINT && ag->gas_pressure);
	assert_true(h2o->dT_dp_K_per_Pa == -7.5e-8 && h2o->dT_dl_K_per_m == -0.73e-3);
	/* From 101325 Pa to no pressure by Table 2, whose -2.0e-8 has two digits: 0.05e-8 x 101325
	 * Pa. */
	assert_near(ga->triple_K, ga->t90_K - 101325.0 * ga->dT_dp_K_per_Pa, 0.05e-8 * 101325.0);
	assert_true(isnan(hg->triple_K));
	assert_true(isnan(firn_scale_point(FIRN_E_H2_VAPOUR)->t90_K));
}

/* What the limits mean for S = (W - 1)/(W_r - 1): 0.999417, 0.999404, 0.999385, by arithmetic. */
static void test_limits(void **state)
{
	(void)state;
	assert_near((FIRN_W_GA_LEAST - 1.0) / (firn_scale_point(FIRN_GA)->wr - 1.0), 0.999417,
		    5e-7);
	assert_near((FIRN_W_HG_MOST - 1.0) / (firn_scale_point(FIRN_HG)->wr - 1.0), 0.999404, 5e-7);
	assert_near((FIRN_W_AG_LEAST - 1.0) / (firn_scale_point(FIRN_AG)->wr - 1.0), 0.999385,
		    5e-7);
}

/* ITS-90, equations (11a), (11b): at p0 the first number of each; 33315 Pa and 101280 Pa by hand.
 */
static void test_vapour(void **state)
{
	static const struct {
		double p_Pa, t90_K, slope;
	} cases[] = {
		{ 33321.3, 17.035, 1.0 / 13320.0 },
		{ 33315.0, 17.035 - 6.3 / 13320.0, 1.0 / 13320.0 },
		{ 33188.1, 17.025, 1.0 / 13320.0 },
		{ 33454.5, 17.045, 1.0 / 13320.0 },
		{ 101292.0, 20.27, 1.0 / 30000.0 },
		{ 101280.0, 20.2696, 1.0 / 30000.0 },
		{ 100992.0, 20.26, 1.0 / 30000.0 },
		{ 101592.0, 20.28, 1.0 / 30000.0 },
	};
	static const double refused[] = { 33188.0, 33454.6, 100991.9,   101592.1,
					  33.3213, 0.0,     (double)NAN };
	double t90_K = 7.0, slope = 7.0;

	(void)state;
	for (size_t i = 0; i < sizeof(refused) / sizeof(refused[0]); i++)
		assert_int_equal(firn_scale_vapour_t90(refused[i], &t90_K, &slope), FIRN_E_DOMAIN);
	assert_true(t90_K == 7.0 && slope == 7.0);
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		assert_int_equal(firn_scale_vapour_t90(cases[i].p_Pa, &t90_K, &slope), FIRN_OK);
		assert_near(t90_K, cases[i].t90_K, 1e-14);
		assert_near_relative(slope, cases[i].slope, 3e-16);
	}
}

static void test_wr_at(void **state)
{
	double wr = 7.0, slope = 7.0;

	(void)state;
	assert_int_equal(firn_scale_wr_at(FIRN_E_H2_VAPOUR, false, &wr, &slope), FIRN_E_DOMAIN);
	assert_int_equal(firn_scale_wr_at(FIRN_POINTS, false, &wr, &slope), FIRN_E_DOMAIN);
	assert_true(wr == 7.0 && slope == 7.0);
	/* The slope of (9a) at 273.16 K, 40 digits. */
	assert_int_equal(firn_scale_wr_at(FIRN_H2O, false, &wr, &slope), FIRN_OK);
	assert_true(wr == 1.0);
	assert_near_relative(slope, 0.003988527904664923, 1e-14);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_points),
		cmocka_unit_test(test_limits),
		cmocka_unit_test(test_vapour),
		cmocka_unit_test(test_wr_at),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
