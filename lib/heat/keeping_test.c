/*
 * Looks at a mantle. Without looks the forecast is the prior's; the values with looks were made by
 * solving the weighted normal equations in mpmath (30 digits).
 */
#include "firn/keeping.h"

#include "tests/support/on_tape.h"

static const struct firn_keeping_prior prior = { 100, 10, 0.3 };

static void prior_alone(void **state)
{
	struct firn_node left, rate;
	struct firn_keeping_forecast f;

	(void)state;
	assert_int_equal(firn_keeping_fit(tape, &prior, 0, NULL, &left, &rate), FIRN_OK);
	assert_near(firn_value(left), 100.0, 1e-12);
	assert_near(firn_u(left), 10.0, 1e-12);
	assert_near(firn_u(rate), 0.3, 1e-14);
	assert_int_equal(firn_keeping_forecast(left, rate, 0, 0, 2, &f), FIRN_OK);
	assert_near(f.value_s, 100.0, 1e-12);
	/* u^2 = 10^2 + (100*0.3)^2 */
	assert_near(f.u_s, sqrt(1000), 1e-11);
	/* (100 - T)^2 = 4 (100 + 0.09 T^2): T = (100 +- sqrt(1e4 - 0.64*9600))/0.64 */
	assert_near(f.low_s, (100 - sqrt(1e4 - 0.64 * 9600)) / 0.64, 1e-10);
	assert_near(f.high_s, (100 + sqrt(1e4 - 0.64 * 9600)) / 0.64, 1e-10);
	assert_int_equal(firn_keeping_forecast(left, rate, 20, 5, 2, &f), FIRN_OK);
	assert_near(f.value_s, 75.0, 1e-12);
}

static void looks_narrow_it(void **state)
{
	const struct firn_keeping_look looks[] = { { 10, 85, 4, 0 }, { 30, 45, 4, 5 } };
	double width = INFINITY;

	(void)state;
	for (size_t n = 0; n <= 2; n++) {
		struct firn_node left, rate;
		struct firn_keeping_forecast f;

		assert_int_equal(firn_keeping_fit(tape, &prior, n, looks, &left, &rate), FIRN_OK);
		assert_int_equal(firn_keeping_forecast(left, rate, 30, 5, 2, &f), FIRN_OK);
		assert_true(f.low_s < f.value_s && f.value_s < f.high_s);
		assert_true(f.high_s - f.low_s < width);
		width = f.high_s - f.low_s;
		if (n < 2)
			continue;
		assert_near_relative(firn_value(left), 96.351224105461394, 1e-12);
		assert_near_relative(firn_value(rate), 1.4279661016949153, 1e-12);
		assert_near_relative(firn_u(left), 4.4679229197214789, 1e-12);
		assert_near_relative(firn_u(rate), 0.1913378412429842, 1e-12);
		assert_near_relative(f.value_s, 33.972964061984833, 1e-12);
		assert_near_relative(f.low_s, 23.782778445559907, 1e-10);
		assert_near_relative(f.high_s, 51.197088438883308, 1e-10);
	}
}

/* A rate that may be nothing has no upper end; one that is negative no forecast. */
static void open_ends(void **state)
{
	const struct firn_keeping_prior loose = { 100, 10, 0.6 };
	const struct firn_keeping_look grown = { 10, 300, 0.1, 0 };
	struct firn_node left, rate;
	struct firn_keeping_forecast f;

	(void)state;
	assert_int_equal(firn_keeping_fit(tape, &loose, 0, NULL, &left, &rate), FIRN_OK);
	assert_int_equal(firn_keeping_forecast(left, rate, 0, 0, 2, &f), FIRN_OK);
	assert_true(isinf(f.high_s) && f.low_s > 0 && f.low_s < 100);
	assert_int_equal(firn_keeping_fit(tape, &loose, 1, &grown, &left, &rate), FIRN_OK);
	assert_true(firn_value(rate) < 0);
	assert_int_equal(firn_keeping_forecast(left, rate, 0, 0, 2, &f), FIRN_E_DOMAIN);
}

static void refused(void **state)
{
	const struct firn_keeping_prior none = { 100, 0, 0.3 };
	const struct firn_keeping_look bad[] = { { -1, 1, 1, 0 },
						 { 1, 1, 0, 0 },
						 { 1, NAN, 1, 0 } };
	struct firn_node left = { 0 }, rate = { 0 };

	(void)state;
	assert_int_equal(firn_keeping_fit(tape, &none, 0, NULL, &left, &rate), FIRN_E_DOMAIN);
	for (int i = 0; i < 3; i++)
		assert_int_equal(firn_keeping_fit(tape, &prior, 1, &bad[i], &left, &rate),
				 FIRN_E_DOMAIN);
	assert_null(left.tape);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(prior_alone, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(looks_narrow_it, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(open_ends, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(refused, open_tape, close_tape),
	};

	return cmocka_run_group_tests_name("keeping", tests, NULL, NULL);
}
