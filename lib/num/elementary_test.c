#include "lib/num/elementary.h"

#include "tests/support/near.h"

#include <float.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* Computed at 40 digits with mpmath from the double that the text stands for. */
static const struct {
	double x, y;
} exp_cases[] = {
	{ -708.25, 2.5759248692837693828e-308 },
	{ -100.5, 2.2563401359170363132e-44 },
	{ -2.13534729, 0.11820353234277848969 },
	{ -0.3465, 0.70715881928727133929 },
	{ -1e-9, 0.9999999990000000005 },
	{ 0.3466, 1.4142509118505286742 },
	{ 0.7, 2.0137527074704764322 },
	{ 1.0, 2.7182818284590452354 },
	{ 10.1, 24343.009424408379698 },
	{ 709.5, 1.3549863193146328309e+308 },
}, ln_cases[] = {
	{ 5e-324, -744.44007192138126231 },
	{ 1e-310, -713.8013788281541651 },
	{ 1e-100, -230.25850929940456838 },
	{ 0.0505, -2.9857819427008228468 },
	{ 0.7071067811865475, -0.34657359027997274336 },
	{ 0.7071067811865476, -0.34657359027997258635 },
	{ 0.9999999999999999, -1.1102230246251566021e-16 },
	{ 1.0000000000000002, 2.2204460492503128343e-16 },
	{ 1.0001, 0.000099995000333297323022 },
	{ 1.4142135623730951, 0.34657359027997272307 },
	{ 1.5, 0.40546510810816438198 },
	{ 2.0, 0.69314718055994530942 },
	{ 0.05053192268267682, -2.9851500100820720667 },
	{ 1e+308, 709.19620864216607069 },
};

/* The bound of the header, and the rounding of the figure in the table. */
static void test_figures(void **state)
{
	(void)state;
	for (size_t i = 0; i < COUNT(exp_cases); i++)
		assert_near_relative(num_exp(exp_cases[i].x), exp_cases[i].y, 2.3e-16);
	for (size_t i = 0; i < COUNT(ln_cases); i++)
		assert_near_relative(num_ln(ln_cases[i].x), ln_cases[i].y, 2.3e-16);
}

static void test_ends(void **state)
{
	(void)state;
	assert_true(num_exp(0.0) == 1.0 && num_ln(1.0) == 0.0 && !signbit(num_ln(1.0)));
	assert_true(num_exp(710.0) == (double)INFINITY &&
		    num_exp((double)INFINITY) == (double)INFINITY);
	assert_true(num_exp(709.8) == (double)INFINITY && num_exp(709.7) <= DBL_MAX);
	assert_true(num_exp(-746.0) == 0.0 && num_exp(-(double)INFINITY) == 0.0);
	assert_true(num_exp(-744.5) == 5e-324);
	assert_true(isnan(num_exp((double)NAN)) && isnan(num_ln((double)NAN)));
	assert_true(isnan(num_ln(-5e-324)) && isnan(num_ln(-(double)INFINITY)));
	assert_true(num_ln(0.0) == -(double)INFINITY &&
		    num_ln((double)INFINITY) == (double)INFINITY);
}

/* Against the C library in long double, whose own error (2^-63) does not count here. */
static void test_against_long_double(void **state)
{
	double worst_exp = 0.0, worst_ln = 0.0;
	uint64_t random = 20260101;

	(void)state;
	if (LDBL_MANT_DIG < 64)
		skip();
	for (int i = 0; i < 1000000; i++) {
		random = random * 6364136223846793005u + 1442695040888963407u;
		const double uniform = (double)(random >> 11) * 0x1p-53;
		const double x = (uniform - 0.5) * (i % 2 ? 1400.0 : 8.0);
		const double y = i % 3 == 0
				     ? 1.0 + (uniform - 0.5) * pow(2.0, -(i % 50))
				     : num_exp((uniform - 0.5) * (i % 3 == 1 ? 1400.0 : 8.0));
		const long double e = expl((long double)x), l = logl((long double)y);

		worst_exp = fmax(worst_exp, fabs((double)(((long double)num_exp(x) - e) / e)));
		if (l != 0.0L)
			worst_ln = fmax(worst_ln, fabs((double)(((long double)num_ln(y) - l) / l)));
	}
	assert_near(worst_exp, 0.0, 1.2e-16);
	assert_near(worst_ln, 0.0, 1.2e-16);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_figures),
		cmocka_unit_test(test_ends),
		cmocka_unit_test(test_against_long_double),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
