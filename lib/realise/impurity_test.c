#include "lib/realise/realise_test.h"
#include "firn/impurity.h"

/* Overall maximum estimate of 1e-6: u = 1e-6/(A sqrt(3)), in mK, from A of CCT Guide sec. 2.1
   (2018), Table 1. 1/A there in mK per 1e-6: 0.198, 0.103, 0.130, 0.467, 0.296, 0.564,
   0.672, 1.124. */
static struct maximum_case {
	const char *name; /* the point */
	double u_mK, printed_mK;
} maximum_cases[] = {
	{ "Hg", 0.11453, 0.198 }, { "H2O", 0.05962, 0.103 }, { "Ga", 0.07484, 0.130 },
	{ "In", 0.26941, 0.467 }, { "Sn", 0.17097, 0.296 },  { "Zn", 0.32582, 0.564 },
	{ "Al", 0.38774, 0.672 }, { "Ag", 0.64871, 1.124 },  { "e-H2", 0.00781, 0.014 },
	{ "Ne", 0.00864, 0.015 }, { "O2", 0.03190, 0.055 },  { "Ar", 0.02844, 0.049 },
};

static void test_maximum(void **state)
{
	const struct maximum_case *c = *state;
	struct firn_node got;
	double A;

	assert_int_equal(firn_cryoscopic_constant(c->name, &A), FIRN_OK);
	assert_near(1e-3 / A, c->printed_mK, 5.1e-4);
	assert_int_equal(firn_impurity_maximum(tape, "cell.impurities", 1e-6, A, &got), FIRN_OK);
	assert_near(firn_value(got), 0.0, 0.0);
	assert_near(1e3 * firn_u(got), c->u_mK, 5.1e-6);
}

/* Tin with 0.20, 0.10, 0.05 umol/mol of three impurities with k = 0.02, 0.5, 3: worked by hand from
   equations (6), (9) and (11) of CCT Guide sec. 2.1 (2018). The third raises the point. */
static void test_tin(void **state)
{
	static const double fraction[] = { 0.20e-6, 0.10e-6, 0.05e-6 }, k[] = { 0.02, 0.5, 3.0 };
	struct firn_node x[3], slope[3], got;
	double A;

	(void)state;
	assert_int_equal(firn_cryoscopic_constant("Sn", &A), FIRN_OK);
	for (size_t i = 0; i < 3; i++) {
		x[i] = input(fraction[i], 0.0);
		assert_int_equal(firn_liquidus_slope(A, input(k[i], 0.0), &slope[i]), FIRN_OK);
	}
	assert_int_equal(firn_impurities(3, x, slope, &got), FIRN_OK);
	assert_near(1e6 * firn_value(got), -43.234, 5e-4);
	assert_int_equal(firn_impurity_maximum(tape, "cell.impurities", 0.35e-6, A, &got), FIRN_OK);
	assert_near(1e6 * firn_u(got), 103.642 / sqrt(3.0), 5e-4);
}

/* Equation (10): u^2 = sum [u(x) m]^2 + [x u(m)]^2. */
static void test_uncertainty(void **state)
{
	const struct firn_node x[] = { input(2e-7, 1e-7), input(1e-7, 2e-8) };
	const struct firn_node slope[] = { input(-290.0, 30.0), input(-150.0, 50.0) };
	struct firn_node got;

	(void)state;
	assert_int_equal(firn_impurities(2, x, slope, &got), FIRN_OK);
	assert_near(1e6 * firn_value(got), -73.0, 1e-12);
	assert_near(1e6 * firn_u(got), sqrt(29.0 * 29.0 + 6.0 * 6.0 + 3.0 * 3.0 + 5.0 * 5.0),
		    1e-12);
}

/* The same tin when half of it has frozen: equation (5). One impurity with k = 0 follows Raoult. */
static void test_half_frozen(void **state)
{
	static const double fraction[] = { 0.20e-6, 0.10e-6, 0.05e-6 }, k_[] = { 0.02, 0.5, 3.0 };
	struct firn_node x[3], slope[3], k[3], got;
	const struct firn_node half = input(0.5, 0.0), all = input(1.0, 0.0), no_k = input(0, 0);
	double A;

	(void)state;
	assert_int_equal(firn_cryoscopic_constant("Sn", &A), FIRN_OK);
	for (size_t i = 0; i < 3; i++) {
		x[i] = input(fraction[i], 0.0);
		k[i] = input(k_[i], 0.0);
		assert_int_equal(firn_liquidus_slope(A, k[i], &slope[i]), FIRN_OK);
	}
	assert_int_equal(firn_impurities_left(3, x, slope, k, half, &got), FIRN_OK);
	assert_near(1e6 * firn_value(got), -128.017, 5e-4);
	assert_int_equal(firn_impurities_left(3, x, slope, k, all, &got), FIRN_OK);
	assert_near(1e6 * firn_value(got), -43.234, 5e-4);
	assert_int_equal(firn_cryoscopic_constant("H2O", &A), FIRN_OK);
	assert_int_equal(firn_liquidus_slope(A, no_k, &slope[0]), FIRN_OK);
	x[0] = input(1e-6, 0.0);
	assert_int_equal(firn_impurities_left(1, x, slope, &no_k, half, &got), FIRN_OK);
	assert_near(firn_value(got), -2e-6 / A, 1e-18);
}

/* Equation (7): stirred the coefficient is k, without any mixing 1. Equation (8): the first solid
   has k of the concentration, far in it all. Equation (13) against the usual form. */
static void test_mixing(void **state)
{
	struct firn_node got;
	double part, dof;

	(void)state;
	assert_int_equal(firn_effective_k(input(0.1, 0.0), input(1.0, 0.0), &got), FIRN_OK);
	assert_near(firn_value(got), 0.231969, 5e-7);
	assert_int_equal(firn_effective_k(input(0.1, 0.0), input(0.0, 0.0), &got), FIRN_OK);
	assert_near(firn_value(got), 0.1, 1e-16);
	assert_int_equal(firn_effective_k(input(0.1, 0.0), input(60.0, 0.0), &got), FIRN_OK);
	assert_near(firn_value(got), 1.0, 1e-15);
	assert_int_equal(firn_unmixed_solid(0.1, 0.0, &part), FIRN_OK);
	assert_near(part, 0.1, 1e-16);
	assert_int_equal(firn_unmixed_solid(0.1, 1e4, &part), FIRN_OK);
	assert_near(part, 1.0, 1e-16);
	assert_int_equal(firn_estimated_dof(0.25, &dof), FIRN_OK);
	assert_near(dof, 14.6, 1e-14);
	assert_int_equal(firn_estimated_dof(2.0, &dof), FIRN_OK);
	assert_near(dof, 1.475, 1e-15);
	assert_int_equal(firn_estimated_dof(0.0, &dof), FIRN_E_DOMAIN);
	assert_int_equal(firn_unmixed_solid(-0.1, 1.0, &part), FIRN_E_DOMAIN);
	assert_int_equal(firn_effective_k(input(30, 0), input(1, 0), &got), FIRN_E_DOMAIN);
	assert_near(dof, 1.475, 1e-15);
}

/* The heats of fusion that stand beside A in CCT Guide sec. 2.1 (2018), Table 1, give each A within
   its last digit. Gallium too, with the heat as printed. */
static void test_from_heat(void **state)
{
	static const struct {
		const char *point;
		double T_K, L, digit;
	} rows[] = {
		{ "e-H2", 13.8033, 117, 1e-4 }, { "Ne", 24.5561, 335, 1e-4 },
		{ "O2", 54.3584, 444, 1e-4 },   { "Ar", 83.8058, 1188, 1e-4 },
		{ "Hg", 234.3156, 2301, 1e-6 }, { "H2O", 273.16, 6008, 1e-6 },
		{ "Ga", 302.9146, 5885, 1e-6 }, { "In", 429.7485, 3291, 1e-6 },
		{ "Sn", 505.078, 7162, 1e-6 },  { "Zn", 692.677, 7068, 1e-6 },
		{ "Al", 933.473, 10789, 1e-6 }, { "Ag", 1234.93, 11284, 1e-6 },
	};
	double A, printed;

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		assert_int_equal(firn_cryoscopic_from_heat(rows[i].T_K, rows[i].L, &A), FIRN_OK);
		assert_int_equal(firn_cryoscopic_constant(rows[i].point, &printed), FIRN_OK);
		/* half a digit of A, and half a J/mol of L */
		assert_near(A, printed, 0.51 * rows[i].digit + 0.5 * A / rows[i].L);
	}
	A = -1.0;
	assert_int_equal(firn_cryoscopic_from_heat(0.01, 6008.0, &A), FIRN_E_DOMAIN);
	assert_int_equal(firn_cryoscopic_from_heat(273.16, 6.008, &A), FIRN_E_DOMAIN); /* kJ */
	assert_near(A, -1.0, 0.0);
}

static void test_refused(void **state)
{
	const struct firn_node x = input(0.2, 0.0), slope = input(-300.0, 0.0),
			       fine = input(1e-6, 0.0);
	struct firn_node got = { 0 };
	double A = -1.0;

	(void)state;
	assert_int_equal(firn_cryoscopic_constant("Au", &A), FIRN_E_UNKNOWN);
	assert_true(A == -1.0);
	assert_int_equal(firn_impurities(1, &x, &slope, &got), FIRN_E_DOMAIN); /* in umol/mol */
	assert_int_equal(firn_impurities(0, &fine, &slope, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_liquidus_slope(0.0, fine, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_liquidus_slope(3e-3, slope, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_impurity_maximum(tape, "c", 0.2, 3e-3, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_impurity_maximum(tape, "c", (double)NAN, 3e-3, &got), FIRN_E_DOMAIN);
	assert_true(got.tape == NULL);
	assert_int_equal(firn_impurity_maximum(tape, "c", 0.0, 3e-3, &got), FIRN_OK);
	assert_near(firn_u(got), 0.0, 0.0);
}

int main(void)
{
	struct CMUnitTest tests[COUNT(maximum_cases) + 6];
	size_t n = 0;

	ADD_CASES(tests, n, maximum_cases, test_maximum);
	ADD_TEST(tests, n, test_tin);
	ADD_TEST(tests, n, test_uncertainty);
	ADD_TEST(tests, n, test_half_frozen);
	ADD_TEST(tests, n, test_mixing);
	ADD_TEST(tests, n, test_from_heat);
	ADD_TEST(tests, n, test_refused);
	return cmocka_run_group_tests_name("impurity", tests, NULL, NULL);
}
