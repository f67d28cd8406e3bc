#include "lib/realise/realise_test.h"
#include "firn/resistor.h"

/* Made-up resistors; Rs = ohm (1 + per_K (bath - at)), CCT Guide ch. 5 (2018), equation (29). The
   first two with mpmath at 40 digits, as is the first ratio below. */
static struct resistor_case {
	const char *name;
	double ohm, at_C, per_K, bath_C;
	enum firn_status want;
	double rs_ohm;
} cases[] = {
	{ "100 ohm, 0.014 K warmer", 100.000512, 23.0, 3.1e-6, 23.014, FIRN_OK, 100.0005163400222 },
	{ "25 ohm, 0.009 K warmer", 25.000331, 20.0, 1.8e-6, 20.009, FIRN_OK, 25.00033140500536 },
	{ "at its calibration", 1.0, 25.0, 2.9e-6, 25.0, FIRN_OK, 1.0 },
	{ "colder", 1.0, 25.0, 2e-6, 20.0, FIRN_OK, 0.99999 },
	{ "negative coefficient", 100.0, 20.0, -1e-6, 30.0, FIRN_OK, 99.999 },
	{ "no resistance", 0.0, 20.0, 0.0, 20.0, .want = FIRN_E_DOMAIN },
	{ "coefficient in 1e-6", 100.0, 20.0, 3.1, 20.0, .want = FIRN_E_DOMAIN },
	{ "bath in kelvin", 100.0, 20.0, 1e-6, 293.15, .want = FIRN_E_DOMAIN },
	{ "calibrated in kelvin", 100.0, 293.15, 1e-6, 293.15, .want = FIRN_E_DOMAIN },
	{ "no bath temperature", 100.0, 20.0, 1e-6, (double)NAN, .want = FIRN_E_DOMAIN },
};

static void test_case(void **state)
{
	const struct resistor_case *c = *state;
	const struct firn_resistor resistor = { .ohm = input(c->ohm, 0.0),
						.at_C = input(c->at_C, 0.0),
						.per_K = input(c->per_K, 0.0) };
	struct firn_node got = { 0 };

	assert_int_equal(firn_resistor_at(&resistor, input(c->bath_C, 0.0), &got), c->want);
	if (c->want < 0)
		assert_true(got.tape == NULL);
	else
		assert_near_relative(firn_value(got), c->rs_ohm, 3e-16);
}

/* Equation (31): u^2 = u^2(ohm) + ohm^2 [(bath - at)^2 u^2(per_K) + per_K^2 (u^2(bath) + u^2(at))].
 */
static void test_uncertainty(void **state)
{
	const struct firn_resistor resistor = { .ohm = input(100.0, 1e-5),
						.at_C = input(23.0, 0.003),
						.per_K = input(3.1e-6, 2e-7) };
	struct firn_node got;

	(void)state;
	assert_int_equal(firn_resistor_at(&resistor, input(23.5, 0.004), &got), FIRN_OK);
	/* The resistance itself takes part as 1 + 1.55e-6. */
	const double squares = 1e-10 * (1.0 + 3.1e-6) + 1e4 * (0.25 * 4e-14 + 9.61e-12 * 25e-6);
	assert_near_relative(firn_u(got), sqrt(squares), 1e-11);
}

static struct bridge_case {
	const char *name;
	double ratio, error, rs_ohm;
	enum firn_status want;
	double r_ohm;
} bridge_cases[] = {
	{ "ratio", 0.255124284, 0.0, 100.0005163400222, FIRN_OK, 25.512560130878465 },
	{ "error of the bridge", 1.0, 2e-8, 25.0, FIRN_OK, 25.0000005 },
	{ "no ratio", 0.0, 0.0, 25.0, .want = FIRN_E_DOMAIN },
	{ "ratio reversed in sign", -1.0, 0.0, 25.0, .want = FIRN_E_DOMAIN },
	{ "error in 1e-6", 1.0, 0.02, 25.0, .want = FIRN_E_DOMAIN },
	{ "no resistor", 1.0, 0.0, 0.0, .want = FIRN_E_DOMAIN },
};

static void test_bridge(void **state)
{
	const struct bridge_case *c = *state;
	const struct firn_node x = input(c->ratio, 0.0), error = input(c->error, 2e-8),
			       rs = input(c->rs_ohm, 0.0);
	struct firn_node got = { 0 };

	assert_int_equal(firn_bridge_resistance(x, error, rs, &got), c->want);
	if (c->want < 0) {
		assert_true(got.tape == NULL);
		return;
	}
	assert_near_relative(firn_value(got), c->r_ohm, 3e-16);
	assert_near_relative(firn_u(got), 2e-8 * c->rs_ohm, 1e-15);
}

int main(void)
{
	struct CMUnitTest tests[COUNT(cases) + COUNT(bridge_cases) + 1];
	size_t n = 0;

	ADD_CASES(tests, n, cases, test_case);
	ADD_CASES(tests, n, bridge_cases, test_bridge);
	ADD_TEST(tests, n, test_uncertainty);
	return cmocka_run_group_tests_name("resistor", tests, NULL, NULL);
}
