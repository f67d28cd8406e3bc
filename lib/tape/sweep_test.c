/* How a sweep walks: over what a result stands on, and nothing else. */
#include "tests/support/near.h"
#include "firn/tape.h"

static struct firn_node input(struct firn_tape *tape, double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = "x", .value = value, .u = u });
}

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

/* Many results that share nothing, so that every distance between a result and what it stands on
   occurs, in the place of every bit of a word. */
static void test_apart(void **state)
{
	enum { N = 150 };
	struct firn_tape *tape = *state;
	struct firn_node x[N], square[N];

	for (int i = 0; i < N; i++)
		x[i] = input(tape, i + 1.0, 0.5);
	for (int i = 0; i < N; i++)
		square[i] = firn_mul(x[i], x[N - 1 - i]);
	for (int i = 0; i < N; i++)
		for (int j = 0; j < N; j++) {
			const bool stands = j == i || j == N - 1 - i;

			assert_true(firn_sensitivity(square[i], x[j]) ==
				    (stands ? firn_value(x[N - 1 - j]) : 0.0));
			assert_true(firn_depends(square[i], x[j]) == stands);
		}
	/* (ab)^2: u^2 = (a^2 + b^2) u_x^2 */
	assert_near(firn_u(square[0]), 0.5 * sqrt(N * N + 1.0), 1e-13);
}

/* A chain of one node after another: each derivative is the power of the factor, exact for 2. */
static void test_chain(void **state)
{
	enum { N = 200 };
	struct firn_tape *tape = *state;
	const struct firn_node two = firn_constant(tape, 2.0);
	struct firn_node y[N + 1];

	y[0] = input(tape, 1.0, 1.0);
	for (int i = 0; i < N; i++)
		y[i + 1] = firn_mul(two, y[i]);
	for (int i = 0; i <= N; i++) {
		assert_true(firn_sensitivity(y[N], y[i]) == ldexp(1.0, N - i));
		assert_true(firn_sensitivity(y[i], y[0]) == ldexp(1.0, i));
		assert_true(firn_sensitivity(y[0], y[i]) == (i == 0 ? 1.0 : 0.0));
	}
	/* and by a number: y = 2^N = two^N, N 2^(N-1) */
	assert_true(firn_sensitivity(y[N], two) == N * ldexp(1.0, N - 1));
}

/* Sweeps that share their memory, one over both unknowns, the next over one of them: x = b1/2 and
   y = b2/4, so what b1 contributes to y is nothing, whatever the sweep before left behind. */
static void test_one_after_another(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node zero = firn_constant(tape, 0.0);
	const struct firn_node b[] = { input(tape, 6.0, 0.3), input(tape, 8.0, 0.4) };
	const struct firn_node a[] = { input(tape, 2.0, 0.0), zero, zero, input(tape, 4.0, 0.0) };
	struct firn_node x[2], y[3];
	double cov[9];

	firn_least_squares(2, 2, a, b, x);
	y[0] = firn_add(x[0], x[1]);
	y[1] = firn_add(x[1], zero);
	y[2] = firn_add(x[0], zero);
	assert_int_equal(firn_covariance(3, y, cov), FIRN_OK);
	/* u(x)^2 = 0.15^2, u(y)^2 = 0.1^2; rounded a few times */
	assert_near(cov[0], 0.0225 + 0.01, 1e-17);
	assert_near(cov[4], 0.01, 1e-17);
	assert_near(cov[8], 0.0225, 1e-17);
	assert_near(cov[1], 0.01, 1e-17);
	assert_near(cov[2], 0.0225, 1e-17);
	assert_near(cov[5], 0.0, 1e-17);
	assert_false(firn_depends(y[2], x[1]));
	assert_true(firn_depends(y[1], b[0])); /* through the operation, though not in value */
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(test_apart, new_tape, free_tape),
		cmocka_unit_test_setup_teardown(test_chain, new_tape, free_tape),
		cmocka_unit_test_setup_teardown(test_one_after_another, new_tape, free_tape),
	};

	return cmocka_run_group_tests_name("sweep", tests, NULL, NULL);
}
