#include "tests/support/near.h"
#include "lib/tape/trials.h"

#include <stdlib.h>

enum { INPUTS = 12, MOST_NODES = 96, TRIALS = 1024 };

/* A model in which every operation stands, in every combination of constants and inputs that is
   played by a loop of its own. */
struct model {
	struct firn_tape *tape;
	struct firn_node x[INPUTS], y[MOST_NODES];
	size_t n;
};

static const double values[INPUTS] = { 0.7,  1.9,  -0.3, 2.5,   0.11, 3.7,
				       1.25, 0.45, 5.1,  0.083, 7.3,  0.62 };

static enum firn_status cube_plus(double x, double *ret_y, double *ret_slope)
{
	if (!(x < 100.0))
		return FIRN_E_DOMAIN;
	*ret_y = x * x * x + 1.0;
	*ret_slope = 3.0 * x * x;
	return FIRN_OK;
}

static void many_cubes_plus(size_t n, const double *x, double *ret_y)
{
	for (size_t i = 0; i < n; i++)
		ret_y[i] = x[i] < 100.0 ? x[i] * x[i] * x[i] + 1.0 : (double)NAN;
}

static const struct firn_function one_by_one = { "cube plus 1", cube_plus, NULL };
static const struct firn_function together = { "cube plus 1", cube_plus, many_cubes_plus };

static void add(struct model *m, struct firn_node y)
{
	assert_true(m->n < MOST_NODES);
	m->y[m->n++] = y;
}

static const char *const formulas[] = {
	"a + b",       "a + 3",       "3 + a",
	"a - b",       "a - 0.1",     "0.1 - a",
	"a*b",         "a*0.1",       "a/b",
	"a/3",         "3/a",         "a*a",
	"a^b",         "a^0.3",       "1.7^b",
	"a^3",         "a^-2",        "-a",
	"sqrt(a)",     "exp(a*b)",    "exp(-300*b)",
	"ln(b)",       "ln(1e-30*a)", "log10(b)",
	"sin(a)",      "cos(b)",      "tan(a)",
	"asin(a)",     "acos(a)",     "atan(b)",
	"abs(a - b)",  "abs(b - a)",  "min(a, b)",
	"min(b, a)",   "max(a, b)",   "max(a, 0.9)",
	"min(0.9, b)", "a",           "(a + b)*(a - b)/(a*b + 1)",
};

static struct firn_node find(void *context, const char *name, size_t length)
{
	const struct model *m = context;

	return length == 1 && name[0] >= 'a' && name[0] < 'a' + INPUTS ? m->x[name[0] - 'a']
								       : (struct firn_node){ 0 };
}

static void add_lists(struct model *m)
{
	static const double c[] = { 0.3, -1.7, 2.1, 1e-3, 12.0, -0.5 };
	const struct firn_node two = firn_constant(m->tape, 2.0);
	const struct firn_node mixed[] = { m->x[0], two, m->x[3], m->x[2], two, m->x[0] };

	for (size_t n = 1; n <= 6; n++) {
		add(m, firn_sum(n, m->x));
		add(m, firn_dot(n, m->x, m->x + 3));
		add(m, firn_linear(n, c, m->x + 1));
		add(m, firn_polynomial(n, c, m->x[0]));
		add(m, firn_sum(n, mixed));
		add(m, firn_dot(n, mixed, m->x));
		add(m, firn_linear(n, c, mixed));
	}
	add(m, two);
	add(m, firn_apply(&one_by_one, m->x[1]));
	add(m, firn_apply(&together, m->x[1]));
}

static void add_solutions(struct model *m)
{
	const struct firn_node one = firn_constant(m->tape, 1.0);
	struct firn_node a[18], b[6], x[3];

	for (size_t i = 0; i < 6; i++) {
		a[3 * i] = one;
		a[3 * i + 1] = m->x[i];
		a[3 * i + 2] = firn_mul(m->x[i], m->x[i]);
		b[i] = m->x[6 + i];
	}
	firn_least_squares(6, 3, a, b, x);
	for (size_t i = 0; i < 3; i++)
		add(m, x[i]);
	firn_least_squares(3, 3, a, b, x);
	add(m, x[1]); /* the others are not wanted */
	firn_least_squares(1, 1, a + 1, b, x);
	add(m, x[0]);
	firn_least_squares(6, 1, a + 1, b, x); /* elements that follow one another, column or not */
	add(m, x[0]);
	add(m, firn_root(m->tape, "d*(1 + k*x + 0.01*x^2) = 10*c + f", "x", 1.0, find, m));
	add(m, firn_root(m->tape, "exp(x) + x = b", "x", 0.0, find, m));
}

static void record(struct model *m, double relative_u)
{
	m->tape = firn_tape_new();
	m->n = 0;
	for (size_t i = 0; i < INPUTS; i++) {
		const char name[] = { (char)('a' + i), '\0' };

		m->x[i] = firn_tape_input(
		    m->tape, &(struct firn_input){ .name = name,
						   .value = values[i],
						   .u = relative_u * fabs(values[i]) });
	}
	for (size_t i = 0; i < sizeof(formulas) / sizeof(formulas[0]); i++)
		add(m, firn_formula_lookup(m->tape, formulas[i], find, m));
	add_lists(m);
	add_solutions(m);
	assert_int_equal(firn_tape_status(m->tape), FIRN_OK);
}

static struct replay_plan *plan_of(const struct model *m, size_t block, enum kernel_level level)
{
	struct replay_plan *plan = NULL;

	assert_int_equal(replay_plan_new(m->n, m->y, 5, block, level, &plan), FIRN_OK);
	return plan;
}

static bool same_bits(double a, double b)
{
	return memcmp(&a, &b, sizeof(a)) == 0;
}

/* Without uncertainty every trial is the recorded value. */
static void test_recorded_values(void **state)
{
	struct model m;

	(void)state;
	record(&m, 0.0);
	for (int level = LEVEL_PLAIN; level <= LEVEL_V4; level++) {
		double *got = malloc(m.n * TRIALS * sizeof(*got));
		struct replay_plan *plan;
		struct replay_work work;

		if (kernels_of((enum kernel_level)level) == NULL) {
			free(got);
			continue;
		}
		plan = plan_of(&m, 256, (enum kernel_level)level);
		assert_true(replay_work_new(plan, &work));
		trials_values(plan, &work, 0, TRIALS, got);
		for (size_t i = 0; i < m.n; i++)
			for (size_t t = 0; t < TRIALS; t++)
				if (!same_bits(got[i * TRIALS + t], firn_value(m.y[i])))
					fail_msg("output %zu at level %d: %.17g, not %.17g", i,
						 level, got[i * TRIALS + t], firn_value(m.y[i]));
		free(got);
		replay_work_free(&work);
		replay_plan_free(plan);
	}
	firn_tape_free(m.tape);
}

/* With uncertainty a trial is the same in every block, at every instruction set, at any place. */
static void test_blocks(void **state)
{
	static const size_t blocks[] = { 128, 256, 1024 };
	struct model m;
	double *want, *got;

	(void)state;
	record(&m, 1e-3);
	want = malloc(m.n * TRIALS * sizeof(*want));
	got = malloc(m.n * TRIALS * sizeof(*got));
	for (int level = LEVEL_PLAIN; level <= LEVEL_V4; level++) {
		for (size_t b = 0; b < 3 && kernels_of((enum kernel_level)level) != NULL; b++) {
			struct replay_plan *plan = plan_of(&m, blocks[b], (enum kernel_level)level);
			struct replay_work work;

			assert_true(replay_work_new(plan, &work));
			trials_values(plan, &work, 3000, TRIALS, got);
			if (level == LEVEL_PLAIN && b == 0)
				memcpy(want, got, m.n * TRIALS * sizeof(*want));
			assert_memory_equal(got, want, m.n * TRIALS * sizeof(*want));
			trials_values(plan, &work, 3100, 100, got); /* and a part of them */
			for (size_t i = 0; i < m.n; i++)
				assert_memory_equal(got + i * 100, want + i * TRIALS + 100,
						    100 * sizeof(*want));
			replay_work_free(&work);
			replay_plan_free(plan);
		}
	}
	free(want);
	free(got);
	firn_tape_free(m.tape);
}

struct kept {
	double y[MOST_NODES][128];
};

static void keep(void *context, size_t output, const double *y)
{
	struct kept *kept = context;

	memcpy(kept->y[output], y, sizeof(kept->y[output]));
}

/* Lanes 2i and 2i + 1 have input i moved up and down by 1e-5 of itself: the central difference is
   the derivative but for 1e-10 of the third one, and what rounding leaves over the step. */
static void test_displaced(void **state)
{
	struct model m;
	struct replay_plan *plan;
	struct replay_work work;
	static double given[INPUTS][128];
	static struct kept kept;

	(void)state;
	record(&m, 1e-3);
	plan = plan_of(&m, 128, LEVEL_BEST);
	assert_true(replay_work_new(plan, &work));
	for (size_t i = 0; i < INPUTS; i++) {
		for (size_t t = 0; t < 128; t++)
			given[i][t] = values[i];
		given[i][2 * i] = values[i] * (1.0 + 1e-5);
		given[i][2 * i + 1] = values[i] * (1.0 - 1e-5);
	}
	work.given = &given[0][0];
	plan->kernels->play(plan, &work, 0, keep, &kept);
	for (size_t k = 0; k < m.n; k++) {
		assert_true(same_bits(kept.y[k][127], firn_value(m.y[k])));
		for (size_t i = 0; i < INPUTS; i++) {
			const double step = given[i][2 * i] - given[i][2 * i + 1];
			const double slope = (kept.y[k][2 * i] - kept.y[k][2 * i + 1]) / step;
			const double size = fabs(firn_value(m.y[k])) + 1.0;

			assert_near(slope, firn_sensitivity(m.y[k], m.x[i]),
				    1e-7 * fabs(slope) + 1e-9 * size);
		}
	}
	replay_work_free(&work);
	replay_plan_free(plan);
	firn_tape_free(m.tape);
}

/* A plan holds what its outputs need and nothing else, in few buffers. */
static void test_plan(void **state)
{
	struct firn_tape *tape = firn_tape_new();
	struct firn_node x = firn_tape_input(tape, &(struct firn_input){ .name = "x", .u = 1.0 });
	struct firn_node y = x, unused = firn_mul(x, x);
	struct replay_plan *plan = NULL;

	(void)state;
	(void)unused;
	for (int i = 0; i < 100; i++)
		y = firn_add(y, x);
	assert_int_equal(replay_plan_new(1, &y, 1, 128, LEVEL_BEST, &plan), FIRN_OK);
	assert_int_equal(plan->n_steps, 102);
	assert_int_equal(plan->n_buffers, 3);
	replay_plan_free(plan);
	assert_int_equal(replay_plan_new(1, &y, 1, 100, LEVEL_BEST, &plan), FIRN_E_UNKNOWN);
	y.index = 0;
	assert_int_equal(replay_plan_new(1, &y, 1, 128, LEVEL_BEST, &plan), FIRN_E_UNKNOWN);
	firn_tape_free(tape);
}

/* Out of range, singular, without a root: NaN in that trial and no other. */
static void test_no_value(void **state)
{
	struct model m = { .tape = firn_tape_new() };
	static double given[3][128];
	static struct kept kept;
	struct replay_plan *plan;
	struct replay_work work;
	struct firn_node x[1];

	(void)state;
	for (size_t i = 0; i < 3; i++) {
		const char name[] = { (char)('a' + i), '\0' };

		m.x[i] = firn_tape_input(
		    m.tape, &(struct firn_input){ .name = name, .value = 2.0, .u = 1.0 });
		for (size_t t = 0; t < 128; t++)
			given[i][t] = 2.0;
	}
	add(&m, firn_formula_lookup(m.tape, "sqrt(a)", find, &m));
	add(&m, firn_formula_lookup(m.tape, "max(1, ln(a))", find, &m));
	add(&m, firn_apply(&one_by_one, m.x[1]));
	firn_least_squares(1, 1, &m.x[2], &m.x[0], x);
	add(&m, x[0]);
	add(&m, firn_root(m.tape, "x^2 = a", "x", 1.0, find, &m));
	plan = plan_of(&m, 128, LEVEL_BEST);
	assert_true(replay_work_new(plan, &work));
	given[0][17] = -1.0;
	given[1][17] = 200.0;
	given[2][17] = 0.0;
	work.given = &given[0][0];
	plan->kernels->play(plan, &work, 0, keep, &kept);
	for (size_t k = 0; k < m.n; k++)
		for (size_t t = 0; t < 128; t++)
			assert_true(isnan(kept.y[k][t]) == (t == 17));
	replay_work_free(&work);
	replay_plan_free(plan);
	firn_tape_free(m.tape);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_recorded_values), cmocka_unit_test(test_blocks),
		cmocka_unit_test(test_displaced),       cmocka_unit_test(test_plan),
		cmocka_unit_test(test_no_value),
	};

	return cmocka_run_group_tests_name("replay", tests, NULL, NULL);
}
