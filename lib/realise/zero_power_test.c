#include "lib/realise/realise_test.h"
#include "firn/zero_power.h"

static struct firn_reading reading(double i_A, double r_ohm, double u_ohm)
{
	return (struct firn_reading){ .i_A = input(i_A, 0.0), .r_ohm = input(r_ohm, u_ohm) };
}

/* Made-up readings with u(R) = 1e-6 ohm. At twice the current R0 = (4 R_lo - R_hi)/3 and
   u(R0) = sqrt(17)/3 u(R): CCT Guide ch. 5 (2018), equations (34) and (35). */
static struct zero_power_case {
	const char *name;
	double lo_A, lo_ohm, hi_A, hi_ohm;
	enum firn_status want;
	double r0_ohm, k_ohm_per_A2;
} cases[] = {
	{ "rises", 1e-3, 25.5001, 2e-3, 25.5004, FIRN_OK, 25.5, 100.0 },
	{ "falls in noise", 1e-3, 25.5, 2e-3, 25.4999973, FIRN_OK, 25.5000009, -0.9 },
	{ "falls", 1e-3, 25.5, 2e-3, 25.499997, FIRN_WARN_SIGN, 25.500001, -1.0 },
	{ "currents too close", 1e-3, 25.5, 1.09e-3, 25.5, .want = FIRN_E_SINGULAR },
	{ "currents exchanged", 2e-3, 25.5, 1e-3, 25.5, .want = FIRN_E_SINGULAR },
	{ "no current", 0.0, 25.5, 2e-3, 25.5, .want = FIRN_E_DOMAIN },
	{ "currents given in mA", 1.0, 25.5, 2.0, 25.5, .want = FIRN_E_DOMAIN },
	{ "no resistance", 1e-3, 25.5, 2e-3, 0.0, .want = FIRN_E_DOMAIN },
	{ "reading missing", 1e-3, (double)NAN, 2e-3, 25.5, .want = FIRN_E_DOMAIN },
};

static void assert_line(const struct firn_zero_power *got, const struct zero_power_case *c)
{
	/* Half a last digit of R is 1.8e-15 ohm: four of these in R0, two over 3e-6 A^2 in k. */
	assert_near(firn_value(got->r0_ohm), c->r0_ohm, 7.2e-15);
	assert_near(firn_value(got->k_ohm_per_A2), c->k_ohm_per_A2, 1.3e-9);
	/* sqrt(17)/3 and sqrt(2)/3, by the line above; a dozen roundings leave 15 digits. */
	assert_near(firn_u(got->r0_ohm), 1.3743685418725535e-6, 3e-21);
	assert_near(firn_u(got->k_ohm_per_A2), 0.47140452079103168, 1e-15);
}

static void test_case(void **state)
{
	const struct zero_power_case *c = *state;
	const struct firn_reading lo = reading(c->lo_A, c->lo_ohm, 1e-6);
	const struct firn_reading hi = reading(c->hi_A, c->hi_ohm, 1e-6);
	struct firn_zero_power got = { 0 };

	assert_int_equal(firn_zero_power(&lo, &hi, &got), c->want);
	if (c->want < 0)
		assert_true(got.r0_ohm.tape == NULL && got.k_ohm_per_A2.tape == NULL);
	else
		assert_line(&got, c);
}

/* Two currents by the general way, and with a scale of 1: the same line. */
static void test_pair_of(void **state)
{
	const struct zero_power_case *c = *state;
	const struct firn_reading x[] = { reading(c->lo_A, c->lo_ohm, 1e-6),
					  reading(c->hi_A, c->hi_ohm, 1e-6) };
	const struct firn_node none = { 0 };
	struct firn_zero_power got = { 0 };

	/* A smaller current that does not come first is refused as such. */
	const enum firn_status want = c->hi_A < c->lo_A ? FIRN_E_DOMAIN : c->want;
	assert_int_equal(firn_zero_power_of(2, x, none, &got), want);
	if (want < 0) {
		assert_true(got.r0_ohm.tape == NULL && got.k_ohm_per_A2.tape == NULL);
		return;
	}
	assert_line(&got, c);
	assert_int_equal(firn_zero_power_of(2, x, input(1.0, 0.0), &got), want);
	assert_line(&got, c);
}

/* Both readings scale with the standard resistor, so its relative uncertainty is that of R0,
   whatever the ratio of the currents. Counted as independent it would grow up to 7.5 times. */
static void test_shared_resistor(void **state)
{
	const struct firn_node rs_ohm = input(100.0, 1e-4);

	(void)state;
	for (double i_mA = 1.1; i_mA < 4.0; i_mA *= 1.1) {
		struct firn_reading lo = reading(1e-3, 0.255 + 2.5e-6, 0.0);
		struct firn_reading hi = reading(i_mA * 1e-3, 0.255 + 2.5e-6 * i_mA * i_mA, 0.0);
		struct firn_zero_power got;

		lo.r_ohm = firn_mul(lo.r_ohm, rs_ohm);
		hi.r_ohm = firn_mul(hi.r_ohm, rs_ohm);
		assert_int_equal(firn_zero_power(&lo, &hi, &got), FIRN_OK);
		/* R is rounded by 4.6e-15 ohm at most; the ratio 1.1 takes that 5.8 + 4.8 times. */
		assert_near(firn_value(got.r0_ohm), 25.5, 5e-14);
		assert_near(firn_u(got.r0_ohm), 25.5e-6, 5e-20);
	}
}

/* i2/i1 = sqrt(2), in the order i1 i2 i1: R0 = R1 + R3 - R2, CCT Guide ch. 5 (2018), 5.3.3. With
   the mean of R1 and R3, u(R0) = sqrt(3) u; with one reading at i1 it would be sqrt(5) u. */
static void test_sqrt_2(void **state)
{
	const struct firn_node r1 = input(25.5000300, 1e-6), r3 = input(25.5000320, 1e-6);
	const struct firn_reading single = reading(1e-3, 25.5000310, 1e-6);
	const struct firn_reading hi = reading(1e-3 * sqrt(2.0), 25.5000600, 1e-6);
	const struct firn_reading lo = { .i_A = input(1e-3, 0.0),
					 .r_ohm = firn_formula("r = (r1 + r3)/2", r1, r3) };
	struct firn_zero_power got;

	(void)state;
	assert_int_equal(firn_zero_power(&lo, &hi, &got), FIRN_OK);
	assert_near(firn_value(got.r0_ohm), 25.5000020, 1.5e-14);
	assert_near_relative(firn_u(got.r0_ohm), 1.7320508075688772e-6, 3e-15);
	assert_int_equal(firn_zero_power(&single, &hi, &got), FIRN_OK);
	assert_near_relative(firn_u(got.r0_ohm), 2.2360679774997896e-6, 3e-15);
}

/*
 * Uncertain currents: u^2(X0) = [i2^4 u^2(X1) + i1^4 u^2(X2)]/d^2 + 4 i1^4 i2^4 (X2 - X1)^2/d^4
 * [u^2(i1)/i1^2 - 2 u(i1,i2)/(i1 i2) + u^2(i2)/i2^2], d = i2^2 - i1^2: CCT Guide ch. 5 (2018),
 * equation (35), with 4 and minus where a transcription prints 2 and plus. Worked anew from (34);
 * the last bracket then vanishes for currents that are fully correlated, as the text there demands.
 */
static void test_uncertain_currents(void **state)
{
	static const struct {
		double ratio, u_x, u_i, r;
	} rows[] = {
		{ 1.41421356, 0.0, 1e-4, 0.0 }, { 1.41421356, 0.0, 1e-4, 0.6 },
		{ 2.0, 1e-8, 1e-4, -0.5 },      { 2.0, 2e-9, 3e-5, 0.9 },
		{ 3.0, 1e-8, 1e-3, 0.0 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		const double i1 = 1e-3, i2 = rows[i].ratio * i1, d = i2 * i2 - i1 * i1;
		const struct firn_node a = input(i1, i1 * rows[i].u_i),
				       b = input(i2, i2 * rows[i].u_i);
		const struct firn_reading lo = { a, input(0.25500, rows[i].u_x) };
		const struct firn_reading hi = { b, input(0.25503, rows[i].u_x) };
		const double noise =
		    (pow(i2, 4) + pow(i1, 4)) / (d * d) * rows[i].u_x * rows[i].u_x;
		const double heat = 4.0 * pow(i1, 4) * pow(i2, 4) * pow(3e-5, 2) / pow(d, 4) * 2.0 *
				    (1.0 - rows[i].r) * rows[i].u_i * rows[i].u_i;
		struct firn_zero_power got;

		assert_int_equal(firn_tape_correlate(a, b, rows[i].r), FIRN_OK);
		assert_int_equal(firn_zero_power(&lo, &hi, &got), FIRN_OK);
		assert_near_relative(firn_u(got.r0_ohm), sqrt(noise + heat), 1e-10);
		if (i == 0) /* worked beforehand: 2 i1^2 i2^2/d^2 3e-5 sqrt(2) 1e-4 */
			assert_near(firn_u(got.r0_ohm), 1.6971e-8, 1e-12);
	}
}

/* The same derivatives as difference quotients of equation (34). */
static double r0_of(const double x[4])
{
	return (x[2] * x[1] * x[1] - x[3] * x[0] * x[0]) / (x[1] * x[1] - x[0] * x[0]);
}

static void test_difference_quotients(void **state)
{
	const double at[4] = { 1e-3, 1.7e-3, 0.255, 0.25501 };
	struct firn_node x[4];
	struct firn_zero_power got;

	(void)state;
	for (size_t i = 0; i < 4; i++)
		x[i] = input(at[i], 0.0);
	const struct firn_reading lo = { x[0], x[2] }, hi = { x[1], x[3] };
	assert_int_equal(firn_zero_power(&lo, &hi, &got), FIRN_OK);
	for (size_t i = 0; i < 4; i++) {
		const double step = 1e-4 * at[i];
		double up[4] = { at[0], at[1], at[2], at[3] },
		       down[4] = { at[0], at[1], at[2], at[3] };

		up[i] += step;
		down[i] -= step;
		/* Curvature leaves 1e-8 relative, rounding of 0.255 the rest. */
		assert_near_relative(firn_sensitivity(got.r0_ohm, x[i]),
				     (r0_of(up) - r0_of(down)) / (2.0 * step), 3e-7);
	}
}

/* A shared relative error of (i2/i1)^2: dR0 = (R2 - R1) q/(q - 1)^2 times it, in every
   extrapolation alike, so that in a ratio of like heating it cancels. */
static void test_shared_current_ratio(void **state)
{
	const struct firn_node scale = input(1.0, 1e-4);
	const struct firn_reading a[] = { reading(1e-3, 25.5001, 0.0),
					  reading(2e-3, 25.5004, 0.0) };
	const struct firn_reading b[] = { reading(1e-3, 51.0002, 0.0),
					  reading(2e-3, 51.0008, 0.0) };
	struct firn_zero_power first, second;

	(void)state;
	assert_int_equal(firn_zero_power_of(2, a, scale, &first), FIRN_OK);
	assert_int_equal(firn_zero_power_of(2, b, scale, &second), FIRN_OK);
	assert_near_relative(firn_u(first.r0_ohm), 3e-4 * 4.0 / 9.0 * 1e-4, 1e-9);
	const struct firn_node r1 = first.r0_ohm, r2 = second.r0_ohm;
	assert_near(firn_u(firn_formula("W = r2/r1", r1, r2)), 0.0, 1e-18);
}

/* The scale multiplies (i2/i1)^2: at 1 and 2 mA and a scale of 1.01 the powers are as 1 and 4.04,
   so R0 = R1 - (R2 - R1)/3.04. Of three currents on one line in these powers, that line. */
static void test_scale_of_power(void **state)
{
	const struct firn_node scale = input(1.01, 0.0);
	const struct firn_reading x[] = { reading(1e-3, 25.5001, 1e-6),
					  reading(2e-3, 25.5004, 1e-6),
					  reading(3e-3, 25.5001 + 3e-4 * 8.09 / 3.04, 1e-6) };
	const double r0_ohm = 25.5001 - 3e-4 / 3.04;
	struct firn_zero_power got;

	(void)state;
	/* R is rounded to 1.8e-15 ohm, and their difference taken 0.33 times. */
	for (size_t n = 2; n <= 3; n++) {
		assert_int_equal(firn_zero_power_of(n, x, scale, &got), FIRN_OK);
		assert_near(firn_value(got.r0_ohm), r0_ohm, 2e-14);
	}
}

/* Heating 100 ohm/A^2 at 1, 1.41, 2 mA off the line by 1, -1, 0 micro-ohm. With P = 1, 2, 4 in
   mA^2, mean 7/3, sum of squares 14/3: slope -3/14, intercept 1/2, residuals 10/14, -15/14, 5/14,
   and u^2(R0) = (1/3 + (49/9)/(14/3)) u^2 = 1.5 u^2. */
static void test_line(void **state)
{
	static const double off[] = { 1e-6, -1e-6, 0.0 }, power[] = { 1e-6, 2e-6, 4e-6 };
	static const double residual[] = { 10e-6 / 14.0, -15e-6 / 14.0, 5e-6 / 14.0 };
	const struct firn_node none = { 0 };
	struct firn_reading x[3];
	struct firn_zero_power got;

	(void)state;
	for (size_t i = 0; i < 3; i++)
		x[i] = reading(sqrt(power[i]), 25.5 + 100.0 * power[i] + off[i], 1e-6);
	for (int scaled = 0; scaled < 2; scaled++) {
		assert_int_equal(firn_zero_power_of(3, x, scaled ? input(1.0, 0.0) : none, &got),
				 FIRN_OK);
		/* R is rounded to 1.8e-15 ohm; the fit takes part of it and rounds a few times
		 * more. */
		assert_near(firn_value(got.r0_ohm), 25.5000005, 3e-14);
		assert_near(firn_value(got.k_ohm_per_A2), 100.0 - 3.0 / 14.0, 2e-8);
		assert_near_relative(firn_u(got.r0_ohm), sqrt(1.5) * 1e-6, 1e-13);
		for (size_t i = 0; i < 3; i++) {
			struct firn_node left;

			assert_int_equal(firn_zero_power_residual(&got, &x[i], &left), FIRN_OK);
			assert_near(firn_value(left), residual[i], 3e-14);
		}
	}
}

static void test_line_refused(void **state)
{
	const struct firn_node none = { 0 };
	struct firn_reading x[FIRN_ZERO_POWER_MOST + 1];
	struct firn_zero_power got = { 0 };

	(void)state;
	for (size_t i = 0; i < COUNT(x); i++)
		x[i] = reading(1e-3 * (1.0 + 0.001 * (double)i), 25.5, 1e-6);
	assert_int_equal(firn_zero_power_of(3, x, none, &got), FIRN_E_SINGULAR);
	assert_int_equal(firn_zero_power_of(1, x, none, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_zero_power_of(COUNT(x), x, none, &got), FIRN_E_DOMAIN);
	x[2] = reading(0.5e-3, 25.5, 1e-6);
	assert_int_equal(firn_zero_power_of(3, x, none, &got), FIRN_E_DOMAIN);
	x[2] = reading(2e-3, 25.5, 1e-6);
	assert_int_equal(firn_zero_power_of(3, x, input(4.0, 0.0), &got), FIRN_E_DOMAIN);
	assert_true(got.r0_ohm.tape == NULL);
	assert_int_equal(firn_zero_power_of(3, x, none, &got), FIRN_OK);
}

static void test_heated(void **state)
{
	const struct firn_reading ga = reading(1e-3, 28.5123, 1e-6),
				  tpw = reading(1.0005e-3, 25.5003, 1e-6);
	const struct firn_reading other = reading(1.4142e-3, 25.5003, 1e-6),
				  none = reading(0.0, 25.5, 1e-6);
	struct firn_heated a, b, c = { 0 };
	struct firn_node w = { 0 };

	(void)state;
	assert_int_equal(firn_heated(&ga, &a), FIRN_OK);
	assert_int_equal(firn_heated(&tpw, &b), FIRN_OK);
	assert_int_equal(firn_heated(&none, &c), FIRN_E_DOMAIN);
	assert_true(c.r_ohm.tape == NULL);
	assert_int_equal(firn_heated_ratio(&a, &b, &w), FIRN_OK);
	assert_near_relative(firn_value(w), 28.5123 / 25.5003, 3e-16);
	w = (struct firn_node){ 0 };
	assert_int_equal(firn_heated(&other, &c), FIRN_OK);
	assert_int_equal(firn_heated_ratio(&a, &c, &w), FIRN_E_DOMAIN);
	assert_true(w.tape == NULL);
}

int main(void)
{
	struct CMUnitTest tests[2 * COUNT(cases) + 9];
	size_t n = 0;

	ADD_CASES(tests, n, cases, test_case);
	ADD_CASES(tests, n, cases, test_pair_of);
	ADD_TEST(tests, n, test_shared_resistor);
	ADD_TEST(tests, n, test_sqrt_2);
	ADD_TEST(tests, n, test_uncertain_currents);
	ADD_TEST(tests, n, test_difference_quotients);
	ADD_TEST(tests, n, test_shared_current_ratio);
	ADD_TEST(tests, n, test_scale_of_power);
	ADD_TEST(tests, n, test_line);
	ADD_TEST(tests, n, test_line_refused);
	ADD_TEST(tests, n, test_heated);
	return cmocka_run_group_tests_name("zero_power", tests, NULL, NULL);
}
