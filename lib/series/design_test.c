#include "firn/design.h"

#include "tests/support/near.h"

#include <string.h>

/* Designs as they are written, at equal steps; weights by hand. */
static struct design_case {
	const char *name, *design;
	size_t order;
	int cancels;
	enum firn_status want;
	double w[8];
} cases[] = {
	{ "AB, no drift", "AB", 0, 0, FIRN_OK, { -1, 1 } },
	{ "ABA", "ABA", 1, 1, FIRN_OK, { -0.5, 1, -0.5 } },
	{ "ABBA", "ABBA", 1, 1, FIRN_OK, { -0.5, 0.5, 0.5, -0.5 } },
	{ "ABAB takes more of the noise", "ABAB", 1, 0, FIRN_OK, { -0.25, 0.75, -0.75, 0.25 } },
	{ "ABBABAAB, square drift",
	  "ABBABAAB",
	  2,
	  2,
	  FIRN_OK,
	  { -0.25, 0.25, 0.25, -0.25, 0.25, -0.25, -0.25, 0.25 } },
	{ .name = "AB can't tell a drift", .design = "AB", .order = 1, .want = FIRN_E_SINGULAR },
	{ .name = "only A", .design = "AAAA", .order = 0, .cancels = -1, .want = FIRN_E_SINGULAR },
	{ .name = "no such order",
	  .design = "ABBA",
	  .order = 4,
	  .cancels = 1,
	  .want = FIRN_E_DOMAIN },
};

static void test_case(void **state)
{
	const struct design_case *c = *state;
	const size_t n = strlen(c->design);
	bool is_b[8] = { false };
	double t[8] = { 0 }, w[8] = { 0 }, drift = 0.0;

	for (size_t i = 0; i < n; i++) {
		is_b[i] = c->design[i] == 'B';
		t[i] = 600.0 * (double)i;
	}
	assert_int_equal(firn_design_weights(n, is_b, t, c->order, w), c->want);
	assert_int_equal(firn_design_cancels(n, is_b, t), c->cancels);
	for (size_t i = 0; i < n; i++) {
		assert_near(w[i], c->w[i], 1e-15);
		drift += w[i] * pow(t[i], (double)c->order);
	}
	if (c->want == FIRN_OK && c->order > 0) /* 600 s to the order, some 1e7: rounding of that */
		assert_near(drift, 0.0, 1e-8);
}

/* Uneven times: what a straight drift adds is still nothing, and B - A comes back. */
static void test_uneven(void **state)
{
	static const bool is_b[] = { false, true, true, false, true, false, false };
	static const double t[] = { 0.0, 7.0, 9.0, 21.0, 33.0, 40.0, 41.0 };
	double w[7], y = 0.0;

	(void)state;
	assert_int_equal(firn_design_weights(7, is_b, t, 1, w), FIRN_OK);
	for (size_t i = 0; i < 7; i++)
		y += w[i] * (100.0 + 0.3 * t[i] + (is_b[i] ? 2.5 : 0.0));
	assert_near(y, 2.5, 1e-12);
}

static void test_refused(void **state)
{
	static const bool is_b[] = { false, true, true, false };
	static const double back[] = { 0.0, 2.0, 1.0, 3.0 }, one[] = { 5.0, 5.0, 5.0, 5.0 };
	double w[4] = { 7.0 };

	(void)state;
	assert_int_equal(firn_design_weights(4, is_b, back, 1, w), FIRN_E_DOMAIN);
	assert_int_equal(firn_design_weights(4, is_b, one, 1, w), FIRN_E_SINGULAR);
	assert_int_equal(firn_design_weights(0, is_b, one, 0, w), FIRN_E_SINGULAR);
	assert_near(w[0], 7.0, 0.0);
}

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

int main(void)
{
	struct CMUnitTest tests[COUNT(cases) + 2];
	size_t n = 0;

	for (size_t i = 0; i < COUNT(cases); i++)
		tests[n++] = (struct CMUnitTest){ .name = cases[i].name,
						  .test_func = test_case,
						  .initial_state = &cases[i] };
	tests[n++] = (struct CMUnitTest)cmocka_unit_test(test_uneven);
	tests[n++] = (struct CMUnitTest)cmocka_unit_test(test_refused);
	return cmocka_run_group_tests_name("design", tests, NULL, NULL);
}
