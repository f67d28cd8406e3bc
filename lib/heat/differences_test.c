/* A plain model on the tape: slopes, uncertainty, what the linear law leaves, refusals. */
#include "firn/conduction.h"
#include "firn/differences.h"
#include "firn/heat.h"

#include "tests/support/near.h"

static struct firn_node quantity(struct firn_tape *tape, const char *name, double value, double u)
{
	return firn_tape_input(
	    tape, &(struct firn_input){
		      .name = name, .unit = "1", .source = "made up", .value = value, .u = u });
}

/* y = x0^2 + 3 x1, z = x0 x1; `calls` counts, and fails from a number on. */
struct made_up {
	int calls, fail_from;
};

static enum firn_status made_up(void *context, const double *x, double *ret_y)
{
	struct made_up *m = context;

	if (++m->calls >= m->fail_from)
		return FIRN_E_SINGULAR;
	ret_y[0] = x[0] * x[0] + 3 * x[1];
	ret_y[1] = x[0] * x[1];
	return FIRN_OK;
}

static const char *const two_names[] = { "x0", "x1" };

static void slopes_and_bend(void **state)
{
	struct firn_tape *tape = firn_tape_new();
	const struct firn_node x[] = { quantity(tape, "x0", 2, 0.1), quantity(tape, "x1", 5, 0.2) };
	struct made_up m = { 0, 1000 };
	struct firn_node y[2];
	double bend[2];

	(void)state;
	assert_int_equal(firn_by_differences(2, x, two_names, 2, made_up, &m, y, bend), FIRN_OK);
	assert_int_equal(m.calls, 5);
	assert_near(firn_value(y[0]), 19, 0);
	assert_near(firn_value(y[1]), 10, 0);
	/* 2 x0 = 4 and 3; x1 = 5 and x0 = 2: central differences are exact for both. */
	assert_near(firn_sensitivity(y[0], x[0]), 4, 1e-12);
	assert_near(firn_sensitivity(y[0], x[1]), 3, 1e-12);
	assert_near(firn_u(y[0]), hypot(4 * 0.1, 3 * 0.2), 1e-12);
	assert_near(firn_u(y[1]), hypot(5 * 0.1, 2 * 0.2), 1e-12);
	/* The square departs by u^2; the product, moved one by one, not at all. */
	assert_near(bend[0], 0.01, 1e-12);
	assert_near(bend[1], 0, 1e-12);
	firn_tape_free(tape);
}

static void refusals(void **state)
{
	struct firn_tape *tape = firn_tape_new();
	const struct firn_node x[] = { quantity(tape, "x0", 2, 0.1), quantity(tape, "x1", 5, 0.2) };
	struct firn_node y[2] = { { 0 } };

	(void)state;
	for (int fail_from = 1; fail_from <= 5; fail_from++) {
		struct made_up m = { 0, fail_from };

		assert_int_equal(firn_by_differences(2, x, two_names, 2, made_up, &m, y, NULL),
				 FIRN_E_SINGULAR);
	}
	assert_int_equal(firn_by_differences(0, x, two_names, 2, made_up, NULL, y, NULL),
			 FIRN_E_DOMAIN);
	assert_null(y[0].tape);
	firn_tape_free(tape);
}

/* Heat through a shell on a grid, with the uncertainty of its conductivity and radius: the closed
   form's own derivatives. Q = 2 pi k l dT/ln(b/a). */
static enum firn_status shell_on_a_grid(void *context, const double *x, double *ret_y)
{
	const struct firn_region shell = {
		.r0_m = 3e-3, .r1_m = x[1], .z1_m = 0.1, .of.k_W_per_mK = x[0]
	};
	const struct firn_boundary held[] = { { FIRN_INNER, 0, 0, INFINITY, 1 },
					      { FIRN_OUTER, 0, 0, INFINITY, 0 } };
	const struct firn_body body = { 1, 2, 0, &shell, held, NULL, { 1e-3, 0.1, 1, 2 } };
	const struct firn_probe flow = { .kind = FIRN_FLOW_FROM_BOUNDARY };
	struct firn_answer answer;
	enum firn_status status = firn_conduction_steady(&body, 1, &flow, &answer, NULL);

	(void)context;
	if (status == FIRN_OK)
		*ret_y = answer.value;
	return status;
}

static void conduction_on_the_tape(void **state)
{
	static const char *const names[] = { "k", "r" };
	const double k = 1.1, r = 5e-3, pi = 3.14159265358979323846;
	const double heat_W = 2 * pi * k * 0.1 / log(r / 3e-3);
	struct firn_tape *tape = firn_tape_new();
	const struct firn_node x[] = { quantity(tape, "k", k, 0.06), quantity(tape, "r", r, 2e-5) };
	struct firn_node q;

	(void)state;
	assert_int_equal(firn_by_differences(2, x, names, 1, shell_on_a_grid, NULL, &q, NULL),
			 FIRN_OK);
	assert_near_relative(firn_value(q), heat_W, 1e-12);
	assert_near_relative(firn_sensitivity(q, x[0]), heat_W / k, 1e-10);
	/* Over a step of 2e-5 m of 5e-3 the third derivative makes a few 1e-5. */
	assert_near_relative(firn_sensitivity(q, x[1]), -heat_W / (r * log(r / 3e-3)), 1e-3);
	firn_tape_free(tape);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(slopes_and_bend),
		cmocka_unit_test(refusals),
		cmocka_unit_test(conduction_on_the_tape),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
