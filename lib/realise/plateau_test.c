#include "lib/realise/realise_test.h"
#include "firn/plateau.h"

#include "lib/num/random.h"

#define N 3000 /* readings, 20 s apart */

static double t_s[N], dt_K[N];

static struct num_lane noise(uint64_t trial)
{
	const struct num_source source = { 20260103, num_stream("plateau"), NUM_AGAIN };

	return num_lane_of(&source, trial);
}

/*
 * A freeze as it is seen: liquid cooling by 0.1 K in 1000 s, 50 mK under the plateau at 4000 s,
 * back within 400 s, then Raoult's curve with c/A = 0.2 mK, with 15 uK of noise, until 48 000 s;
 * after that the solid cools in a rush with 2 mK of noise, and ever more slowly.
 */
static void make_freeze(void)
{
	struct num_lane lane = noise(1);
	const double start = 4400.0, end = 48000.0, level = -0.05;

	for (size_t i = 0; i < N; i++) {
		const double t = 20.0 * (double)i;
		double x, s = 15e-6;

		if (t < 4000.0)
			x = level + 1e-4 * (4000.0 - t);
		else if (t < start)
			x = level - level * (t - 4000.0) / 400.0;
		else if (t < end)
			x = -0.2e-3 * ((end - start) / fmax(end - t, 200.0) - 1.0);
		else
			x = -0.045 - 2.0 * (1.0 - exp(-(t - end) / 2000.0)), s = 2e-3;
		t_s[i] = t;
		dt_K[i] = x + s * num_normal_of(num_lane_word(&lane), &lane);
	}
}

static void test_freeze(void **state)
{
	const struct firn_curve curve = { N, t_s, dt_K };
	struct firn_freeze marks;

	(void)state;
	make_freeze();
	assert_int_equal(firn_freeze_marks(&curve, 300.0, 0.01, &marks), FIRN_OK);
	assert_true(marks.is_supercooled);
	/* A median over 15 readings rounds a corner by half its width; the slope there is 2.5 mK
	   for 20 s on one side. */
	assert_near(marks.t_nucleation_s, 4000.0, 160.0);
	assert_near(marks.supercooling_K, 0.05, 0.017);
	assert_near(marks.t_start_s, 4400.0, 1500.0); /* the maximum of a flat curve with noise */
	/* 15 readings of 15 uK: 3.9 uK; the highest of 180 windows: up to 3.2 times that above. */
	assert_near(marks.u_peak_K, 3.9e-6 * sqrt(1.0 + 2.0 * log(180.0) / 3.0), 3e-6);
	assert_near(marks.peak_K, 0.0, 2.5 * marks.u_peak_K);
	assert_true(marks.dof_peak > 3.0);
	assert_near(marks.t_end_inflection_s, 48000.0, 400.0);
	/* The bend of the curve itself leaves 150 uK about a line of 300 s from 47 100 s on. */
	assert_true(marks.t_end_scatter_s >= 46800.0 && marks.t_end_scatter_s <= 48300.0);

	/* The record begins in the plateau: no supercooling; cut before the end: no inflection. */
	const struct firn_curve later = { 1500, t_s + 300, dt_K + 300 };
	assert_int_equal(firn_freeze_marks(&later, 300.0, 0.01, &marks), FIRN_OK);
	assert_true(!marks.is_supercooled && isnan(marks.supercooling_K));
	assert_true(isnan(marks.t_end_inflection_s) || marks.t_end_inflection_s > 6000.0);
	assert_true(isnan(marks.t_end_scatter_s));
}

/* A melt: 1 mK/s up to the plateau at 2000 s, 2 uK in 1000 s through it, and out at 40 000 s. */
static void test_melt(void **state)
{
	struct num_lane lane = noise(2);
	const struct firn_curve curve = { N, t_s, dt_K };
	struct firn_melt marks = { .t_end_s = -1.0 };

	(void)state;
	for (size_t i = 0; i < N; i++) {
		const double t = 20.0 * (double)i;

		t_s[i] = t;
		dt_K[i] = (t < 2000.0 ? 1e-3 * (t - 2000.0) : 2e-9 * (t - 2000.0)) +
			  (t > 40000.0 ? 1e-3 * (t - 40000.0) : 0.0) +
			  10e-6 * num_normal_of(num_lane_word(&lane), &lane);
	}
	assert_int_equal(firn_melt_marks(&curve, 2000.0, &marks), FIRN_OK);
	assert_true(marks.t_start_s <= 2000.0 && marks.t_end_s >= 39000.0);
	assert_true(fabs(marks.slope_K_per_s) < 5e-9);
	assert_true(marks.t_flattest_s > 3000.0 && marks.t_flattest_s < 39000.0);
	/* never left again: no end */
	const struct firn_curve inside = { 1000, t_s + 500, dt_K + 500 };
	marks.t_end_s = -1.0;
	assert_int_equal(firn_melt_marks(&inside, 2000.0, &marks), FIRN_E_SINGULAR);
	assert_near(marks.t_end_s, -1.0, 0.0);
}

/* The power of a furnace goes up by 2 W of 80 W when the latent heat is gone. */
static void test_power(void **state)
{
	struct num_lane lane = noise(3);
	double at = -1.0, step = -1.0;

	(void)state;
	for (size_t i = 0; i < N; i++) {
		t_s[i] = 20.0 * (double)i;
		dt_K[i] = 80.0 + (t_s[i] >= 48000.0 ? 2.0 : 0.0) +
			  0.5 * num_normal_of(num_lane_word(&lane), &lane);
	}
	assert_int_equal(firn_step_time(N, t_s, dt_K, 4400.0, &at, &step), FIRN_OK);
	assert_near(at, 48000.0, 20.0);
	assert_near(step, 2.0, 0.1);
	at = -1.0;
	assert_int_equal(firn_step_time(N - 1000, t_s, dt_K, 4400.0, &at, &step), FIRN_E_SINGULAR);
	assert_near(at, -1.0, 0.0);
	assert_int_equal(firn_step_time(N, t_s, dt_K, 1e9, &at, &step), FIRN_E_DOMAIN);
}

static void test_fractions(void **state)
{
	static const double t[] = { 0.0, 100.0, 200.0, 400.0 }, flow[] = { 1.0, 1.0, 3.0, 3.0 };
	double f, by_heat[4];

	(void)state;
	assert_int_equal(firn_fraction_by_time(300.0, 100.0, 500.0, 0.0, &f), FIRN_OK);
	assert_near(f, 0.5, 0.0);
	assert_int_equal(firn_fraction_by_time(300.0, 100.0, 500.0, 0.1, &f), FIRN_OK);
	assert_near(f, 0.55, 1e-16);
	assert_int_equal(firn_fraction_by_time(900.0, 100.0, 500.0, 0.1, &f), FIRN_OK);
	assert_near(f, 1.0, 0.0);
	assert_int_equal(firn_fraction_by_time(1.0, 5.0, 5.0, 0.0, &f), FIRN_E_DOMAIN);
	/* from 50 s: 50 J, then 200 J, then 600 J, of 1000 J */
	assert_int_equal(firn_fraction_by_heat(4, t, flow, 50.0, 1000.0, by_heat), FIRN_OK);
	assert_near(by_heat[0], 0.0, 0.0);
	assert_near(by_heat[1], 0.05, 1e-16);
	assert_near(by_heat[2], 0.25, 1e-16);
	assert_near(by_heat[3], 0.85, 1e-15);
	assert_int_equal(firn_fraction_by_heat(4, t, flow, 50.0, 0.0, by_heat), FIRN_E_DOMAIN);
}

/* Raoult: T = -c/(F A) is a straight line in 1/F, -c/A at F = 1; CCT Guide sec. 2.1 (2018), (4).
   Tin with 1e-7: 29.6 uK. */
static void test_raoult(void **state)
{
	const double c_over_A = 1e-7 / 0.003377;
	double F[20], x[20];
	struct firn_liquidus line, curved;

	(void)state;
	for (size_t i = 0; i < 20; i++) {
		F[i] = 1.0 - 0.04 * (double)i;
		x[i] = -c_over_A / F[i];
	}
	assert_int_equal(firn_liquidus_fit(20, F, x, FIRN_LIQUIDUS_RECIPROCAL, &line), FIRN_OK);
	assert_near(line.dt_K, -c_over_A, 1e-17);
	assert_near(line.slope_K, -c_over_A, 1e-17);
	assert_near(line.s_K, 0.0, 1e-18);
	assert_near(line.dof, 18.0, 0.0);
	/* The wrong form leaves residuals that hang together. */
	assert_int_equal(firn_liquidus_fit(20, F, x, FIRN_LIQUIDUS_LINEAR, &curved), FIRN_OK);
	assert_true(curved.s_K > 1e-6 && curved.r1 > 0.5);
}

/* Noise: 500 fits of independent readings err by what their u says. */
static void test_fit_uncertainty(void **state)
{
	struct num_lane lane = noise(4);
	double squares = 0.0;

	(void)state;
	for (size_t k = 0; k < 500; k++) {
		double F[40], x[40];
		struct firn_liquidus fit;

		for (size_t i = 0; i < 40; i++) {
			F[i] = 0.95 - 0.01 * (double)i;
			x[i] = 1e-4 * (F[i] - 1.0) +
			       20e-6 * num_normal_of(num_lane_word(&lane), &lane);
		}
		assert_int_equal(firn_liquidus_fit(40, F, x, FIRN_LIQUIDUS_LINEAR, &fit), FIRN_OK);
		squares += fit.dt_K * fit.dt_K / (fit.u_K * fit.u_K);
	}
	/* t with 38 degrees of freedom has the variance 38/36; false alarms of correlation (8 %)
	   raise some u. Four sigma of the mean of 500. */
	assert_near(squares / 500.0, 38.0 / 36.0, 0.1 + 4.0 * sqrt(2.0 / 500.0));
}

static void test_refused(void **state)
{
	const struct firn_curve few = { 10, t_s, dt_K }, curve = { N, t_s, dt_K };
	struct firn_freeze marks = { .peak_K = -7.0 };
	struct firn_liquidus fit = { .s_K = -7.0 };
	double F[] = { 1.0, 1.0, 1.0, 1.0, 1.0 }, x[5] = { 0.0 };

	(void)state;
	make_freeze();
	assert_int_equal(firn_freeze_marks(&few, 300.0, 0.01, &marks), FIRN_E_DOMAIN);
	assert_int_equal(firn_freeze_marks(&curve, 0.0, 0.01, &marks), FIRN_E_DOMAIN);
	assert_int_equal(firn_freeze_marks(&curve, 300.0, -1.0, &marks), FIRN_E_DOMAIN);
	dt_K[7] = (double)NAN;
	assert_int_equal(firn_freeze_marks(&curve, 300.0, 0.01, &marks), FIRN_E_DOMAIN);
	dt_K[7] = 0.0;
	t_s[7] = 1e9;
	assert_int_equal(firn_freeze_marks(&curve, 300.0, 0.01, &marks), FIRN_E_DOMAIN);
	assert_int_equal(firn_liquidus_fit(5, F, x, FIRN_LIQUIDUS_LINEAR, &fit), FIRN_E_SINGULAR);
	F[0] = 50.0; /* in percent */
	assert_int_equal(firn_liquidus_fit(5, F, x, FIRN_LIQUIDUS_LINEAR, &fit), FIRN_E_DOMAIN);
	assert_int_equal(firn_liquidus_fit(4, F, x, FIRN_LIQUIDUS_LINEAR, &fit), FIRN_E_DOMAIN);
	assert_true(marks.peak_K == -7.0 && fit.s_K == -7.0);
}

int main(void)
{
	struct CMUnitTest tests[7];
	size_t n = 0;

	ADD_TEST(tests, n, test_freeze);
	ADD_TEST(tests, n, test_melt);
	ADD_TEST(tests, n, test_power);
	ADD_TEST(tests, n, test_fractions);
	ADD_TEST(tests, n, test_raoult);
	ADD_TEST(tests, n, test_fit_uncertainty);
	ADD_TEST(tests, n, test_refused);
	return cmocka_run_group_tests_name("plateau", tests, NULL, NULL);
}
