#include "firn/consensus.h"

#include "tests/support/near.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

/* Fixed point of aluminium, twelve institutes: D and U (95 %) in mK against the key comparison's
   reference value; CCT-K4, KCDB page of the comparison. u = U/2. */
static const struct {
	double d, U;
} aluminium[] = {
	{ 0.25, 1.47 }, { 1.0, 1.44 },   { -2.26, 2.13 }, { -0.13, 3.49 },
	{ 1.01, 1.08 }, { -4.35, 4.16 }, { 1.93, 1.51 },  { -2.25, 2.39 },
	{ 0.56, 1.46 }, { -1.79, 1.6 },  { -0.75, 1.54 }, { -1.5, 1.82 },
};

/* Lead in wine, the nine laboratories of the reference value: CCQM-K30, Metrologia 45 (2008) 08001.
   Not thermometry: here the laboratories' values, their uncertainties and the reference value are
   all published. */
static const struct firn_stated lead[] = {
	{ 2.893, 0.044 / 2.13 }, { 2.936, 0.0125 },    { 2.94, 0.0165 },
	{ 2.96, 0.08 / 2.4 },    { 2.98, 0.2 / 1.99 }, { 3.0, 0.05 },
	{ 3.001, 0.068 },        { 3.07, 0.085 },      { 3.13, 0.06 },
};

static void aluminium_values(struct firn_stated *ret)
{
	for (size_t i = 0; i < COUNT(aluminium); i++)
		ret[i] = (struct firn_stated){ aluminium[i].d, aluminium[i].U / 2.0 };
}

/* The D are against a weighted mean of the same values: it must be 0 within their rounding. The
   other figures were computed from the same data by hand, with more digits than are compared. */
static void test_aluminium(void **state)
{
	struct firn_stated values[COUNT(aluminium)], d;
	struct firn_consensus mean, plain, median;
	struct firn_consistency test;
	double s;
	size_t outside = 0;

	(void)state;
	aluminium_values(values);
	assert_int_equal(firn_weighted_mean(12, values, &mean), FIRN_OK);
	assert_near(mean.x, -0.011321, 5e-7);
	assert_near(mean.u, 0.239467, 5e-7);
	assert_int_equal(firn_consistency(12, values, &test), FIRN_OK);
	assert_near(test.chi2, 33.764, 5e-4);
	assert_near(test.dof, 11.0, 0.0);
	assert_near(test.limit, 19.675, 5e-4); /* any table of chi-squared */
	assert_near(test.birge, 1.75198, 5e-6);
	assert_false(test.is_consistent);
	assert_true(test.p < 1e-3 && test.p > 0.0);
	assert_int_equal(firn_arithmetic_mean(12, values, &plain, &s), FIRN_OK);
	assert_near(plain.x, -0.69, 1e-14);
	assert_near(s, 1.79732, 5e-6);
	assert_int_equal(firn_median(12, values, &median), FIRN_OK);
	assert_near(median.x, -0.44, 1e-14);
	for (size_t i = 0; i < 12; i++)
		outside += fabs(aluminium[i].d) > aluminium[i].U;
	assert_int_equal(outside, 4); /* KRISS, NMi-VSL, CSIRO-NML, NMIJ */

	/* Without the furthest the rest still disagree. */
	values[5] = values[11];
	assert_int_equal(firn_consistency(11, values, &test), FIRN_OK);
	assert_near(test.chi2, 29.354, 5e-4);
	assert_false(test.is_consistent);
	assert_int_equal(firn_weighted_mean(11, values, &mean), FIRN_OK);
	assert_near(mean.x, 0.046959, 5e-7);
	assert_int_equal(firn_equivalence(&values[0], &mean, true, &d), FIRN_OK);
	assert_near(d.x, 0.25 - mean.x, 1e-15);
	assert_near(d.u * d.u, 0.735 * 0.735 - mean.u * mean.u, 1e-15);
}

/* The published reference value is the arithmetic mean, 2.99 mg/kg with U = 0.06, although the
   weighted mean lies 0.05 lower. The rest computed from the published values by hand. */
static void test_lead(void **state)
{
	struct firn_consensus x;
	struct firn_consistency test;
	double s;

	(void)state;
	assert_int_equal(firn_arithmetic_mean(9, lead, &x, &s), FIRN_OK);
	assert_near(x.x, 2.99, 5e-7);
	assert_near(s, 0.072497, 5e-7);
	assert_near(x.u, 0.024166, 5e-7);
	assert_near(2.306004135 * x.u, 0.06, 0.006); /* t(0.975; 8), any table */
	assert_int_equal(firn_weighted_mean(9, lead, &x), FIRN_OK);
	assert_near(x.x, 2.939597, 5e-7);
	assert_near(x.u, 0.008319, 5e-7);
	assert_int_equal(firn_consistency(9, lead, &test), FIRN_OK);
	assert_near(test.chi2, 20.4067, 5e-5);
	assert_near(test.birge, 1.5971, 5e-5);
	assert_near(test.limit, 15.507, 5e-4);
	assert_false(test.is_consistent);
	assert_int_equal(firn_median(9, lead, &x), FIRN_OK);
	assert_near(x.x, 2.98, 0.0);
	assert_int_equal(firn_dersimonian_laird(9, lead, &x), FIRN_OK);
	assert_near(x.tau, 0.034840, 5e-7);
	assert_near(x.x, 2.958816, 5e-7);
	assert_near(x.u, 0.017414, 5e-7);
	assert_int_equal(firn_mandel_paule(9, lead, &x), FIRN_OK);
	assert_near(x.tau, 0.052012, 5e-7);
	assert_near(x.x, 2.968477, 5e-7);
	assert_near(x.u, 0.022747, 5e-7);
}

/* Values that agree better than their u: no scatter between, and both methods give the weighted
   mean. */
static void test_agreeing(void **state)
{
	static const struct firn_stated values[] = { { 1.0, 0.5 }, { 1.1, 0.25 }, { 0.95, 1.0 } };
	struct firn_consensus mean, dl, mp;
	struct firn_consistency test;

	(void)state;
	assert_int_equal(firn_weighted_mean(3, values, &mean), FIRN_OK);
	assert_near(mean.x, (4.0 * 1.0 + 16.0 * 1.1 + 0.95) / 21.0, 1e-15);
	assert_near(mean.u, 1.0 / sqrt(21.0), 1e-16);
	assert_int_equal(firn_dersimonian_laird(3, values, &dl), FIRN_OK);
	assert_int_equal(firn_mandel_paule(3, values, &mp), FIRN_OK);
	assert_near(dl.tau, 0.0, 0.0);
	assert_near(mp.tau, 0.0, 0.0);
	assert_near(dl.x, mean.x, 0.0);
	assert_near(mp.u, mean.u, 0.0);
	assert_int_equal(firn_consistency(3, values, &test), FIRN_OK);
	assert_true(test.is_consistent && test.p > 0.9);
}

/* A level that all share changes no statistics: here 1e7, exact to the bit in the spread. */
static void test_level(void **state)
{
	struct firn_stated high[9];
	struct firn_consistency test, low;
	struct firn_consensus a, b;

	(void)state;
	for (size_t i = 0; i < 9; i++)
		high[i] = (struct firn_stated){ lead[i].x + 1e7, lead[i].u };
	assert_int_equal(firn_consistency(9, high, &test), FIRN_OK);
	assert_int_equal(firn_consistency(9, lead, &low), FIRN_OK);
	assert_near(test.chi2, low.chi2, 1e-5); /* 1e7 rounds by 1e-9, some 1e-7 of u */
	assert_int_equal(firn_mandel_paule(9, high, &a), FIRN_OK);
	assert_int_equal(firn_mandel_paule(9, lead, &b), FIRN_OK);
	assert_near(a.tau, b.tau, 1e-7);
}

static void test_pairs(void **state)
{
	const struct firn_stated a = { 3.0, 0.3 }, b = { 1.0, 0.4 };
	struct firn_stated d;
	double e_n;

	(void)state;
	assert_int_equal(firn_pair_equivalence(&a, &b, &d), FIRN_OK);
	assert_near(d.x, 2.0, 0.0);
	assert_near(d.u, 0.5, 1e-16);
	assert_int_equal(firn_e_n(a.x, 0.6, b.x, 0.8, &e_n), FIRN_OK);
	assert_near(e_n, 2.0, 1e-15);
}

static void test_refused(void **state)
{
	const struct firn_stated none = { 1.0, 0.0 }, odd = { (double)NAN, 1.0 },
				 good[] = { { 1.0, 1.0 }, { 2.0, 1.0 } };
	const struct firn_consensus wide = { .x = 1.0, .u = 3.0 };
	struct firn_consensus x = { -7.0, -7.0, -7.0 };
	struct firn_consistency test = { .chi2 = -7.0 };
	struct firn_stated d = { -7.0, -7.0 };
	double s = -7.0;

	(void)state;
	assert_int_equal(firn_weighted_mean(0, good, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_weighted_mean(1, &none, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_weighted_mean(1, &odd, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_arithmetic_mean(1, good, &x, &s), FIRN_E_DOMAIN);
	assert_int_equal(firn_median(1, good, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_dersimonian_laird(1, good, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_mandel_paule(1, good, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_consistency(1, good, &test), FIRN_E_DOMAIN);
	assert_int_equal(firn_equivalence(good, &wide, true, &d), FIRN_E_DOMAIN);
	assert_int_equal(firn_pair_equivalence(&none, good, &d), FIRN_E_DOMAIN);
	assert_int_equal(firn_e_n(1.0, 0.0, 2.0, 0.0, &s), FIRN_E_DOMAIN);
	assert_true(x.x == -7.0 && test.chi2 == -7.0 && d.x == -7.0 && s == -7.0);
	assert_true(isnan(firn_chi_squared_limit(0.0)) && isnan(firn_chi_squared_p(-1.0, 2.0)));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_aluminium), cmocka_unit_test(test_lead),
		cmocka_unit_test(test_agreeing),  cmocka_unit_test(test_level),
		cmocka_unit_test(test_pairs),     cmocka_unit_test(test_refused),
	};

	return cmocka_run_group_tests_name("consensus", tests, NULL, NULL);
}
