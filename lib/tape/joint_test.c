#include "firn/joint.h"
#include "lib/tape/joint.h"
#include "tests/support/near.h"

#include <stdlib.h>

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

static struct firn_node normal(struct firn_tape *tape, const char *name, double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = name, .value = value, .u = u });
}

static struct firn_node rectangular(struct firn_tape *tape, const char *name, double low,
				    double high)
{
	return firn_tape_input(
	    tape, &(struct firn_input){
		      .name = name, .distribution = FIRN_RECTANGULAR, .low = low, .high = high });
}

static struct firn_monte_carlo_settings settings(uint64_t trials)
{
	return (struct firn_monte_carlo_settings){ .trials = trials,
						   .seed = 1,
						   .coverage_probability = 0.95 };
}

/* Tasks backwards: no order is promised. */
static void backwards(void *runner, size_t n, firn_work *work, void *context)
{
	(void)runner;
	while (n-- > 0)
		work(context, n);
}

enum { OUTPUTS = 6 };

static void model(struct firn_tape *tape, struct firn_node y[OUTPUTS])
{
	const struct firn_node a = normal(tape, "a", 10.0, 0.3), b = normal(tape, "b", 0.0, 1.0),
			       c = rectangular(tape, "c", 0.0, 1.0);

	y[0] = a;
	y[1] = firn_formula("b^2", b);
	y[2] = c;
	y[3] = firn_formula("a + b + c", a, b, c);
	y[4] = firn_formula("exp(3*b)", b);
	y[5] = firn_formula("max(c, 0.9)", c);
	assert_int_equal(firn_tape_status(tape), FIRN_OK);
}

/* [output][m], from the same trials. */
static double *stored(size_t n, const struct firn_node *y,
		      const struct firn_monte_carlo_settings *s)
{
	double *x = malloc(n * s->trials * sizeof(*x));
	struct replay_plan *plan;
	struct replay_work work;

	assert_int_equal(trials_plan(n, y, s, &plan), FIRN_OK);
	assert_true(x != NULL && replay_work_new(plan, &work));
	trials_values(plan, &work, 0, s->trials, x);
	replay_work_free(&work);
	replay_plan_free(plan);
	return x;
}

/* ---- histogram ---- */

static void test_histogram_counts(void **state)
{
	const struct firn_monte_carlo_settings s = settings(50001);
	struct firn_histogram h[OUTPUTS];
	struct firn_node y[OUTPUTS];

	model(*state, y);
	assert_int_equal(firn_monte_carlo_histogram(OUTPUTS, y, &s, h), FIRN_OK);
	double *x = stored(OUTPUTS, y, &s);
	for (size_t i = 0; i < OUTPUTS; i++) {
		uint64_t counts[FIRN_HISTOGRAM_MOST_BINS] = { 0 }, below = 0, above = 0;

		assert_in_range(h[i].n, 20, 53);
		for (size_t t = 0; t < s.trials; t++) {
			const double place = floor((x[i * s.trials + t] - h[i].from) / h[i].width);

			if (place < 0.0)
				below++;
			else if (place >= (double)h[i].n)
				above++;
			else
				counts[(size_t)place]++;
		}
		assert_int_equal(h[i].below, below);
		assert_int_equal(h[i].above, above);
		assert_memory_equal(h[i].counts, counts, sizeof(counts));
	}
	free(x);
}

static void test_histogram_bins(void **state)
{
	struct firn_monte_carlo_settings s = settings(100000);
	const struct firn_node c = rectangular(*state, "c", 99.9, 100.1),
			       n = normal(*state, "n", 0.0, 1.0),
			       tiny = normal(*state, "tiny", 1.0, 1e-17),
			       m = normal(*state, "m", 1.0, 1.0);
	const struct firn_node n2 = firn_formula("1e-7*n", n), bad = firn_formula("ln(m)", m);
	const struct firn_node y[] = { c, n, n2, firn_constant(*state, 3.0), tiny, bad };
	struct firn_histogram h[6];

	assert_int_equal(firn_monte_carlo_histogram(6, y, &s, h), FIRN_OK);
	/* 0.2 wide: in fiftieths 0.004, so 0.005 and 40 bins, each with a fortieth of the trials */
	assert_near(h[0].width, 0.005, 0.0);
	assert_near(h[0].from, 99.9, 1e-12);
	assert_int_equal(h[0].n, 40);
	for (size_t i = 0; i < 40; i++) /* five standard deviations of a count */
		assert_near((double)h[0].counts[i], 2500.0, 5.0 * sqrt(2500.0));
	assert_true(h[0].below == 0 && h[0].above == 0);
	/* some 3.5 u each way: 7/50 is 0.14, so 0.2. Of 4096 trials none lies outside, so of 10^5
	   some 50, with the scatter of an extreme value: five times as many once in 150 seeds */
	assert_near(h[1].width, 0.2, 0.0);
	assert_true(h[1].below + h[1].above < 250);
	/* P(0 <= z < 0.2) = 0.0792597 (normal integral) */
	const size_t middle = (size_t)floor(-h[1].from / 0.2 + 0.5);
	assert_near((double)h[1].counts[middle], 7925.97, 5.0 * sqrt(7925.97));
	assert_near(h[2].width, 2e-8, 0.0);
	assert_memory_equal(h[2].counts, h[1].counts, sizeof(h[1].counts));
	assert_int_equal(h[3].n, 0);
	assert_int_equal(h[4].n, 0); /* below what a double holds beside 1: all values are 1 */
	assert_int_equal(h[5].n, 0); /* a logarithm of a negative number */
}

/* ---- regions ---- */

/* Squared distance of one trial in the measure of the covariance of two results. */
static double square_of_two(const double *cov, const double *d)
{
	const double det = cov[0] * cov[3] - cov[1] * cov[2];

	return (cov[3] * d[0] * d[0] - 2.0 * cov[1] * d[0] * d[1] + cov[0] * d[1] * d[1]) / det;
}

static void test_joint_by_sorting(void **state)
{
	for (uint64_t m = 100; m <= 100100; m += 25000) {
		const struct firn_monte_carlo_settings s = settings(m);
		struct firn_joint_region got;
		struct firn_node y[OUTPUTS];
		double mean[2], cov[4], want[4];
		uint64_t q, r;
		struct firn_tape *tape = firn_tape_new();

		(void)state;
		model(tape, y);
		const struct firn_node pair[] = { y[1], y[3] };
		assert_int_equal(firn_monte_carlo_joint(2, pair, &s, mean, cov, &got), FIRN_OK);
		assert_int_equal(firn_monte_carlo_covariance(2, pair, &s, want), FIRN_OK);
		assert_memory_equal(cov, want, sizeof(cov));
		double *x = stored(2, pair, &s), *square = malloc(m * sizeof(double)),
		       *largest = malloc(m * sizeof(double));
		for (size_t t = 0; t < m; t++) {
			const double d[] = { x[t] - mean[0], x[m + t] - mean[1] };

			square[t] = square_of_two(cov, d);
			largest[t] = fmax(fabs(d[0]) / sqrt(cov[0]), fabs(d[1]) / sqrt(cov[3]));
		}
		statistics_ranks(m, 0.95, &q, &r);
		statistics_sort(m, square);
		statistics_sort(m, largest);
		/* the closed form of the inverse rounds otherwise than the factor does */
		assert_near(got.k_ellipsoid, sqrt(square[q - 1]), 1e-13 * got.k_ellipsoid);
		assert_near(got.k_rectangle, largest[q - 1], 1e-15 * got.k_rectangle);
		free(x);
		free(square);
		free(largest);
		firn_tape_free(tape);
	}
}

/* Threads in any order and other blocks change no bit. */
static void test_same_bits(void **state)
{
	struct firn_monte_carlo_settings s = settings(100003);
	struct firn_histogram want_h[OUTPUTS], h[OUTPUTS];
	double want_mean[3], want_cov[9], mean[3], cov[9];
	struct firn_joint_region want, got;
	struct firn_node y[OUTPUTS];

	model(*state, y);
	assert_int_equal(firn_monte_carlo_histogram(OUTPUTS, y, &s, want_h), FIRN_OK);
	assert_int_equal(firn_monte_carlo_joint(3, y, &s, want_mean, want_cov, &want), FIRN_OK);
	s.run = backwards;
	for (s.block = 128; s.block <= 1024; s.block *= 2) {
		assert_int_equal(firn_monte_carlo_histogram(OUTPUTS, y, &s, h), FIRN_OK);
		for (size_t i = 0; i < OUTPUTS; i++) {
			assert_true(h[i].from == want_h[i].from && h[i].n == want_h[i].n);
			assert_memory_equal(h[i].counts, want_h[i].counts, sizeof(h[i].counts));
		}
		assert_int_equal(firn_monte_carlo_joint(3, y, &s, mean, cov, &got), FIRN_OK);
		assert_memory_equal(mean, want_mean, sizeof(mean));
		assert_memory_equal(cov, want_cov, sizeof(cov));
		assert_memory_equal(&got, &want, sizeof(got));
	}
}

/*
 * JCGM 102:2011, 7.7: k = 2.45 (95 %) and 3.03 (99 %) for two, 2.80 for three normal results (from
 * memory, recomputed: for two in closed form, the root of -2 ln(1 - p)).
 */
static void test_factors(void **state)
{
	(void)state;
	assert_near(firn_joint_factor_ellipsoid(2, 0.95), sqrt(-2.0 * log(0.05)), 1e-14);
	assert_near(firn_joint_factor_ellipsoid(2, 0.99), sqrt(-2.0 * log(0.01)), 1e-14);
	assert_near(firn_joint_factor_ellipsoid(2, 0.95), 2.45, 0.005);
	assert_near(firn_joint_factor_ellipsoid(2, 0.99), 3.03, 0.005);
	assert_near(firn_joint_factor_ellipsoid(3, 0.95), 2.80, 0.005);
	/* with one result both are the ordinary factor, 1.959963984540054 */
	assert_near(firn_joint_factor_ellipsoid(1, 0.95), 1.959963984540054, 1e-14);
	assert_near(firn_joint_factor_rectangle(1, 0.95), 1.959963984540054, 1e-14);
	/* 98.75 % point of the standard normal, for 1 - 0.05/2 (normal integral) */
	assert_near(firn_joint_factor_rectangle(2, 0.95), 2.241402727604947, 1e-14);
	assert_true(isfinite(firn_joint_factor_ellipsoid(1000, 0.999)));
	assert_true(isnan(firn_joint_factor_ellipsoid(0, 0.95)));
	assert_true(isnan(firn_joint_factor_rectangle(2, 1.0)));
	assert_true(isnan(firn_joint_factor_ellipsoid(2, (double)NAN)));
}

/* Where there is no region, and where there is one without an ellipsoid. */
static void test_no_region(void **state)
{
	struct firn_monte_carlo_settings s = settings(20000);
	const struct firn_node a = normal(*state, "a", 1.0, 0.1);
	const struct firn_node rigid[] = { a, firn_formula("3 - 2*a", a) };
	const struct firn_node constant[] = { a, firn_constant(*state, 1.0) };
	const struct firn_node near_zero = firn_formula("a - 0.9", a);
	const struct firn_node wild[] = { a, firn_formula("ln(near_zero)", near_zero) };
	struct firn_joint_region got;
	double mean[2], cov[4];

	assert_int_equal(firn_monte_carlo_joint(2, rigid, &s, mean, cov, &got), FIRN_OK);
	assert_true(isnan(got.k_ellipsoid) && isnan(got.k_ellipsoid_noise));
	/* both are one quantity: the ordinary factor, within 5 standard deviations of its rank */
	assert_near(got.k_rectangle, 1.959963984540054, 5.0 * got.k_rectangle_noise);
	assert_near(got.k_rectangle_noise, sqrt(0.95 * 0.05 / 20000.0) / (2.0 * 0.0584),
		    0.3 * got.k_rectangle_noise);
	assert_int_equal(firn_monte_carlo_joint(2, constant, &s, mean, cov, &got), FIRN_OK);
	assert_true(isnan(got.k_ellipsoid) && isnan(got.k_rectangle));
	assert_near(cov[3], 0.0, 0.0);
	assert_int_equal(firn_monte_carlo_joint(2, wild, &s, mean, cov, &got), FIRN_OK);
	assert_true(isnan(got.k_ellipsoid) && isnan(got.k_rectangle));
	s.trials = FIRN_JOINT_MOST_TRIALS + 1;
	assert_int_equal(firn_monte_carlo_joint(2, rigid, &s, mean, cov, &got), FIRN_E_DOMAIN);
	s.trials = 99;
	assert_int_equal(firn_monte_carlo_joint(2, rigid, &s, mean, cov, &got), FIRN_E_DOMAIN);
}

#define ON_TAPE(test) cmocka_unit_test_setup_teardown(test, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_TAPE(test_histogram_counts),
		ON_TAPE(test_histogram_bins),
		ON_TAPE(test_same_bits),
		ON_TAPE(test_no_region),
		cmocka_unit_test(test_joint_by_sorting),
		cmocka_unit_test(test_factors),
	};

	return cmocka_run_group_tests_name("joint", tests, NULL, NULL);
}
