/* lib/series against published values and against simulated records; a source beside each. */
#include "tests/support/near.h"
#include "firn/number.h"
#include "firn/series.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { LONGEST = 5000 };

static size_t read_set(const char *name, double *ret_x)
{
	char path[4096], line[64];
	size_t n = 0;

	snprintf(path, sizeof(path), "%s/tests/oracle/series_data/%s.csv", getenv("FIRN_SOURCE"),
		 name);
	FILE *file = fopen(path, "r");
	assert_non_null(file);
	assert_non_null(fgets(line, sizeof(line), file)); /* header */
	while (n < LONGEST && fgets(line, sizeof(line), file) != NULL)
		if (firn_number_prefix(line, strlen(line), &ret_x[n]) > 0)
			n++;
	fclose(file);
	return n;
}

/* NumAcc1: 10000001, 10000003, 10000002. NumAcc2, NumAcc3: base 1 or 1000000 and .2, .1, .3, .1, .3
   to 1001 values. Written as decimal numbers, each read as the nearest double. */
static size_t make_set(const char *name, double *ret_x)
{
	const bool third = strcmp(name, "NumAcc3") == 0;

	if (strcmp(name, "NumAcc1") == 0) {
		ret_x[0] = 10000001.0;
		ret_x[1] = 10000003.0;
		ret_x[2] = 10000002.0;
		return 3;
	}
	ret_x[0] = third ? 1000000.2 : 1.2;
	for (size_t i = 1; i < 1001; i++)
		ret_x[i] = i % 2 == 1 ? (third ? 1000000.1 : 1.1) : (third ? 1000000.3 : 1.3);
	return 1001;
}

/*
 * Certified values: NIST Statistical Reference Datasets, univariate summary statistics.
 * Tolerance of s and r1: the certified 15 digits; for NumAcc3 the readings themselves, as doubles,
 * are off by up to 5.8e-11, and 0.1 is made of differences of two of them.
 */
static const struct certified {
	const char *name;
	bool made;
	size_t n;
	double mean, s, r1, tolerance;
} certified[] = {
	{ "PiDigits", false, 5000, 4.53480000000000, 2.86733906028871, -0.00355099287237972,
	  3e-15 },
	{ "Lottery", false, 218, 518.958715596330, 291.699727470969, -0.120948622967393, 3e-15 },
	{ "Lew", false, 200, -177.435000000000, 277.332168044316, -0.307304800605679, 3e-15 },
	{ "NumAcc1", true, 3, 10000002.0, 1.0, -0.5, 0.0 },
	{ "NumAcc2", true, 1001, 1.2, 0.1, -0.999, 2e-15 },
	{ "NumAcc3", true, 1001, 1000000.2, 0.1, -0.999, 1.2e-9 },
};

static void test_certified(void **state)
{
	const struct certified *c = *state;
	static double x[LONGEST];
	const size_t n = c->made ? make_set(c->name, x) : read_set(c->name, x);
	const struct firn_readings readings = { .n = n, .x = x, .resolution = 1e-9 };
	struct firn_mean got;

	assert_int_equal(n, c->n);
	assert_true(firn_series_mean(&readings, &got) >= 0);
	assert_near_relative(got.mean, c->mean, 2e-15);
	assert_near_relative(got.s, c->s, c->tolerance);
	assert_near(got.r1, c->r1, 3e-15 + c->tolerance);
}

/* Autocorrelations to lag 2, and what the formula for the variance of the mean makes of given
   lags: worked beforehand in another program from the same data (six digits). */
static void test_variance_factor(void **state)
{
	static const struct {
		const char *name;
		size_t lags;
		double r1, r2, factor;
	} cases[] = {
		{ "Lottery", 2, -0.120949, -0.135058, 0.491574 },
		{ "Lew", 33, -0.307305, -0.740350, 0.451584 },
	};
	static double x[LONGEST];
	double r[33];

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		const size_t n = read_set(cases[i].name, x);
		const struct firn_readings readings = { .n = n, .x = x };
		double factor = 1.0;

		assert_int_equal(firn_series_autocorrelation(&readings, cases[i].lags, r), FIRN_OK);
		for (size_t k = 1; k <= cases[i].lags; k++)
			factor += 2.0 * (1.0 - (double)k / (double)n) * r[k - 1];
		assert_near(r[0], cases[i].r1, 5.1e-7);
		assert_near(r[1], cases[i].r2, 5.1e-7);
		assert_near(factor, cases[i].factor, 5.1e-7);
	}
}

/* Random by construction, so u must be s/sqrt(n). Judging every lag at 1.96 sd picks lag 1059 of
   the 5000 digits of pi and makes u 1.56 times as large. */
static void test_no_false_alarm(void **state)
{
	static const char *const names[] = { "PiDigits", "Lottery" };
	static double x[LONGEST];

	(void)state;
	for (size_t i = 0; i < COUNT(names); i++) {
		const struct firn_readings readings = { .n = read_set(names[i], x),
							.x = x,
							.resolution = 1e-9 };
		struct firn_mean got;

		assert_int_equal(firn_series_mean(&readings, &got), FIRN_OK);
		assert_int_equal(got.cut_off, 0);
		assert_near_relative(got.u, got.s / sqrt((double)readings.n), 1e-15);
	}
}

/* NBS14: frequency data and deviations printed in NIST Special Publication 1065 (2008), page 107.
 */
static void test_allan(void **state)
{
	static const double x[] = { 892, 809, 823, 798, 671, 644, 883, 903, 677 };
	static const struct {
		size_t m;
		bool overlapping;
		double want;
	} cases[] = {
		{ 1, false, 91.22945 },
		{ 2, false, 115.8082 },
		{ 1, true, 91.22945 },
		{ 2, true, 85.95287 },
	};
	const struct firn_readings readings = { .n = COUNT(x), .x = x };

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		double got;

		assert_int_equal(
		    firn_series_allan(&readings, cases[i].m, cases[i].overlapping, &got), FIRN_OK);
		assert_near(got, cases[i].want, cases[i].want > 100.0 ? 5e-5 : 5e-6);
	}
}

/* One-sided 5 % points, as in public tables for n = 3 to 8 (two decimals; 1.1531 is cut to 1.15),
   and computed to four for all: Grubbs's formula by another program. */
static void test_grubbs_table(void **state)
{
	static const struct {
		size_t n;
		double one_05, one_01, two_05, two_01;
	} rows[] = {
		{ 3, 1.1531, 1.1546, 1.1543, 1.1547 },  { 4, 1.4625, 1.4925, 1.4812, 1.4962 },
		{ 5, 1.6714, 1.7489, 1.7150, 1.7637 },  { 6, 1.8221, 1.9442, 1.8871, 1.9728 },
		{ 7, 1.9381, 2.0973, 2.0200, 2.1391 },  { 8, 2.0317, 2.2208, 2.1266, 2.2744 },
		{ 10, 2.1761, 2.4097, 2.2900, 2.4821 }, { 15, 2.4090, 2.7049, 2.5483, 2.8061 },
		{ 20, 2.5566, 2.8838, 2.7082, 3.0008 }, { 30, 2.7451, 3.1029, 2.9085, 3.2361 },
		{ 50, 2.9570, 3.3366, 3.1282, 3.4825 }, { 100, 3.2095, 3.6002, 3.3841, 3.7540 },
	};
	static const double published[] = { 1.15, 1.46, 1.67, 1.82, 1.94, 2.03 };

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		assert_near(firn_grubbs_critical(rows[i].n, 0.10), rows[i].one_05, 5.1e-5);
		assert_near(firn_grubbs_critical(rows[i].n, 0.02), rows[i].one_01, 5.1e-5);
		assert_near(firn_grubbs_critical(rows[i].n, 0.05), rows[i].two_05, 5.1e-5);
		assert_near(firn_grubbs_critical(rows[i].n, 0.01), rows[i].two_01, 5.1e-5);
	}
	for (size_t i = 0; i < COUNT(published); i++)
		assert_near(firn_grubbs_critical(i + 3, 0.10), published[i], 5e-3);
}

/* Uranium isotope data of Tietjen and Moore: NIST/SEMATECH e-Handbook, 1.3.5.17.1 (data from
   memory; they give the printed mean, s, G = 2.4687 and critical value 2.032). */
static void test_grubbs_example(void **state)
{
	static const double x[] = {
		199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57
	};
	const struct firn_readings readings = { .n = COUNT(x), .x = x };
	struct firn_mean mean;
	bool flags[COUNT(x)];
	size_t count;

	(void)state;
	assert_int_equal(firn_series_mean(&readings, &mean), FIRN_OK);
	assert_near(mean.mean, 206.43, 5e-3);
	assert_near(mean.s, 15.85, 5e-3);
	assert_near((x[7] - mean.mean) / mean.s, 2.4687, 1e-4);
	assert_near(firn_grubbs_critical(8, 0.10), 2.032, 5e-4);
	assert_int_equal(firn_series_outliers(&readings, 0.10, flags, &count), FIRN_OK);
	assert_int_equal(count, 1);
	for (size_t i = 0; i < COUNT(x); i++)
		assert_true(flags[i] == (i == 7));
}

/* Rosner's example: NIST/SEMATECH e-Handbook, 1.3.5.17.3 (data from memory). Steps 1 and 2 pass
   (3.118 < 3.158, 2.942 < 3.151), step 3 fails (3.179 > 3.143): three outliers, which Grubbs's test
   alone would miss. */
static void test_masked_outliers(void **state)
{
	static const double x[] = { -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38,
				    1.43,  1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70,
				    1.76,  1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09,
				    2.10,  2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40,
				    2.47,  2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21,
				    3.26,  3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01 };
	const struct firn_readings readings = { .n = COUNT(x), .x = x };
	struct firn_mean mean;
	bool flags[COUNT(x)];
	size_t count;

	(void)state;
	assert_int_equal(COUNT(x), 54);
	assert_true(firn_series_mean(&readings, &mean) >= 0);
	assert_near((6.01 - mean.mean) / mean.s, 3.118, 1.1e-3);
	assert_near(firn_grubbs_critical(54, 0.05), 3.158, 1e-3);
	assert_near(firn_grubbs_critical(53, 0.05), 3.151, 1e-3);
	assert_near(firn_grubbs_critical(52, 0.05), 3.143, 1e-3);
	assert_int_equal(firn_series_outliers(&readings, 0.05, flags, &count), FIRN_OK);
	assert_int_equal(count, 3);
	for (size_t i = 0; i < COUNT(x); i++)
		assert_true(flags[i] == (i >= 51));
}

/* Records x_i = phi x_(i-1) + e_i whose mean is known to be 0. */
static struct simulation {
	const char *name;
	double phi;
	size_t n, trials;
	double low, high; /* of mean u^2 over the variance of the mean */
} simulations[] = {
	/* What is asked: u^2 right on average. Scatter of its mean over the trials is below 0.01
	   for independent readings, 0.03 for the others; the limits leave room for the rule's own
	   bias. */
	{ "20 independent readings", 0.0, 20, 4000, 0.97, 1.06 },
	{ "100 independent readings", 0.0, 100, 2000, 0.97, 1.06 },
	{ "1000 independent readings", 0.0, 1000, 400, 0.97, 1.06 },
	{ "200 readings, phi 0.5", 0.5, 200, 1000, 0.9, 1.15 },
	{ "1000 readings, phi 0.5", 0.5, 1000, 400, 0.9, 1.15 },
	{ "1000 readings, phi 0.8", 0.8, 1000, 400, 0.9, 1.2 },
};

/* Exact variance of the mean of n readings, variance of e being 1: sum of the autocorrelations. */
static double ar1_variance(double phi, double n)
{
	const double factor = (1.0 + phi) / (1.0 - phi) -
			      2.0 * phi * (1.0 - pow(phi, n)) / (n * (1.0 - phi) * (1.0 - phi));

	return factor / (n * (1.0 - phi * phi));
}

static void test_simulation(void **state)
{
	const struct simulation *c = *state;
	gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
	static double x[LONGEST];
	double u2 = 0.0, mean2 = 0.0;

	assert_non_null(random);
	for (size_t trial = 0; trial < c->trials; trial++) {
		const struct firn_readings readings = { .n = c->n, .x = x };
		struct firn_mean got;

		x[0] = gsl_ran_gaussian(random, 1.0 / sqrt(1.0 - c->phi * c->phi));
		for (size_t i = 1; i < c->n; i++)
			x[i] = c->phi * x[i - 1] + gsl_ran_gaussian(random, 1.0);
		assert_int_equal(firn_series_mean(&readings, &got), FIRN_OK);
		u2 += got.u * got.u / (double)c->trials;
		mean2 += got.mean * got.mean / (double)c->trials;
	}
	gsl_rng_free(random);
	const double exact = ar1_variance(c->phi, (double)c->n);
	/* The simulation itself: relative scatter of a variance over the trials, four times. */
	assert_near_relative(mean2, exact, 4.0 * sqrt(2.0 / (double)c->trials));
	assert_in_range((size_t)(1000.0 * u2 / exact), (size_t)(1000.0 * c->low),
			(size_t)(1000.0 * c->high));
}

/* How often a flag comes where there is no outlier, and a drift is seen where there is none. */
static void test_error_rates(void **state)
{
	enum { TRIALS = 4000, N = 30 };
	gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
	size_t flagged = 0, drifted = 0, count;
	double x[N];
	bool flags[N];

	(void)state;
	assert_non_null(random);
	for (size_t trial = 0; trial < TRIALS; trial++) {
		const struct firn_readings readings = { .n = N, .x = x };
		struct firn_drift drift;

		for (size_t i = 0; i < N; i++)
			x[i] = gsl_ran_gaussian(random, 1.0);
		assert_int_equal(firn_series_outliers(&readings, 0.05, flags, &count), FIRN_OK);
		flagged += count > 0;
		assert_int_equal(firn_series_drift(&readings, &drift), FIRN_OK);
		drifted += drift.is_significant;
	}
	gsl_rng_free(random);
	/* Nominal 5 % of 4000 is 200, four times its scatter 55. The repeated test is allowed a
	   little more (Rosner 1983 finds 5 % to 6 %), the residuals' correlation makes drift a
	   little rarer. */
	assert_in_range(flagged, 145, 295);
	assert_in_range(drifted, 130, 255);
}

int main(void)
{
	static const struct CMUnitTest others[] = {
		cmocka_unit_test(test_variance_factor), cmocka_unit_test(test_no_false_alarm),
		cmocka_unit_test(test_allan),           cmocka_unit_test(test_grubbs_table),
		cmocka_unit_test(test_grubbs_example),  cmocka_unit_test(test_masked_outliers),
		cmocka_unit_test(test_error_rates),
	};
	struct CMUnitTest tests[COUNT(certified) + COUNT(simulations) + COUNT(others)];
	size_t n = 0;

	for (size_t i = 0; i < COUNT(certified); i++)
		tests[n++] =
		    (struct CMUnitTest){ .name = certified[i].name,
					 .test_func = test_certified,
					 .initial_state = (void *)(uintptr_t)&certified[i] };
	for (size_t i = 0; i < COUNT(simulations); i++)
		tests[n++] = (struct CMUnitTest){ .name = simulations[i].name,
						  .test_func = test_simulation,
						  .initial_state = &simulations[i] };
	for (size_t i = 0; i < COUNT(others); i++)
		tests[n++] = others[i];
	return cmocka_run_group_tests_name("series oracle", tests, NULL, NULL);
}
