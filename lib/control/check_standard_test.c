#include "firn/control.h"

#include "tests/support/near.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

/* NIST Statistical Reference Datasets, analysis of variance, SiRstv: resistivity of silicon wafers
   by five instruments, five readings each (from the copy in the Debian package python3-scipy).
   Certified: residual standard deviation 1.04076068334656E-01 with 20 degrees of freedom, which is
   the pooled one. */
static const double silicon[5][5] = {
	{ 196.3052, 196.1240, 196.1890, 196.2569, 196.3403 },
	{ 196.3042, 196.3825, 196.1669, 196.3257, 196.0422 },
	{ 196.1303, 196.2005, 196.2889, 196.0343, 196.1811 },
	{ 196.2795, 196.1748, 196.1494, 196.1485, 195.9885 },
	{ 196.2119, 196.1051, 196.1850, 196.0052, 196.2090 },
};

static void test_certified(void **state)
{
	struct firn_check_values standards[5];
	struct firn_pooled pooled = { 0 };

	(void)state;
	for (size_t i = 0; i < 5; i++)
		standards[i] = (struct firn_check_values){ 5, silicon[i] };
	assert_int_equal(firn_pooled_s(5, standards, &pooled), FIRN_OK);
	/* Readings of 196 are rounded by 1.4e-14, some 1e-13 of s; 25 of them average out. */
	assert_near_relative(pooled.s, 1.04076068334656e-01, 1e-13);
	assert_near(pooled.dof, 20.0, 0.0);
}

/* JCGM 100:2008, H.5: a stable voltage standard on ten days (Table H.9, daily means; from memory,
   they give the published figures): mean 10.000 097 V, s(V_j) = 57 uV with 9 degrees of freedom. */
static void test_days(void **state)
{
	static const double days[] = { 10.000172, 10.000116, 10.000013, 10.000144, 10.000106,
				       10.000031, 10.000060, 10.000125, 10.000163, 10.000041 };
	const struct firn_check_values standard = { COUNT(days), days };
	struct firn_pooled pooled = { 0 };

	(void)state;
	assert_int_equal(firn_pooled_s(1, &standard, &pooled), FIRN_OK);
	assert_near(pooled.s, 57e-6, 0.5e-6); /* to the printed digit, as the mean */
	assert_near(firn_check_mean(&standard), 10.000097, 0.5e-6);
	assert_near(pooled.dof, 9.0, 0.0);
}

/* That H.5 pools 5 readings a day of ten days: s_b = 85 uV with 40 degrees of freedom, from the
   daily standard deviations of Table H.9. Readings with those are made: mean + s * (-1, 1, 0, 0, 0)
   * sqrt(2) has the standard deviation s. */
static void test_within_days(void **state)
{
	static const double s_uV[] = { 60, 77, 111, 101, 67, 93, 80, 73, 88, 86 };
	double readings[COUNT(s_uV)][5] = { { 0 } };
	struct firn_check_values standards[COUNT(s_uV)];
	struct firn_pooled pooled = { 0 };

	(void)state;
	for (size_t i = 0; i < COUNT(s_uV); i++) {
		readings[i][0] = -s_uV[i] * sqrt(2.0);
		readings[i][1] = s_uV[i] * sqrt(2.0);
		standards[i] = (struct firn_check_values){ 5, readings[i] };
	}
	assert_int_equal(firn_pooled_s(COUNT(s_uV), standards, &pooled), FIRN_OK);
	assert_near(pooled.s, 85.0, 0.5);
	assert_near(pooled.dof, 40.0, 0.0);
}

/* A level that all values share takes nothing from s: the values are exact, so is their spread. */
static void test_level(void **state)
{
	const double low[] = { 1.0, 2.0, 4.0 }, high[] = { 1e9 + 1.0, 1e9 + 2.0, 1e9 + 4.0 };
	const struct firn_check_values both[] = { { 3, low }, { 3, high } };
	struct firn_pooled one = { 0 }, two = { 0 };

	(void)state;
	assert_int_equal(firn_pooled_s(1, both, &one), FIRN_OK);
	assert_int_equal(firn_pooled_s(2, both, &two), FIRN_OK);
	assert_near(one.s, sqrt(7.0 / 3.0), 1e-15);
	assert_near(two.s, one.s, 1e-15);
	assert_near(two.dof, 4.0, 0.0);
}

static void test_too_little(void **state)
{
	const double one[] = { 1.0 }, bad[] = { 1.0, (double)NAN };
	const struct firn_check_values single = { 1, one }, none = { 0, one }, wrong = { 2, bad };
	struct firn_pooled pooled = { 3.0, 4.0 };

	(void)state;
	assert_int_equal(firn_pooled_s(0, NULL, &pooled), FIRN_E_DOMAIN);
	assert_int_equal(firn_pooled_s(1, &none, &pooled), FIRN_E_DOMAIN);
	assert_int_equal(firn_pooled_s(1, &wrong, &pooled), FIRN_E_DOMAIN);
	assert_near(pooled.s, 3.0, 0.0);
	assert_near(pooled.dof, 4.0, 0.0);
	assert_int_equal(firn_pooled_s(1, &single, &pooled), FIRN_OK);
	assert_true(isnan(pooled.s));
	assert_near(pooled.dof, 0.0, 0.0);
	assert_true(isnan(firn_check_mean(&none)));
}

static void test_limits(void **state)
{
	const struct firn_control_limits limits = firn_control_limits(10.0, 0.5, 3.0);

	(void)state;
	assert_near(limits.low, 8.5, 0.0);
	assert_near(limits.high, 11.5, 0.0);
	assert_false(firn_control_is_outside(&limits, 8.5));
	assert_false(firn_control_is_outside(&limits, 11.5));
	assert_true(firn_control_is_outside(&limits, 8.4999));
	assert_true(firn_control_is_outside(&limits, 11.5001));
	assert_true(firn_control_is_outside(&limits, (double)NAN));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_certified),   cmocka_unit_test(test_days),
		cmocka_unit_test(test_within_days), cmocka_unit_test(test_level),
		cmocka_unit_test(test_too_little),  cmocka_unit_test(test_limits),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
