/* What inputs are drawn from: moments, quantiles and correlations of the trials. */
#include "tests/support/near.h"
#include "firn/monte_carlo.h"

static int new_tape(void **state)
{
	*state = firn_tape_new();
	return *state == NULL;
}

static int free_tape(void **state)
{
	firn_tape_free(*state);
	return 0;
}

static struct firn_node normal(struct firn_tape *tape, const char *name, double value, double u,
			       double dof)
{
	return firn_tape_input(
	    tape, &(struct firn_input){ .name = name, .value = value, .u = u, .dof = dof });
}

static struct firn_monte_carlo_settings settings(uint64_t trials)
{
	return (struct firn_monte_carlo_settings){
		.trials = trials, .seed = 1, .coverage_probability = 0.95, .shortest = true
	};
}

/* JCGM 101:2008, Table 1: expectation, variance, and the 2.5 % and 97.5 % points where they have a
   closed form or, for t and gamma, by mpmath. kurtosis: fourth moment about the mean over u^4. */
static const struct {
	const char *name;
	struct firn_input input;
	double value, u, kurtosis, low, high; /* NaN: not checked */
} distributions[] = {
	{ "normal",
	  { .value = 2.0, .u = 0.5 },
	  2.0,
	  0.5,
	  3.0,
	  2.0 - 0.5 * 1.95996398454005424,
	  2.0 + 0.5 * 1.95996398454005424 },
	/* u is the scale; the standard deviation sqrt(nu/(nu - 2)) of it */
	{ "t with 5",
	  { .value = 2.0, .u = 0.5, .dof = 5.0 },
	  2.0,
	  0.645497224367902800,
	  9.0,
	  2.0 - 0.5 * 2.57058183661474,
	  2.0 + 0.5 * 2.57058183661474 },
	{ "t with 10, by its name",
	  { .distribution = FIRN_STUDENT_T, .value = 0.0, .u = 1.0, .dof = 10.0 },
	  0.0,
	  1.11803398874989485,
	  4.0,
	  -2.22813885196494,
	  2.22813885196494 },
	{ "rectangular",
	  { .distribution = FIRN_RECTANGULAR, .low = 1.0, .high = 3.0 },
	  2.0,
	  0.577350269189625765,
	  1.8,
	  1.05,
	  2.95 },
	{ "triangular",
	  { .distribution = FIRN_TRIANGULAR, .low = 1.0, .high = 3.0 },
	  2.0,
	  0.408248290463863016,
	  2.4,
	  1.22360679774997897,
	  2.77639320225002103 },
	/* corners of probability (1 - b)/(2(1 + b)) = 1/6 each */
	{ "trapezoidal",
	  { .distribution = FIRN_TRAPEZOIDAL, .low = 1.0, .high = 3.0, .shape = 0.5 },
	  2.0,
	  0.456435464587638415,
	  2.04,
	  1.19364916731037084,
	  2.80635083268962916 },
	{ "arc sine",
	  { .distribution = FIRN_ARCSINE, .low = 1.0, .high = 3.0 },
	  2.0,
	  0.707106781186547524,
	  1.5,
	  1.00308266678160,
	  2.99691733321840 },
	{ "curvilinear trapezoid", /* variance 1/3 + 0.04/9 */
	  { .distribution = FIRN_CURVILINEAR_TRAPEZOID, .low = 1.0, .high = 3.0, .shape = 0.2 },
	  2.0,
	  0.581186525805423,
	  1.9,
	  (double)NAN,
	  (double)NAN },
	{ "exponential",
	  { .distribution = FIRN_EXPONENTIAL, .value = 4.0 },
	  4.0,
	  4.0,
	  9.0,
	  0.101271231937159,
	  14.7555178164558 },
	{ "gamma", /* of 4 counts: G(5, 1) */
	  { .distribution = FIRN_GAMMA, .shape = 5.0, .u = 1.0 },
	  5.0,
	  2.23606797749978970,
	  4.2,
	  1.62348639007430,
	  10.2415888564447 },
};

static void test_distributions(void **state)
{
	enum { M = 1000000 };
	struct firn_monte_carlo_settings s = settings(M);

	for (size_t i = 0; i < sizeof(distributions) / sizeof(distributions[0]); i++) {
		struct firn_input input = distributions[i].input;
		const double u = distributions[i].u;
		struct firn_monte_carlo_result got;

		input.name = distributions[i].name;
		const struct firn_node x = firn_tape_input(*state, &input);
		assert_int_equal(firn_monte_carlo(1, &x, &s, &got), FIRN_OK);
		assert_near(got.value, distributions[i].value, 5.0 * u / sqrt(M));
		assert_near(got.u, u, 5.0 * u * sqrt((distributions[i].kurtosis - 1.0) / 4.0 / M));
		if (isnan(distributions[i].low))
			continue;
		/* the standard deviation of the count beyond is sqrt(M p (1 - p)); the density
		   there is judged by moving p by 5 of them through a chord of the interval from 2
		   to 3 % */
		s.coverage_probability = 0.94;
		struct firn_monte_carlo_result wider, narrower;
		assert_int_equal(firn_monte_carlo(1, &x, &s, &narrower), FIRN_OK);
		s.coverage_probability = 0.96;
		assert_int_equal(firn_monte_carlo(1, &x, &s, &wider), FIRN_OK);
		s.coverage_probability = 0.95;
		const double sigmas = 5.0 * sqrt(0.025 * 0.975 / M) / 0.01;
		assert_near(got.low, distributions[i].low, sigmas * (narrower.low - wider.low));
		assert_near(got.high, distributions[i].high, sigmas * (wider.high - narrower.high));
	}
}

/* A group: covariances as stated, within 5 sigma; r = 1 and -1 exactly. */
static void test_correlated(void **state)
{
	static const double rs[] = { 0.0, 0.9, 1.0, -1.0, -0.5 };
	enum { M = 200000 };
	struct firn_monte_carlo_settings s = settings(M);

	(void)state;
	for (size_t i = 0; i < 5; i++) {
		for (int dof = 0; dof <= 8; dof += 8) {
			struct firn_tape *tape = firn_tape_new();
			const struct firn_node a = normal(tape, "a", 1.0, 2.0, dof),
					       b = normal(tape, "b", 1.0, 2.0, dof);
			const struct firn_node y[] = { a, b, firn_formula("a - b", a, b),
						       firn_formula("a + b", a, b) };
			struct firn_monte_carlo_result got[4];
			double cov[16];
			/* t: variances times nu/(nu - 2), the sampling noise by its kurtosis of 4.5
			 */
			const double factor = dof == 0 ? 1.0 : 8.0 / 6.0,
				     noise = dof == 0 ? 2.0 : 4.0;

			assert_int_equal(firn_tape_correlate(a, b, rs[i]), FIRN_OK);
			assert_int_equal(firn_monte_carlo(4, y, &s, got), FIRN_OK);
			assert_int_equal(firn_monte_carlo_covariance(4, y, &s, cov), FIRN_OK);
			assert_near(cov[0], 4.0 * factor, 20.0 * factor * sqrt(noise / M));
			assert_near(cov[1], 4.0 * factor * rs[i], 20.0 * factor * sqrt(noise / M));
			assert_near(cov[1], cov[4], 0.0);
			assert_near(cov[5], got[1].u * got[1].u, 1e-12);
			if (rs[i] == 1.0)
				assert_near(got[2].u, 0.0, 0.0);
			if (rs[i] == -1.0)
				assert_near(got[3].u, 0.0, 1e-15);
			assert_false(got[0].copula);
			firn_tape_free(tape);
		}
	}
}

/* Readings taken together: one chi-squared for both, so that any linear combination is itself a t
   of the same degrees of freedom: 97.5 % point for 4, 2.776 (JCGM 100:2008, Table G.2) times u.
   Drawn apart, what they have in common would be lost: 2.55 times u (by trials). */
static void test_together(void **state)
{
	static const double x[] = { 1.0, -1.0, 0.0, 2.0, -2.0 };
	static const double flat[] = { 1.0, -1.0, -1.0, 1.0, 0.0 };
	struct firn_monte_carlo_settings s = settings(400000);
	struct firn_monte_carlo_result got;
	const struct firn_node a = firn_tape_readings(*state, "a", "", 5, x),
			       b = firn_tape_readings(*state, "b", "", 5, flat);
	double u_a = firn_u(a), u_b = firn_u(b);

	assert_int_equal(firn_tape_readings_together(a, b, 5, x, flat), FIRN_OK);
	struct firn_node y = firn_formula("a + b", a, b);
	assert_int_equal(firn_monte_carlo(1, &y, &s, &got), FIRN_OK);
	assert_false(got.copula);
	const double r = (firn_u(y) * firn_u(y) - u_a * u_a - u_b * u_b) / (2.0 * u_a * u_b);
	assert_true(fabs(r) <= 1.0);
	/* density of t4 at its 97.5 % point is 0.0193: 5 sqrt(p (1 - p)/M)/0.0193 = 0.064 */
	assert_near(got.high / firn_u(y), 2.7764451051977987, 0.064);
	assert_near(got.low / firn_u(y), -2.7764451051977987, 0.064);
	assert_near_relative(got.u, firn_u(y) * sqrt(2.0), 0.05); /* heavy: kurtosis infinite */
}

/* Correlated and not normal: each its own distribution, said to be outside JCGM 101. */
static void test_copula(void **state)
{
	static const struct firn_input inputs[] = {
		{ .name = "a", .distribution = FIRN_RECTANGULAR, .low = 0.0, .high = 1.0 },
		{ .name = "b", .distribution = FIRN_TRIANGULAR, .low = 1.0, .high = 3.0 },
		{ .name = "c",
		  .distribution = FIRN_TRAPEZOIDAL,
		  .low = 1.0,
		  .high = 3.0,
		  .shape = 0.5 },
		{ .name = "d", .distribution = FIRN_ARCSINE, .low = 1.0, .high = 3.0 },
		{ .name = "e",
		  .distribution = FIRN_CURVILINEAR_TRAPEZOID,
		  .low = 1.0,
		  .high = 3.0,
		  .shape = 0.2 },
		{ .name = "f", .distribution = FIRN_EXPONENTIAL, .value = 4.0 },
		{ .name = "g", .distribution = FIRN_GAMMA, .shape = 5.0, .u = 2.0 },
		{ .name = "h", .value = 1.0, .u = 2.0 },
		{ .name = "i", .value = 1.0, .u = 2.0, .dof = 9.0 },
	};
	enum { N = 9, M = 40000 };
	struct firn_monte_carlo_settings s = settings(M);
	struct firn_monte_carlo_result got[N], alone[N];
	struct firn_node y[N];
	struct firn_tape *other = firn_tape_new();
	double cov[N * N];

	for (size_t i = 0; i < N; i++)
		y[i] = firn_tape_input(other, &inputs[i]);
	assert_int_equal(firn_monte_carlo(N, y, &s, alone), FIRN_OK);
	for (size_t i = 0; i < N; i++) {
		y[i] = firn_tape_input(*state, &inputs[i]);
		for (size_t j = 0; j < i; j++)
			assert_int_equal(firn_tape_correlate(y[i], y[j], 0.6), FIRN_OK);
	}
	assert_int_equal(firn_monte_carlo(N, y, &s, got), FIRN_OK);
	assert_int_equal(firn_monte_carlo_covariance(N, y, &s, cov), FIRN_OK);
	for (size_t i = 0; i < N; i++) {
		const double u = alone[i].u, width = alone[i].high - alone[i].low;

		assert_true(got[i].copula && !alone[i].copula);
		/* two samples: 5 sqrt 2 standard deviations; 4 % of u for the kurtosis of 9 */
		assert_near(got[i].value, alone[i].value, 7.1 * u / sqrt(M));
		assert_near_relative(got[i].u, u, 0.06);
		assert_near(got[i].low, alone[i].low, 0.04 * width);
		assert_near(got[i].high, alone[i].high, 0.04 * width);
		/* r of the scores is 0.6; of the quantities a little less, 0.5 for the most skewed
		 */
		for (size_t j = 0; j < i; j++)
			assert_near(cov[i * N + j] / (got[i].u * got[j].u), 0.56, 0.07);
	}
	firn_tape_free(other);
}

/* t with few degrees of freedom: interval only, and said so. 97.5 % points of t with 1 and 2:
   tan(0.475 pi) and 0.95 sqrt(2/(1 - 0.95^2)). */
static void test_few_degrees(void **state)
{
	struct firn_monte_carlo_settings s = settings(1000000);
	const struct firn_node y[] = { normal(*state, "a", 0.0, 1.0, 1.0),
				       normal(*state, "b", 0.0, 1.0, 2.0),
				       normal(*state, "c", 0.0, 1.0, 2.5) };
	struct firn_monte_carlo_result got[3];

	assert_int_equal(firn_monte_carlo(3, y, &s, got), FIRN_OK);
	assert_true(got[0].no_mean && got[0].no_u && isnan(got[0].value) && isnan(got[0].u));
	assert_true(!got[1].no_mean && got[1].no_u && !isnan(got[1].value) && isnan(got[1].u));
	assert_true(!got[2].no_u && !isnan(got[2].u));
	/* densities there are 0.0020 and 0.0103: 5 sqrt(p (1 - p)/M) over them */
	assert_near(got[0].high, 12.7062047361747, 0.4);
	assert_near(got[1].high, 4.30265272974946, 0.08);
}

#define ON_TAPE(test) cmocka_unit_test_setup_teardown(test, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_TAPE(test_distributions), ON_TAPE(test_correlated),  ON_TAPE(test_together),
		ON_TAPE(test_copula),        ON_TAPE(test_few_degrees),
	};

	return cmocka_run_group_tests_name("draws", tests, NULL, NULL);
}
