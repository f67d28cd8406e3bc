#include "app/calc/check_standard.h"

#include "firn/scale.h"

#include "tests/support/near.h"

/* Resistivities of NIST StRD SiRstv (certified residual standard deviation 1.04076068334656E-01
   with 20 degrees of freedom) taken as five thermometers whose W at the zinc point scatters by so
   many kelvin: W = 2.5 + slope * (reading - 196). */
static const double silicon[5][5] = {
	{ 196.3052, 196.1240, 196.1890, 196.2569, 196.3403 },
	{ 196.3042, 196.3825, 196.1669, 196.3257, 196.0422 },
	{ 196.1303, 196.2005, 196.2889, 196.0343, 196.1811 },
	{ 196.2795, 196.1748, 196.1494, 196.1485, 195.9885 },
	{ 196.2119, 196.1051, 196.1850, 196.0052, 196.2090 },
};
static const char *const names[] = { "A", "B", "C", "D", "E" };

static double slope_at(enum firn_point point)
{
	double wr, per_K;

	assert_int_equal(firn_scale_wr_at(point, false, &wr, &per_K), FIRN_OK);
	return per_K;
}

/* occasion: which of several names value j of thermometer i takes. */
static GArray *five_thermometers(char occasions[25][8], bool shared)
{
	GArray *values = g_array_new(FALSE, TRUE, sizeof(struct calc_check_value));
	const double per_K = slope_at(FIRN_ZN);

	for (int i = 0; i < 5; i++)
		for (int j = 0; j < 5; j++) {
			char *occasion = occasions[5 * i + j];
			struct calc_check_value v = {
				.standard = names[i],
				.occasion = occasion,
				.value = 2.5 + per_K * (silicon[i][j] - 196.0),
				.counts = true,
			};

			g_snprintf(occasion, 8, "%d", shared ? j : 5 * i + j);
			g_array_append_val(values, v);
		}
	return values;
}

static void test_certified(void **state)
{
	char occasions[25][8];
	g_autoptr(GArray) values = five_thermometers(occasions, false);
	struct calc_check_history history;

	(void)state;
	assert_true(calc_check_history(LAB_ZN, 3.0, values, &history));
	/* W of 2.5 is rounded by 2e-16, some 6e-14 K of a scatter of 0.1 K. */
	assert_near_relative(history.s_K, 1.04076068334656e-01, 1e-12);
	assert_near(history.dof, 20.0, 0.0);
	assert_near_relative(history.limit_K, 3.0 * 1.04076068334656e-01, 1e-12);
	assert_int_equal(history.n, 25);
	assert_int_equal(history.n_standards, 5);
	for (guint i = 0; i < values->len; i++)
		assert_false(LAB_AT(values, calc_check_value, i)->outside);
}

/* Five mantles hold five thermometers each: five realisations, whatever the number of readings. */
static void test_shared_occasions(void **state)
{
	char occasions[25][8];
	g_autoptr(GArray) values = five_thermometers(occasions, true);
	struct calc_check_history history;

	(void)state;
	assert_true(calc_check_history(LAB_ZN, 3.0, values, &history));
	assert_int_equal(history.n_occasions, 5);
	assert_near(history.dof, 4.0, 0.0);
	assert_near_relative(history.s_K, 1.04076068334656e-01, 1e-12);
}

/* A value that is set aside is judged by the others and moves neither mean nor s. */
static void test_set_aside(void **state)
{
	char occasions[25][8];
	g_autoptr(GArray) values = five_thermometers(occasions, false);
	struct calc_check_history history;
	struct calc_check_value off = *LAB_AT(values, calc_check_value, 0);

	(void)state;
	off.counts = false;
	off.value += slope_at(FIRN_ZN) * 0.5; /* 4.8 s, and what value 0 is off by */
	g_array_append_val(values, off);
	assert_true(calc_check_history(LAB_ZN, 3.0, values, &history));
	assert_near_relative(history.s_K, 1.04076068334656e-01, 1e-12);
	assert_int_equal(history.n, 25);
	assert_true(LAB_AT(values, calc_check_value, 25)->outside);
	assert_near(LAB_AT(values, calc_check_value, 25)->deviation_K,
		    0.5 + LAB_AT(values, calc_check_value, 0)->deviation_K, 1e-12);
	off.standard = "F"; /* nothing of it counts: nobody can say */
	g_array_append_val(values, off);
	assert_true(calc_check_history(LAB_ZN, 3.0, values, &history));
	assert_false(LAB_AT(values, calc_check_value, 26)->outside);
	assert_true(isnan(LAB_AT(values, calc_check_value, 26)->deviation_K));
}

/* R(TPW) of 25.5 ohm and of 100 ohm, each a millikelvin up and down: 1.4 mK, by dWr/dT = 3.9885e-3
   at 273.16 K (from memory). */
static void test_ohm(void **state)
{
	const double per_mK = slope_at(FIRN_H2O) * 1e-3;
	const struct calc_check_value four[] = {
		{ .standard = "A",
		  .occasion = "1",
		  .value = 25.5 * (1.0 + per_mK),
		  .counts = true },
		{ .standard = "A",
		  .occasion = "2",
		  .value = 25.5 * (1.0 - per_mK),
		  .counts = true },
		{ .standard = "B",
		  .occasion = "3",
		  .value = 100.0 * (1.0 + per_mK),
		  .counts = true },
		{ .standard = "B",
		  .occasion = "4",
		  .value = 100.0 * (1.0 - per_mK),
		  .counts = true },
	};
	g_autoptr(GArray) values = g_array_new(FALSE, FALSE, sizeof(struct calc_check_value));
	struct calc_check_history history;

	(void)state;
	g_array_append_vals(values, four, 4);
	assert_true(calc_check_history(LAB_H2O, 3.0, values, &history));
	assert_near(history.s_K, sqrt(2.0) * 1e-3, 1e-12);
	assert_near(history.dof, 2.0, 0.0);
	assert_near(LAB_AT(values, calc_check_value, 3)->deviation_K, -1e-3, 1e-12);
	assert_near(calc_tpw_change_K(25.5, 25.5 * (1.0 + per_mK)), 1e-3, 1e-12);
	assert_near(per_mK, 3.9885e-6, 0.00005e-6);
}

static void test_refused(void **state)
{
	const struct calc_check_value bad = { .standard = "A", .occasion = "1", .value = -1.0 };
	g_autoptr(GArray) values = g_array_new(FALSE, FALSE, sizeof(struct calc_check_value));
	struct calc_check_history history;

	(void)state;
	assert_true(calc_check_history(LAB_ZN, 3.0, values, &history));
	assert_int_equal(history.n, 0);
	assert_true(isnan(history.s_K) && isnan(history.limit_K));
	g_array_append_val(values, bad);
	assert_false(calc_check_history(LAB_ZN, 3.0, values, &history));
	assert_false(calc_check_history(LAB_E_H2_VAPOUR, 3.0, values, &history));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_certified), cmocka_unit_test(test_shared_occasions),
		cmocka_unit_test(test_set_aside), cmocka_unit_test(test_ohm),
		cmocka_unit_test(test_refused),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
