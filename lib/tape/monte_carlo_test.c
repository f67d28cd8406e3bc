#include "tests/support/near.h"
#include "lib/tape/trials.h"

#include <glib.h>
#include <stdlib.h>

/* ---- threads: a test's own, since the engine has none ---- */

struct share {
	size_t n, first, step;
	firn_work *work;
	void *context;
};

static gpointer do_share(gpointer data)
{
	const struct share *share = data;

	for (size_t i = share->n; i-- > 0;) /* backwards: no order is promised */
		if (i % share->step == share->first)
			share->work(share->context, i);
	return NULL;
}

static void run_threads(void *runner, size_t n, firn_work *work, void *context)
{
	const size_t threads = *(const size_t *)runner;
	struct share shares[8];
	GThread *running[8];

	for (size_t i = 0; i < threads; i++) {
		shares[i] = (struct share){ n, i, threads, work, context };
		running[i] = g_thread_new("share", do_share, &shares[i]);
	}
	for (size_t i = 0; i < threads; i++)
		g_thread_join(running[i]);
}

/* ---- models ---- */

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

enum { OUTPUTS = 9 };

/* Ordinary results, and awkward ones: constant, tied to a bound, rounded to two and to a few
   values, the small rest of large numbers, heavy tails, least squares. */
static void awkward(struct firn_tape *tape, struct firn_node y[OUTPUTS])
{
	const struct firn_node a = normal(tape, "a", 1e9, 1e-3, 0.0),
			       b = normal(tape, "b", 0.5, 0.1, 4.0),
			       c = normal(tape, "c", 0.0, 1.0, 2.0),
			       d = firn_tape_input(
				   tape, &(struct firn_input){ .name = "d",
							       .distribution = FIRN_RECTANGULAR,
							       .low = -0.9,
							       .high = 1.1 });
	struct firn_node x[2];

	y[0] = a;
	y[1] = b;
	y[2] = c;
	y[3] = firn_formula("max(d, 0)", d);
	y[4] = firn_constant(tape, 3.5);
	y[5] = firn_formula("(d/abs(d) + 1)*b*0 + d/abs(d)", d, b);
	y[6] = firn_formula("exp(b)*d", b, d);
	y[7] = firn_formula("0*a + 7", a);
	firn_least_squares(2, 2, (struct firn_node[]){ b, d, firn_constant(tape, 0.01), b },
			   (struct firn_node[]){ d, b }, x);
	y[8] = x[1];
	assert_int_equal(firn_tape_status(tape), FIRN_OK);
}

static void assert_same(double got, double want)
{
	if (!(got == want || (isnan(got) && isnan(want))))
		fail_msg("%.17g is not %.17g", got, want);
}

static void assert_same_result(const struct firn_monte_carlo_result *got,
			       const struct firn_monte_carlo_result *want)
{
	assert_same(got->value, want->value);
	assert_same(got->u, want->u);
	assert_same(got->low, want->low);
	assert_same(got->high, want->high);
	assert_same(got->low_noise, want->low_noise);
	assert_same(got->high_noise, want->high_noise);
	assert_same(got->shortest_low, want->shortest_low);
	assert_same(got->shortest_high, want->shortest_high);
}

/* Against every value stored and sorted: intervals equal, sums near. */
static void check_by_sorting(struct firn_tape *tape, uint64_t m, double p)
{
	struct firn_monte_carlo_settings s = settings(m);
	struct firn_monte_carlo_result got[OUTPUTS];
	struct firn_node y[OUTPUTS];
	struct replay_plan *plan;
	struct replay_work work;
	double *x = malloc(OUTPUTS * m * sizeof(*x));
	uint64_t q, r;

	s.coverage_probability = p;
	awkward(tape, y);
	assert_int_equal(firn_monte_carlo(OUTPUTS, y, &s, got), FIRN_OK);
	assert_int_equal(trials_plan(OUTPUTS, y, &s, &plan), FIRN_OK);
	assert_true(replay_work_new(plan, &work));
	trials_values(plan, &work, 0, m, x);
	statistics_ranks(m, p, &q, &r);
	for (size_t i = 0; i < OUTPUTS; i++) {
		double *v = x + i * m, low = v[0], least = (double)INFINITY, sum = 0.0,
		       squares = 0.0;

		statistics_sort(m, v);
		for (uint64_t j = 0; j + q < m; j++) {
			if (v[j + q] - v[j] < least) {
				least = v[j + q] - v[j];
				low = v[j];
			}
		}
		for (uint64_t j = 0; j < m; j++)
			sum += v[j] - firn_value(y[i]);
		for (uint64_t j = 0; j < m; j++)
			squares += pow(v[j] - firn_value(y[i]) - sum / (double)m, 2.0);
		assert_same(got[i].low, v[r - 1]);
		assert_same(got[i].high, v[r + q - 1]);
		assert_same(got[i].shortest_low, low);
		assert_near(got[i].shortest_high - got[i].shortest_low, least, 0.0);
		assert_true(got[i].no_u == (i == 2) && !got[i].no_mean && !got[i].no_value);
		assert_near(got[i].value, firn_value(y[i]) + sum / (double)m,
			    1e-12 * (1.0 + fabs(sum)) + 1e-15 * fabs(firn_value(y[i])));
		if (i != 2)
			assert_near_relative(got[i].u, sqrt(squares / (double)(m - 1)), 1e-11);
	}
	free(x);
	replay_work_free(&work);
	replay_plan_free(plan);
}

static void test_by_sorting(void **state)
{
	static const struct {
		uint64_t m;
		double p;
	} cases[] = { { 100, 0.95 },    { 4096, 0.95 },   { 12345, 0.6827 }, { 12345, 0.9973 },
		      { 270001, 0.95 }, { 300000, 0.99 }, { 300000, 0.001 } };

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		struct firn_tape *tape = firn_tape_new();

		check_by_sorting(tape, cases[i].m, cases[i].p);
		firn_tape_free(tape);
	}
}

/* Threads, blocks, instruction sets and the company of other outputs change no bit. */
static void test_same_bits(void **state)
{
	static const size_t threads[] = { 1, 2, 3, 5, 7 }, blocks[] = { 128, 256, 1024 };
	struct firn_monte_carlo_settings s = settings(300001);
	struct firn_monte_carlo_result want[OUTPUTS], got[OUTPUTS];
	double want_cov[9], cov[9];
	struct firn_node y[OUTPUTS];

	awkward(*state, y);
	for (int shortest = 0; shortest < 2; shortest++) {
		s.shortest = shortest == 1;
		s.level = 0;
		s.block = 0;
		s.run = NULL;
		assert_int_equal(firn_monte_carlo(OUTPUTS, y, &s, want), FIRN_OK);
		assert_int_equal(firn_monte_carlo_covariance(3, y + 1, &s, want_cov), FIRN_OK);
		for (size_t i = 0; i < 15; i++) {
			s.run = run_threads;
			s.runner = (void *)(uintptr_t)&threads[i / 3];
			s.block = blocks[i % 3];
			s.level = 1 + (int)(i % 2);
			if (kernels_of((enum kernel_level)s.level) == NULL)
				s.level = 1;
			assert_int_equal(firn_monte_carlo(OUTPUTS, y, &s, got), FIRN_OK);
			for (size_t j = 0; j < OUTPUTS; j++)
				assert_same_result(&got[j], &want[j]);
			assert_int_equal(firn_monte_carlo_covariance(3, y + 1, &s, cov), FIRN_OK);
			assert_memory_equal(cov, want_cov, sizeof(cov));
		}
		for (size_t i = 0; i < OUTPUTS; i++) {
			assert_int_equal(firn_monte_carlo(1, y + i, &s, got), FIRN_OK);
			assert_same_result(got, &want[i]);
		}
	}
}

/* One more input, before or after, leaves every other draw alone; the seed changes all. */
static void test_added_input(void **state)
{
	struct firn_monte_carlo_settings s = settings(10000);
	struct firn_monte_carlo_result r[4];
	struct firn_tape *other = firn_tape_new();

	for (int i = 0; i < 2; i++) {
		struct firn_tape *tape = i == 0 ? *state : other;

		if (i == 1)
			normal(tape, "new", 1.0, 1.0, 0.0);
		const struct firn_node a = normal(tape, "a", 0.0, 1.0, 3.0),
				       b = normal(tape, "b", 0.0, 1.0, 0.0),
				       y = firn_formula("a*b", a, b);
		assert_int_equal(firn_monte_carlo(1, &y, &s, &r[i]), FIRN_OK);
	}
	assert_same_result(&r[0], &r[1]);
	/* inputs of the same name are not the same input */
	const struct firn_node a = normal(other, "", 0.0, 1.0, 0.0),
			       b = normal(other, "", 0.0, 1.0, 0.0),
			       y = firn_formula("a - b", a, b);
	assert_int_equal(firn_monte_carlo(1, &y, &s, &r[2]), FIRN_OK);
	assert_near(r[2].u, sqrt(2.0), 5.0 / sqrt(10000.0));
	s.seed = 2;
	assert_int_equal(firn_monte_carlo(1, &y, &s, &r[3]), FIRN_OK);
	assert_true(r[3].value != r[2].value);
	firn_tape_free(other);
}

/* Of a standard normal the end at 1.96 scatters by sqrt(p (1 - p)/M) over its density, 0.0584; from
   the trials themselves this is known to some 10 %. */
static void test_noise(void **state)
{
	struct firn_monte_carlo_settings s = settings(1000000);
	const struct firn_node a = normal(*state, "a", 0.0, 1.0, 0.0);
	struct firn_monte_carlo_result got;

	for (int shortest = 0; shortest < 2; shortest++) {
		s.shortest = shortest == 1;
		assert_int_equal(firn_monte_carlo(1, &a, &s, &got), FIRN_OK);
		assert_near_relative(got.low_noise, 0.002671, 0.3);
		assert_near_relative(got.high_noise, 0.002671, 0.3);
	}
}

/* A trial outside the model's range spoils its output, not the others. */
static void test_no_value(void **state)
{
	struct firn_monte_carlo_settings s = settings(20000);
	const struct firn_node a = normal(*state, "a", 3.0, 1.0, 0.0);
	const struct firn_node y[] = { firn_formula("ln(a)", a), a };
	struct firn_monte_carlo_result got[2];

	assert_int_equal(firn_monte_carlo(2, y, &s, got), FIRN_OK);
	assert_true(got[0].no_value && isnan(got[0].value) && isnan(got[0].low));
	assert_true(!got[1].no_value && !isnan(got[1].value));
}

/* JCGM 101:2008, 7.9.2: the examples 0.000 35 g and 2 K; then a carry, and tens. */
static void test_tolerance(void **state)
{
	(void)state;
	assert_near_relative(firn_numerical_tolerance(0.00035, 2), 0.000005, 1e-14);
	assert_near_relative(firn_numerical_tolerance(2.0, 1), 0.5, 1e-14);
	assert_near_relative(firn_numerical_tolerance(0.996, 2), 0.05, 1e-14);
	assert_near_relative(firn_numerical_tolerance(123.0, 2), 5.0, 1e-14);
	assert_near(firn_numerical_tolerance(0.0, 2), 0.0, 0.0);
}

/* Clause 8: both ends count, and noise is allowed for. */
static void test_linear_law(void **state)
{
	const struct firn_monte_carlo_result quiet = { .low = -3.88, .high = 3.88 };
	const struct firn_monte_carlo_result noisy = {
		.low = -3.88, .high = 3.88, .low_noise = 0.01, .high_noise = 0.01
	};
	const struct firn_monte_carlo_result none = { .low = (double)NAN, .high = 1.0 };

	(void)state;
	assert_true(firn_linear_law_holds(0.0, 3.92, &quiet, 0.05));
	assert_false(firn_linear_law_holds(0.02, 3.92, &quiet, 0.05));
	assert_false(firn_linear_law_holds(-0.02, 3.92, &quiet, 0.05));
	assert_true(firn_linear_law_holds(0.02, 3.92, &noisy, 0.05));
	assert_false(firn_linear_law_holds(0.04, 3.92, &noisy, 0.05));
	assert_true(firn_linear_law_holds(0.0, 3.88, &quiet, 0.0));
	assert_false(firn_linear_law_holds(0.0, 1.0, &none, 10.0));
}

static void test_adaptive(void **state)
{
	struct firn_monte_carlo_settings s = settings(4000000), limited = settings(50000);
	const size_t threads = 3;
	const struct firn_node a = normal(*state, "a", 0.0, 2.0, 0.0),
			       c = firn_constant(*state, 4.0);
	uint64_t trials = 0, again = 0;
	bool stable = false;

	/* sd of the ends is 2.67 u/sqrt N: 2 x 2.67 x 2/sqrt N < 0.05 from N = 46,000 on with one
	   digit less ... and 0.05 with two, so some 46,000; with one digit the fewest blocks, 2 */
	assert_int_equal(firn_monte_carlo_enough(1, &a, &s, 2, &trials, &stable), FIRN_OK);
	assert_true(stable && trials % 10000 == 0 && trials >= 20000 && trials <= 150000);
	s.run = run_threads;
	s.runner = (void *)(uintptr_t)&threads;
	s.block = 1024;
	assert_int_equal(firn_monte_carlo_enough(1, &a, &s, 2, &again, &stable), FIRN_OK);
	assert_int_equal(again, trials);
	assert_int_equal(firn_monte_carlo_enough(1, &a, &limited, 4, &trials, &stable), FIRN_OK);
	assert_true(!stable && trials == 50000);
	assert_int_equal(firn_monte_carlo_enough(1, &c, &s, 2, &trials, &stable), FIRN_OK);
	assert_true(stable && trials == 20000);
	s.coverage_probability = 0.9999; /* blocks of 100/(1 - p) */
	assert_int_equal(firn_monte_carlo_enough(1, &c, &s, 2, &trials, &stable), FIRN_OK);
	assert_int_equal(trials, 2000000);
	const struct firn_node many[] = { c, c, c, c, c, c, c }; /* four of them at a time */
	assert_int_equal(firn_monte_carlo_enough(7, many, &s, 2, &again, &stable), FIRN_OK);
	assert_true(stable && again == trials);
	assert_int_equal(firn_monte_carlo_enough(1, &c, &s, 5, &trials, &stable), FIRN_E_DOMAIN);
}

/* More outputs than keep their tails at once: each has what it has alone. */
static void test_many(void **state)
{
	enum { MANY = 1300, TRIALS = 20000 };
	const struct firn_monte_carlo_settings s = settings(TRIALS);
	const struct firn_node x = normal(*state, "x", 1.0, 0.1, 0.0);
	struct firn_node *y = calloc(MANY, sizeof(*y));
	struct firn_monte_carlo_result *got = calloc(MANY, sizeof(*got)), alone;

	assert_true(y != NULL && got != NULL);
	for (size_t i = 0; i < MANY; i++)
		y[i] = firn_mul(firn_constant(*state, 1.0 + (double)i), x);
	assert_int_equal(firn_monte_carlo(MANY, y, &s, got), FIRN_OK);
	for (size_t i = 0; i < MANY; i += 433) {
		assert_int_equal(firn_monte_carlo(1, y + i, &s, &alone), FIRN_OK);
		assert_true(got[i].value == alone.value && got[i].u == alone.u &&
			    got[i].low == alone.low && got[i].high == alone.high &&
			    got[i].high_noise == alone.high_noise);
	}
	free(y);
	free(got);
}

static void test_refused(void **state)
{
	struct firn_monte_carlo_settings s = settings(99);
	struct firn_tape *other = firn_tape_new();
	struct firn_node y[2] = { normal(*state, "a", 0.0, 1.0, 0.0),
				  normal(other, "a", 0.0, 1.0, 0.0) };
	struct firn_monte_carlo_result got[2];

	assert_int_equal(firn_monte_carlo(1, y, &s, got), FIRN_E_DOMAIN);
	s = settings(1000);
	assert_int_equal(firn_monte_carlo(2, y, &s, got), FIRN_E_FOREIGN);
	s.coverage_probability = 1.0;
	assert_int_equal(firn_monte_carlo(1, y, &s, got), FIRN_E_DOMAIN);
	s = settings(1000);
	s.block = 100;
	assert_int_equal(firn_monte_carlo(1, y, &s, got), FIRN_E_UNKNOWN);
	y[0].index = 0;
	s.block = 0;
	assert_int_equal(firn_monte_carlo(1, y, &s, got), FIRN_E_UNKNOWN);
	firn_tape_free(other);
}

#define ON_TAPE(test) cmocka_unit_test_setup_teardown(test, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_TAPE(test_by_sorting), ON_TAPE(test_same_bits), ON_TAPE(test_added_input),
		ON_TAPE(test_noise),      ON_TAPE(test_no_value),  ON_TAPE(test_tolerance),
		ON_TAPE(test_linear_law), ON_TAPE(test_adaptive),  ON_TAPE(test_refused),
		ON_TAPE(test_many),
	};

	return cmocka_run_group_tests_name("monte_carlo", tests, NULL, NULL);
}
