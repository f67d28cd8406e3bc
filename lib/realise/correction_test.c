#include "lib/realise/realise_test.h"
#include "firn/correction.h"

typedef enum firn_status effect(struct firn_node, struct firn_node, struct firn_node *);

/*
 * Head and gas pressure. Constants: ITS-90, Table 2. TPW at 200 and 300 mm: CCT Guide sec. 2.2
 * (2018), 5, prints 150 to 220 uK for the size. The pressures are worked from Table 2.
 */
static struct effect_case {
	const char *name;
	effect *effect;
	double constant, x, u_x;
	enum firn_status want;
	double dt_K;
} effect_cases[] = {
	{ "TPW, 200 mm", firn_head, -0.73e-3, 0.200, 0.01, FIRN_OK, -146.0e-6 },
	{ "TPW, 265 mm", firn_head, -0.73e-3, 0.265, 0.01, FIRN_OK, -193.45e-6 },
	{ "TPW, 300 mm", firn_head, -0.73e-3, 0.300, 0.01, FIRN_OK, -219.0e-6 },
	{ "mercury is hotter below", firn_head, 7.1e-3, 0.150, 0.005, FIRN_OK, 1065e-6 },
	{ "at the surface", firn_head, -0.73e-3, 0.0, 0.001, FIRN_OK, 0.0 },
	{ "above the surface", firn_head, -0.73e-3, -0.1, 0.0, .want = FIRN_E_DOMAIN },
	{ "depth in mm", firn_head, -0.73e-3, 265.0, 0.0, .want = FIRN_E_DOMAIN },
	{ "slope in mK/m", firn_head, -0.73, 0.265, 0.0, .want = FIRN_E_DOMAIN },
	{ "no depth", firn_head, -0.73e-3, (double)NAN, 0.0, .want = FIRN_E_DOMAIN },
	{ "indium at 80 kPa", firn_gas_pressure, 4.9e-8, 80000.0, 10.0, FIRN_OK, -1.044925e-3 },
	{ "zinc at 96 kPa", firn_gas_pressure, 4.3e-8, 96000.0, 10.0, FIRN_OK, -0.228975e-3 },
	{ "gallium at 103 kPa", firn_gas_pressure, -2.0e-8, 103000.0, 10.0, FIRN_OK, -0.0335e-3 },
	{ "aluminium at 103.1 kPa", firn_gas_pressure, 7.0e-8, 103100.0, 10.0, FIRN_OK, 124.25e-6 },
	{ "one atmosphere", firn_gas_pressure, 4.3e-8, 101325.0, 10.0, FIRN_OK, 0.0 },
	{ "pressure below vacuum", firn_gas_pressure, 4.3e-8, -1.0, 0.0, .want = FIRN_E_DOMAIN },
	{ "pressure missing", firn_gas_pressure, 4.3e-8, (double)NAN, 0.0, .want = FIRN_E_DOMAIN },
};

static void test_effect(void **state)
{
	const struct effect_case *c = *state;
	struct firn_node got = { 0 };
	const struct firn_node constant = input(c->constant, 0.0), x = input(c->x, c->u_x);

	assert_int_equal(c->effect(constant, x, &got), c->want);
	if (c->want < 0) {
		assert_true(got.tape == NULL);
		return;
	}
	assert_near(firn_value(got), c->dt_K, 5e-19);
	assert_near_relative(firn_u(got), fabs(c->constant) * c->u_x, 1e-15);
}

/*
 * Water. The effect of the first four is worked by hand from each set's constants: Technical Annex
 * (2017), sec. 1; White & Tew (2010); CCT 2005/2006. The last differs from the third by enrichment:
 * 60 uK [0.002 - ((1 - 0.009)^0.528 - 1)] less 630 uK 0.009. No d17O: NaN.
 */
static struct water_case {
	const char *name;
	enum firn_isotope_set set;
	double d_D, d_18O, d_17O;
	enum firn_status want;
	double dt_uK, tolerance_uK;
} water_cases[] = {
	{ "continental", FIRN_ANNEX_2017, -0.07, -0.01, (double)NAN, FIRN_OK, -53.410, 1e-9 },
	{ "far inland", FIRN_ANNEX_2017, -0.1, -0.0135, (double)NAN, FIRN_OK, -75.805, 1e-9 },
	{ "ocean, evaporated", FIRN_ANNEX_2017, 0.01, 0.0012, (double)NAN, FIRN_OK, 7.486, 1e-9 },
	{ "SLAP", FIRN_ANNEX_2017, -0.428, -0.0555, (double)NAN, FIRN_OK, -323.009, 1e-9 },
	{ "VSMOW", FIRN_ANNEX_2017, 0.0, 0.0, (double)NAN, FIRN_OK, 0.0, 0.0 },
	{ "enriched", FIRN_ANNEX_2017, 0.0, -0.009, 0.002, FIRN_OK, -5.2643, 5e-5 },
	{ "natural, 17O measured", FIRN_ANNEX_2017, -0.07, -0.01, -0.0052925, FIRN_OK, -53.410,
	  1e-4 },
	{ "2010, continental", FIRN_WHITE_TEW_2010, -0.07, -0.01, (double)NAN, FIRN_OK, -53.3176,
	  5e-5 },
	{ "2010, far inland", FIRN_WHITE_TEW_2010, -0.1, -0.0135, (double)NAN, FIRN_OK, -75.6696,
	  5e-5 },
	{ "2010, ocean", FIRN_WHITE_TEW_2010, 0.01, 0.0012, (double)NAN, FIRN_OK, 7.4716, 5e-5 },
	{ "2010, SLAP", FIRN_WHITE_TEW_2010, -0.428, -0.0555, (double)NAN, FIRN_OK, -322.4364,
	  5e-5 },
	{ "2005, continental", FIRN_CCT_2005, -0.07, -0.01, (double)NAN, FIRN_OK, -50.6717, 5e-5 },
	{ "2005, far inland", FIRN_CCT_2005, -0.1, -0.0135, (double)NAN, FIRN_OK, -71.8611, 5e-5 },
	{ "2005, ocean", FIRN_CCT_2005, 0.01, 0.0012, (double)NAN, FIRN_OK, 7.0853, 5e-5 },
	{ "2005, SLAP", FIRN_CCT_2005, -0.428, -0.0555, (double)NAN, FIRN_OK, -306.0523, 5e-5 },
	{ "2005, 17O measured", FIRN_CCT_2005, 0.0, 0.0, 0.01, FIRN_OK, 0.57, 1e-9 },
	{ "in permil", FIRN_ANNEX_2017, -70.0, -10.0, (double)NAN, .want = FIRN_E_DOMAIN },
	{ "18O in permil", FIRN_ANNEX_2017, -0.07, -10.0, (double)NAN, .want = FIRN_E_DOMAIN },
	{ "17O in permil", FIRN_ANNEX_2017, -0.07, -0.01, 2.0, .want = FIRN_E_DOMAIN },
	{ "no such set", (enum firn_isotope_set)3, 0.0, 0.0, (double)NAN, .want = FIRN_E_DOMAIN },
};

static void test_water(void **state)
{
	const struct water_case *c = *state;
	struct firn_water water = { .d_D = input(c->d_D, 0.0), .d_18O = input(c->d_18O, 0.0) };
	struct firn_water_constants constants = { 0 };
	struct firn_node got = { 0 };
	enum firn_status status = firn_water_constants(tape, c->set, false, &constants);

	if (!isnan(c->d_17O))
		water.d_17O = input(c->d_17O, 0.0);
	if (status >= 0)
		status = firn_water_isotopes(&water, &constants, &got);
	assert_int_equal(status, c->want);
	if (c->want < 0)
		assert_true(got.tape == NULL);
	else
		assert_near(1e6 * firn_value(got), c->dt_uK, c->tolerance_uK);
}

/* dD = -70(1), d18O = -10.0(1) permil: constants 0.297 uK, analysis 0.673 and 0.063 uK, together
   0.7384 uK (JCGM 100:2008, 5.1.2, worked by hand; u of the constants as the Annex states them). */
static void test_water_uncertainty(void **state)
{
	const struct firn_water exact = { input(-0.07, 0.0), input(-0.01, 0.0), { 0 } };
	const struct firn_water analysed = { input(-0.07, 0.001), input(-0.01, 0.0001), { 0 } };
	struct firn_water_constants numbers, inputs;
	struct firn_node got;

	(void)state;
	assert_int_equal(firn_water_constants(tape, FIRN_ANNEX_2017, false, &numbers), FIRN_OK);
	assert_int_equal(firn_water_constants(tape, FIRN_ANNEX_2017, true, &inputs), FIRN_OK);
	assert_int_equal(firn_water_constants(tape, FIRN_CCT_2005, true, &inputs), FIRN_E_DOMAIN);
	assert_int_equal(firn_water_isotopes(&exact, &numbers, &got), FIRN_OK);
	assert_near(firn_u(got), 0.0, 0.0);
	assert_int_equal(firn_water_isotopes(&exact, &inputs, &got), FIRN_OK);
	assert_near(1e6 * firn_u(got), 0.29732, 1e-5); /* sqrt(0.28^2 + 0.1^2) */
	assert_int_equal(firn_water_isotopes(&analysed, &inputs, &got), FIRN_OK);
	assert_near(1e6 * firn_u(got), 0.7384, 5e-5);

	/* Two cells of the same water differ by nothing that the constants could add. */
	struct firn_node other;
	assert_int_equal(firn_water_isotopes(&exact, &inputs, &got), FIRN_OK);
	assert_int_equal(firn_water_isotopes(&exact, &inputs, &other), FIRN_OK);
	assert_near(firn_u(firn_sub(got, other)), 0.0, 1e-20);
}

/* CCT Guide sec. 2.2 (2018), 3: correction +50 uK, standard uncertainty 35 uK. */
static void test_water_unknown(void **state)
{
	struct firn_node got;

	(void)state;
	assert_int_equal(firn_water_unknown(tape, "cell.W1.isotopes", &got), FIRN_OK);
	assert_near_relative(firn_value(got), -50e-6, 1e-16);
	assert_near_relative(firn_u(got), 35e-6, 1e-16);
}

/* Technical Annex (2017), sec. 2: k_D = 5.42(31) uK/(umol/mol), from 89.02. */
static void test_hydrogen(void **state)
{
	struct firn_node k_D, got, none = { 0 };

	(void)state;
	assert_int_equal(firn_hydrogen_constant(tape, true, &k_D), FIRN_OK);
	assert_int_equal(firn_hydrogen_isotopes(input(31.4, 0.5), k_D, &got), FIRN_OK);
	assert_near(1e6 * firn_value(got), -312.3004, 1e-9);
	assert_near(1e6 * firn_u(got), hypot(57.62 * 0.31, 5.42 * 0.5), 1e-9);
	assert_int_equal(firn_hydrogen_isotopes(input(89.02, 0.0), k_D, &got), FIRN_OK);
	assert_near(firn_value(got), 0.0, 0.0);
	assert_int_equal(firn_hydrogen_isotopes(input(-1.0, 0.0), k_D, &none), FIRN_E_DOMAIN);
	assert_true(none.tape == NULL);
}

/* Technical Annex (2017), sec. 4, worked with mpmath from the constants as printed. */
static void test_neon(void **state)
{
	struct firn_node k1, got, none = { 0 };

	(void)state;
	assert_int_equal(firn_neon_constant(tape, true, &k1), FIRN_OK);
	assert_int_equal(firn_neon_isotopes(input(0.0939, 0.0), input(0.0027, 0.0), k1, &got),
			 FIRN_OK);
	assert_near(1e6 * firn_value(got), 208.0199738, 1e-7);
	assert_near(1e6 * firn_u(got), 400.0 * 0.09525, 1e-9);
	/* What rounding of the constants leaves at the composition they refer to. */
	assert_int_equal(firn_neon_isotopes(input(0.0925, 0.0), input(0.0027, 0.0), k1, &got),
			 FIRN_OK);
	assert_near(1e6 * firn_value(got), 1.9362063, 1e-6);
	assert_int_equal(firn_neon_isotopes(input(9.25, 0.0), input(0.0027, 0.0), k1, &none),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_neon_isotopes(input(0.0925, 0.0), input(0.27, 0.0), k1, &none),
			 FIRN_E_DOMAIN);
	assert_true(none.tape == NULL);
}

/* Made-up readings corrected with mpmath at 40 digits: R0 (1 - k dT), R0 - R_TPW slope dT. */
static void test_corrected(void **state)
{
	const struct firn_node r0 = input(25.51231602025592, 0.0),
			       dt_tpw = input(-237.7889e-6, 5e-5);
	const struct firn_node al = input(86.11725707951271, 0.0), dt_al = input(396.25e-6, 1e-3);
	const struct firn_node r_tpw = input(25.51233995864972, 0.0);
	struct firn_node got;

	(void)state;
	assert_int_equal(firn_correct_tpw(r0, 0.0039885279046649233, dt_tpw, &got), FIRN_OK);
	assert_near(firn_value(got), 25.51234021684218, 7e-15);
	assert_near_relative(firn_u(got), 25.51231602025592 * 0.0039885279046649233 * 5e-5, 1e-14);
	assert_int_equal(firn_correct_point(al, r_tpw, 0.003204970768540311, dt_al, &got), FIRN_OK);
	assert_near(firn_value(got), 86.11722467961483, 2.9e-14);
	assert_near_relative(firn_u(got), 25.51233995864972 * 0.003204970768540311 * 1e-3, 1e-14);
}

static void test_correction_refused(void **state)
{
	const struct firn_node r = input(25.5, 0.0), zero = input(0.0, 0.0), dt = input(-2e-4, 0.0);
	const struct firn_node in_uK = input(-200.0, 0.0);
	struct firn_node got = { 0 };

	(void)state;
	assert_int_equal(firn_correct_tpw(zero, 3.99e-3, dt, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_correct_tpw(r, 0.101, dt, &got),
			 FIRN_E_DOMAIN); /* ohm/K is no slope of W */
	assert_int_equal(firn_correct_tpw(r, 3.99e-3, in_uK, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_correct_tpw(r, (double)NAN, dt, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_correct_point(r, zero, 3.5e-3, dt, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_correct_point(r, r, 0.0, dt, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_correct_point(r, r, 3.5e-3, in_uK, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_certificate_effect(input(0.3, 0.0), &got), FIRN_E_DOMAIN);
	assert_true(got.tape == NULL);
}

/* Each effect once: what the certificate's correction contains is not applied again. */
static void test_total(void **state)
{
	struct firn_effects effects = { 0 };
	struct firn_node got = { 0 };

	(void)state;
	assert_int_equal(firn_effects_total(tape, &effects, &got), FIRN_OK);
	assert_near(firn_value(got), 0.0, 0.0);
	effects.dt_K[FIRN_EFFECT_ISOTOPES] = input(-50e-6, 3e-6);
	effects.dt_K[FIRN_EFFECT_HEAD] = input(-190e-6, 4e-6);
	assert_int_equal(firn_effects_total(tape, &effects, &got), FIRN_OK);
	assert_near(firn_value(got), -240e-6, 1e-19);
	assert_near_relative(firn_u(got), 5e-6, 1e-15);

	got = (struct firn_node){ 0 };
	effects.held[FIRN_EFFECT_ISOTOPES] = true;
	assert_int_equal(firn_effects_total(tape, &effects, &got), FIRN_E_DOMAIN);
	assert_true(got.tape == NULL);
	assert_int_equal(
	    firn_certificate_effect(input(60e-6, 3e-6), &effects.dt_K[FIRN_EFFECT_CERTIFICATE]),
	    FIRN_OK);
	assert_int_equal(firn_effects_total(tape, &effects, &got), FIRN_OK);
	assert_near(firn_value(got), -250e-6, 1e-19);
	assert_near_relative(firn_u(got), 5e-6, 1e-15);
	effects.held[FIRN_EFFECT_CERTIFICATE] = true;
	assert_int_equal(firn_effects_total(tape, &effects, &got), FIRN_E_DOMAIN);
}

int main(void)
{
	struct CMUnitTest tests[COUNT(effect_cases) + COUNT(water_cases) + 7];
	size_t n = 0;

	ADD_CASES(tests, n, effect_cases, test_effect);
	ADD_CASES(tests, n, water_cases, test_water);
	ADD_TEST(tests, n, test_water_uncertainty);
	ADD_TEST(tests, n, test_water_unknown);
	ADD_TEST(tests, n, test_hydrogen);
	ADD_TEST(tests, n, test_neon);
	ADD_TEST(tests, n, test_corrected);
	ADD_TEST(tests, n, test_correction_refused);
	ADD_TEST(tests, n, test_total);
	return cmocka_run_group_tests_name("correction", tests, NULL, NULL);
}
