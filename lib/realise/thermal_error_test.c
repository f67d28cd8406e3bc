#include "lib/realise/realise_test.h"
#include "firn/thermal_error.h"

#include "lib/num/random.h"

enum { N = 600 };

static double t_s[N], cell_K[N], furnace_K[N];

/* Furnace +/-0.5 K with a period of 30 min for 5 h; the cell follows by `ratio`, 200 s late, over a
   drift of 1 mK; noise 20 uK. */
static void make(double ratio, double swing_K)
{
	const struct num_source source = { 20260104, num_stream("coupling"), NUM_AGAIN };
	struct num_lane lane = num_lane_of(&source, 1);
	const double omega = 6.28318530717958647693 / 1800.0;

	for (size_t i = 0; i < N; i++) {
		const double t = 30.0 * (double)i;

		t_s[i] = t;
		furnace_K[i] = -2.0 + swing_K * cos(omega * t) +
			       1e-3 * num_normal_of(num_lane_word(&lane), &lane);
		cell_K[i] = 1e-3 * t / 18000.0 + ratio * 0.5 * cos(omega * (t - 200.0)) +
			    20e-6 * num_normal_of(num_lane_word(&lane), &lane);
	}
}

/* CCT Guide sec. 2.4 (2018), 5.4: a zinc cell with a coupling of about 0.01 at +/-0.5 K. */
static void test_coupling(void **state)
{
	struct firn_coupling got = { 0 };

	(void)state;
	make(0.01, 0.5);
	assert_int_equal(firn_furnace_coupling(N, t_s, cell_K, furnace_K, 1800.0, &got), FIRN_OK);
	assert_near(got.furnace_K, 0.5, 4.0 * 1e-3 * sqrt(2.0 / N));
	assert_near(got.ratio, 0.01, 4.0 * got.u_ratio);
	/* u of an amplitude is s sqrt(2/n), with 20 uK and with 1 mK times the ratio */
	assert_near(got.u_ratio, hypot(20e-6, 1e-3 * 0.01) * sqrt(2.0 / N) / 0.5, 0.1 * 2.3e-6);
	assert_near(got.lag_s, 200.0, 4.0 * got.u_ratio / 0.01 * 1800.0 / 6.283);

	/* A good one is not told from none, and stays far below what counts. */
	make(0.0, 0.5);
	assert_int_equal(firn_furnace_coupling(N, t_s, cell_K, furnace_K, 1800.0, &got), FIRN_OK);
	assert_true(got.ratio < 4.0 * got.u_ratio && got.ratio < FIRN_COUPLING_NEGLIGIBLE);
}

static void test_no_oscillation(void **state)
{
	struct firn_coupling got = { .ratio = -1.0 };

	(void)state;
	make(0.01, 0.0);
	assert_int_equal(firn_furnace_coupling(N, t_s, cell_K, furnace_K, 1800.0, &got),
			 FIRN_E_SINGULAR);
	make(0.01, 0.5);
	assert_int_equal(firn_furnace_coupling(N, t_s, cell_K, furnace_K, 10000.0, &got),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_furnace_coupling(9, t_s, cell_K, furnace_K, 60.0, &got),
			 FIRN_E_DOMAIN);
	cell_K[3] = (double)NAN;
	assert_int_equal(firn_furnace_coupling(N, t_s, cell_K, furnace_K, 1800.0, &got),
			 FIRN_E_DOMAIN);
	assert_near(got.ratio, -1.0, 0.0);
}

/* CCT Guide sec. 2.3 (2019), 3.2 to 4.2: 10 uW over 1 K/W make 10 uK. */
static void test_gas_point(void **state)
{
	struct firn_node dt = { 0 }, load;
	double wait = -1.0;

	(void)state;
	assert_int_equal(firn_static_error(input(10e-6, 2e-6), input(1.0, 0.5), &dt), FIRN_OK);
	assert_near(firn_value(dt), 10e-6, 1e-20);
	assert_near(firn_u(dt), hypot(2e-6, 5e-6), 1e-19);
	assert_int_equal(firn_heat_load(input(50.0, 0.0), input(2e-7, 0.0), &load), FIRN_OK);
	assert_near(firn_value(load), 10e-6, 1e-20);
	assert_int_equal(firn_least_wait(1.0, 20.0, 0.1, 1e-5, &wait), FIRN_OK);
	assert_near(wait, 20.0 * log(1e4), 1e-12);
	assert_int_equal(firn_least_wait(1.0, 20.0, 1e-6, 1e-5, &wait), FIRN_OK);
	assert_near(wait, 0.0, 0.0);
	assert_int_equal(firn_least_wait(1.0, 20.0, 1.0, 0.0, &wait), FIRN_E_DOMAIN);
	assert_int_equal(firn_static_error(input(5.0, 0.0), input(1.0, 0.0), &dt), FIRN_E_DOMAIN);
	assert_int_equal(firn_heat_load(input(-1.0, 0.0), input(0.0, 0.0), &load), FIRN_E_DOMAIN);
}

static void test_half_range(void **state)
{
	static const double x[] = { 3e-3, -7e-3, 9e-3 };
	const double odd[] = { 1.0, (double)NAN };
	double got = -1.0;

	(void)state;
	assert_int_equal(firn_half_range(2, odd, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_half_range(1, x, &got), FIRN_E_DOMAIN);
	assert_near(got, -1.0, 0.0);
	assert_int_equal(firn_half_range(3, x, &got), FIRN_OK);
	assert_near(got, 8e-3, 1e-18);
}

int main(void)
{
	struct CMUnitTest tests[4];
	size_t n = 0;

	ADD_TEST(tests, n, test_coupling);
	ADD_TEST(tests, n, test_no_oscillation);
	ADD_TEST(tests, n, test_gas_point);
	ADD_TEST(tests, n, test_half_range);
	return cmocka_run_group_tests_name("thermal error", tests, NULL, NULL);
}
