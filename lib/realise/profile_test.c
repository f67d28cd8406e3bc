#include "lib/realise/realise_test.h"
#include "firn/profile.h"

#include "lib/num/random.h"

/* Heights of CCT Guide sec. 2.4 (2018), 5.3: from 10 cm in steps of 2 cm to 4 cm, then of 1 cm. */
static const double heights_m[] = { 0.0, 0.01, 0.02, 0.03, 0.04, 0.06, 0.08, 0.10 };
#define N COUNT(heights_m)
static const double water_K_per_m = -0.73e-3, noise_K = 3e-6;

/* Readings of a thermometer that sees error_K of its stem at the bottom, growing by e in D. */
static struct firn_profile made(struct firn_profile_point *points, double error_K, double D_m,
				const double *noise)
{
	for (size_t i = 0; i < N; i++) {
		const double h = heights_m[i];
		const double dt_K =
		    -water_K_per_m * h + error_K * exp(h / D_m) + (noise != NULL ? noise[i] : 0.0);

		points[i] = (struct firn_profile_point){ h, input(dt_K, noise_K), noise_K };
	}
	return (struct firn_profile){ N, points, input(water_K_per_m, 0.0) };
}

/* An undisturbed profile rises by 7.3 uK in a centimetre (ITS-90, Table 2) and has no residual. */
static void test_undisturbed(void **state)
{
	struct firn_profile_point points[N];
	const struct firn_profile profile = made(points, 0.0, 0.01, NULL);
	struct firn_node residual[N];
	enum firn_profile_verdict verdict[N];
	struct firn_profile_line line = { .residual_K = residual, .verdict = verdict };

	(void)state;
	assert_near(firn_value(points[1].dt_K), 7.3e-6, 1e-20);
	assert_int_equal(firn_profile_line(&profile, 0.03, 15e-6, &line), FIRN_OK);
	assert_near(line.follows_m, 0.10, 0.0);
	assert_int_equal(line.n_zone, 4);
	assert_near(line.u_K, 0.0, 1e-18);
	/* Residuals share the deepest reading. */
	assert_near(firn_u(residual[2]), sqrt(2.0) * noise_K, 1e-20);
}

/* Equation (28) of CCT Guide ch. 5 (2018) by hand: residuals 0, 2, -1 and 4 uK in the zone. */
static void test_equation_28(void **state)
{
	static const double residual_uK[] = { 0.0, 2.0, -1.0, 4.0, 30.0 };
	struct firn_profile_point points[5];
	struct firn_profile profile = { 5, points, input(water_K_per_m, 0.0) };
	struct firn_node residual[5];
	enum firn_profile_verdict verdict[5];
	struct firn_profile_line line = { .residual_K = residual, .verdict = verdict };

	(void)state;
	for (size_t i = 0; i < 5; i++)
		points[i] = (struct firn_profile_point){
			heights_m[i],
			input(2e-3 + 1e-6 * residual_uK[i] - water_K_per_m * heights_m[i], 1e-6),
			1e-6
		};
	assert_int_equal(firn_profile_line(&profile, 0.03, 3.5e-6, &line), FIRN_OK);
	assert_near(1e6 * line.u_K, sqrt((4.0 + 1.0 + 16.0) / 3.0), 1e-9);
	assert_near(line.follows_m, 0.02, 0.0);
	assert_int_equal(verdict[3], FIRN_PROFILE_UNDECIDED); /* 0.5 uK beyond, u is 1.4 uK */
	assert_int_equal(verdict[4], FIRN_PROFILE_DEPARTS);
	assert_int_equal(firn_profile_line(&profile, 0.005, 3.5e-6, &line), FIRN_OK);
	assert_true(isnan(line.u_K) && line.n_zone == 1);
}

/* Without noise the fit finds what was put in. */
static void test_exact(void **state)
{
	struct firn_profile_point points[N];
	const struct firn_profile profile = made(points, 20e-6, 0.02, NULL);
	struct firn_profile_fit fit;

	(void)state;
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit), FIRN_OK);
	assert_near(firn_value(fit.error_K), 20e-6, 1e-14);
	assert_near(firn_value(fit.length_m), 0.02, 1e-11);
	assert_near(firn_value(fit.true_K), 0.0, 1e-14);
	assert_near(fit.chi2, 0.0, 1e-12);
	assert_near(fit.dof, 5.0, 0.0);
	/* Computed apart, by numpy: roots of the diagonal of (J'WJ)^-1 at the same points. */
	assert_near_relative(firn_u(fit.error_K), 3.0459704662466736e-07, 1e-5);
	assert_near_relative(firn_u(fit.length_m), 6.035119329852151e-05, 1e-5);
}

/* A thousand noisy profiles: errors are as large as their u says, in the mean. */
static void test_noise(void **state)
{
	const size_t trials = 1000;
	const struct num_source source = { .seed = 20260101,
					   .stream = num_stream("profile"),
					   .purpose = NUM_AGAIN };
	struct num_lane lane = num_lane_of(&source, 1);
	double squares = 0.0;

	(void)state;
	for (size_t k = 0; k < trials; k++) {
		struct firn_profile_point points[N];
		struct firn_profile_fit fit;
		double noise[N];

		for (size_t i = 0; i < N; i++)
			noise[i] = noise_K * num_normal_of(num_lane_word(&lane), &lane);
		const struct firn_profile profile = made(points, 50e-6, 0.03, noise);
		assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit),
				 FIRN_OK);
		const double off = (firn_value(fit.error_K) - 50e-6) / firn_u(fit.error_K);
		squares += off * off;
	}
	/* 1, within four standard deviations of a mean of 1000 squares */
	assert_near(squares / (double)trials, 1.0, 4.0 * sqrt(2.0 / (double)trials));
}

/* A profile that follows its line within the noise tells nothing of D; with D known from elsewhere
   it bounds the error. */
static void test_known_length(void **state)
{
	static const double noise_uK[N] = { 1, -2, 3, -1, -3, 2, 0, -1 };
	struct firn_profile_point points[N];
	struct firn_profile_fit fit = { .dof = -1.0 };
	double noise[N];

	(void)state;
	for (size_t i = 0; i < N; i++)
		noise[i] = 1e-6 * noise_uK[i];
	const struct firn_profile profile = made(points, 0.0, 0.01, noise);
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit),
			 FIRN_E_SINGULAR);
	assert_near(fit.dof, -1.0, 0.0);
	assert_int_equal(firn_profile_fit(&profile, input(0.03, 0.003), &fit), FIRN_OK);
	assert_near(firn_value(fit.length_m), 0.03, 0.002);
	assert_true(fabs(firn_value(fit.error_K)) < 3.0 * firn_u(fit.error_K));
	assert_true(firn_u(fit.error_K) < 1e-6);
	assert_near(fit.dof, 6.0, 0.0);
}

/* Readings that share an error (a resistor, a level) shift the true temperature, not the error. */
static void test_common_part(void **state)
{
	struct firn_profile_point points[N];
	struct firn_profile profile = made(points, 20e-6, 0.02, NULL);
	const struct firn_node common = input(0.0, 50e-6);
	struct firn_profile_fit alone, fit;

	(void)state;
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &alone), FIRN_OK);
	for (size_t i = 0; i < N; i++)
		points[i].dt_K = firn_add(points[i].dt_K, common);
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit), FIRN_OK);
	assert_near_relative(firn_u(fit.error_K), firn_u(alone.error_K), 1e-9);
	assert_near_relative(firn_u(fit.true_K), hypot(firn_u(alone.true_K), 50e-6), 1e-9);
}

/* The two-point estimate is the same law: exact on two points of it. */
static void test_two_points(void **state)
{
	const double error_K = 20e-6, D_m = 0.02, lift_m = 0.05;
	const struct firn_node change = input(error_K * (exp(lift_m / D_m) - 1.0), 4e-6),
			       lift = input(lift_m, 0.0), D = input(D_m, 0.0);
	struct firn_node error = { 0 };

	(void)state;
	assert_int_equal(firn_profile_two_points(change, lift, D, &error), FIRN_OK);
	assert_near(firn_value(error), error_K, 1e-19);
	assert_near_relative(firn_u(error), 4e-6 / (exp(lift_m / D_m) - 1.0), 1e-12);
	assert_int_equal(firn_profile_two_points(change, input(5.0, 0.0), D, &error),
			 FIRN_E_DOMAIN); /* in cm */
	assert_near(firn_value(error), error_K, 1e-19);
}

/* CCT Guide ch. 5 (2018), 5.2.1 and 5.2.2: 20 cm to 25 cm for 0.1 mK at 400 degC above 20 degC; 15
   cm for 0.05 mK in a triple-point cell, 20 K below the room. Ice bath (Techniques for
   Approximating the ITS-90, p. 32): 300 mm for about 1 mK. The lengths that follow by the law. */
static void test_lengths(void **state)
{
	static const struct {
		double difference_K, depth_m, error_K, length_mm;
	} rows[] = { { 380.0, 0.20, 0.1e-3, 13.2 },
		     { 380.0, 0.25, 0.1e-3, 16.5 },
		     { 20.0, 0.15, 0.05e-3, 11.6 },
		     { 20.0, 0.30, 1e-3, 30.3 } };
	double length_m = -1.0;

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		struct firn_node error;

		assert_int_equal(firn_immersion_length(rows[i].difference_K, 1.0, rows[i].depth_m,
						       rows[i].error_K, &length_m),
				 FIRN_OK);
		assert_near(1e3 * length_m, rows[i].length_mm, 0.05);
		assert_int_equal(firn_immersion_error(input(rows[i].difference_K, 0.0), 1.0,
						      input(rows[i].depth_m, 0.0),
						      input(length_m, 0.0), &error),
				 FIRN_OK);
		assert_near_relative(firn_value(error), rows[i].error_K, 1e-12);
	}
	length_m = -1.0;
	assert_int_equal(firn_immersion_length(20.0, 1.0, 0.2, 30.0, &length_m), FIRN_E_DOMAIN);
	assert_int_equal(firn_immersion_length(20.0, 1.0, 0.2, 0.0, &length_m), FIRN_E_DOMAIN);
	assert_near(length_m, -1.0, 0.0);
}

static void test_refused(void **state)
{
	struct firn_profile_point points[N];
	struct firn_profile profile = made(points, 20e-6, 0.02, NULL);
	struct firn_node residual[N];
	enum firn_profile_verdict verdict[N];
	struct firn_profile_line line = { .residual_K = residual,
					  .verdict = verdict,
					  .follows_m = -1.0 };
	struct firn_profile_fit fit = { .dof = -1.0 };

	(void)state;
	profile.n = 3;
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit), FIRN_E_DOMAIN);
	assert_int_equal(firn_profile_fit(&profile, input(0.02, 0.0), &fit), FIRN_E_DOMAIN);
	profile.n = N;
	assert_int_equal(firn_profile_line(&profile, 0.03, 15.0, &line), FIRN_E_DOMAIN); /* uK */
	points[3].height_m = points[2].height_m;
	assert_int_equal(firn_profile_line(&profile, 0.03, 15e-6, &line), FIRN_E_DOMAIN);
	points[3].height_m = 3.0; /* in cm */
	assert_int_equal(firn_profile_fit(&profile, (struct firn_node){ 0 }, &fit), FIRN_E_DOMAIN);
	assert_true(line.follows_m == -1.0 && fit.dof == -1.0);
}

int main(void)
{
	struct CMUnitTest tests[9];
	size_t n = 0;

	ADD_TEST(tests, n, test_undisturbed);
	ADD_TEST(tests, n, test_equation_28);
	ADD_TEST(tests, n, test_exact);
	ADD_TEST(tests, n, test_noise);
	ADD_TEST(tests, n, test_known_length);
	ADD_TEST(tests, n, test_common_part);
	ADD_TEST(tests, n, test_two_points);
	ADD_TEST(tests, n, test_lengths);
	ADD_TEST(tests, n, test_refused);
	return cmocka_run_group_tests_name("profile", tests, NULL, NULL);
}
