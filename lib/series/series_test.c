#include "tests/support/near.h"
#include "firn/series.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* Made-up readings; means and deviations by hand. Ten readings and more: 1 2 3 4 5 and so on are a
   drift, so the order is shuffled where independence is meant. */
static const double few[] = { 1.0, 2.0, 3.0, 4.0 };
static const double equal[] = { 2.5, 2.5, 2.5, 2.5, 2.5, 2.5 };
static const double rounding[] = { 0.3, 0.1 + 0.2, 0.3, 0.1 + 0.2, 0.3 };
static const double noise[] = { 3.0, 1.0, 4.0, 2.0, 5.0 };
static const double coarse[] = { 7.0, 7.0, 7.0, 7.5, 7.0, 7.0, 7.0, 7.0 };
static const double overload[] = { 1.0, 1.0, 9.9e37, 1.0, 1.0 };
static const double negative_overload[] = { 1.0, 1.0, -9e37, 1.0, 1.0 };
static const double missing[] = { 1.0, (double)NAN, 1.0, 1.0, 1.0 };
static const double infinite[] = { 1.0, 1.0, 1.0, 1.0, (double)INFINITY };
static const double rising[] = { 0.0, 1.0, 2.0, 3.0, 4.0 };
static const double falling_back[] = { 0.0, 1.0, 0.5, 3.0, 4.0 };
static const double no_time[] = { 0.0, 1.0, (double)NAN, 3.0, 4.0 };

static struct mean_case {
	const char *name;
	struct firn_readings readings;
	enum firn_status want;
	double mean, s, u, dof, resolution;
} mean_cases[] = {
	/* s^2 = 10/4, u^2 = s^2/5; the step of 1 stays below: 1/sqrt(12) = 0.289. */
	{ "independent",
	  { 5, noise, rising, 0.0 },
	  FIRN_OK,
	  3.0,
	  1.5811388300841898,
	  0.70710678118654757,
	  4.0,
	  1.0 },
	/* s^2 = 7/256, u from scatter 0.0625; a step of 0.5 is worth 0.5/sqrt(12). */
	{ "below resolution",
	  { 8, coarse, NULL, 0.0 },
	  FIRN_OK,
	  7.0625,
	  0.17677669529663689,
	  0.14433756729740643,
	  0.0,
	  0.5 },
	{ "resolution given",
	  { 8, coarse, NULL, 0.1 },
	  FIRN_OK,
	  7.0625,
	  0.17677669529663689,
	  0.0625,
	  7.0,
	  0.1 },
	{ "few",
	  { 4, few, NULL, 0.0 },
	  FIRN_WARN_FEW,
	  2.5,
	  1.2909944487358056,
	  (double)NAN,
	  (double)NAN,
	  1.0 },
	{ "one",
	  { 1, few, NULL, 0.0 },
	  FIRN_WARN_FEW,
	  1.0,
	  (double)NAN,
	  (double)NAN,
	  (double)NAN,
	  0.0 },
	{ "hung",
	  { 6, equal, NULL, 0.0 },
	  FIRN_WARN_CONSTANT,
	  2.5,
	  0.0,
	  (double)NAN,
	  (double)NAN,
	  0.0 },
	{ "hung, resolution given",
	  { 6, equal, NULL, 0.5 },
	  FIRN_WARN_CONSTANT,
	  2.5,
	  0.0,
	  0.14433756729740643,
	  0.0,
	  0.5 },
	{ "hung and few",
	  { 4, equal, NULL, 0.5 },
	  FIRN_WARN_CONSTANT,
	  2.5,
	  0.0,
	  (double)NAN,
	  (double)NAN,
	  0.5 },
	{ "equal but for rounding",
	  { 5, rounding, NULL, 0.0 },
	  FIRN_WARN_CONSTANT,
	  0.3,
	  0.0,
	  (double)NAN,
	  (double)NAN,
	  0.0 },
	{ "none", { 0, few, NULL, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "overload", { 5, overload, NULL, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "negative overload", { 5, negative_overload, NULL, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "not a number", { 5, missing, NULL, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "infinite", { 5, infinite, NULL, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "time falls back", { 5, noise, falling_back, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "time missing", { 5, noise, no_time, 0.0 }, .want = FIRN_E_DOMAIN },
	{ "resolution negative", { 5, noise, NULL, -0.1 }, .want = FIRN_E_DOMAIN },
	{ "resolution missing", { 5, noise, NULL, (double)NAN }, .want = FIRN_E_DOMAIN },
};

static void assert_same(double got, double want)
{
	if (isnan(want))
		assert_true(isnan(got));
	else
		assert_near(got, want, 4e-16 * fmax(1.0, fabs(want)));
}

static void test_mean(void **state)
{
	const struct mean_case *c = *state;
	struct firn_mean got = { .mean = -1.0 };

	assert_int_equal(firn_series_mean(&c->readings, &got), c->want);
	if (c->want < 0) {
		assert_true(got.mean == -1.0);
		return;
	}
	assert_same(got.mean, c->mean);
	assert_same(got.s, c->s);
	assert_same(got.u, c->u);
	assert_same(got.dof, c->dof);
	assert_same(got.resolution, c->resolution);
	assert_true(got.resolution_was_given == (c->readings.resolution > 0.0));
}

/* Blocks of ten equal readings, levels alternating by pattern: 100 readings hold far fewer
   independent ones, and u is well above s/sqrt(n). By hand for blocks of length m: the factor is
   about m. */
static void test_correlated_blocks(void **state)
{
	static const double level[] = { 0.0, 3.0, 1.0,  -2.0, 2.0,  -3.0, 0.5,  -1.0, 2.5, -2.5,
					0.2, 1.7, -0.7, 2.2,  -1.8, 0.9,  -0.3, -2.2, 1.3, 0.4 };
	double x[200];
	struct firn_mean got;

	(void)state;
	for (size_t i = 0; i < COUNT(x); i++)
		x[i] = level[i / 10];
	const struct firn_readings readings = { .n = COUNT(x), .x = x, .resolution = 1e-3 };
	assert_int_equal(firn_series_mean(&readings, &got), FIRN_OK);
	assert_true(got.cut_off >= 5 && got.cut_off <= 50);
	assert_in_range((size_t)got.n_eff, 12, 40);
	assert_near_relative(got.u, got.s / sqrt(got.n_eff), 1e-15);
	assert_near(got.dof, got.n_eff - 1.0, 1e-12);
}

/* Readings that alternate: n_eff stays n, whatever the formula would grant. */
static void test_negative_correlation(void **state)
{
	double x[40];
	struct firn_mean got;

	(void)state;
	for (size_t i = 0; i < COUNT(x); i++)
		x[i] = (i % 2 == 0 ? 1.0 : -1.0) + 0.01 * (double)(i * 7 % 11);
	const struct firn_readings readings = { .n = COUNT(x), .x = x, .resolution = 1e-3 };
	assert_int_equal(firn_series_mean(&readings, &got), FIRN_OK);
	assert_true(got.r1 < -0.9);
	assert_near(got.n_eff, 40.0, 0.0);
}

/* Resolution 1e-9 on a ratio: what the digits in common leave of the mean. */
static void test_many_common_digits(void **state)
{
	static const double x[] = { 0.255124284, 0.255124286, 0.255124283, 0.255124287,
				    0.255124285, 0.255124282, 0.255124288 };
	const struct firn_readings readings = { .n = COUNT(x), .x = x };
	struct firn_mean got;

	(void)state;
	assert_int_equal(firn_series_mean(&readings, &got), FIRN_OK);
	/* Half a last digit of the readings is 2.8e-17. */
	assert_near(got.mean, 0.255124285, 3e-17);
	assert_near(got.s, 2.1602468994692868e-9, 6e-17); /* sqrt(28/6) */
	assert_near(got.resolution, 1e-9, 6e-17);
}

static struct drift_case {
	const char *name;
	struct firn_readings readings;
	enum firn_status want;
	double slope, change;
	bool is_significant;
} drift_cases[] = {
	{ "exact line", { 5, rising, rising, 0.01 }, FIRN_OK, 1.0, 4.0, true },
	{ "exact line without times", { 5, rising, NULL, 0.01 }, FIRN_OK, 1.0, 4.0, true },
	/* Sum of t x from the means: (-2)(0) + (-1)(-2) + 0 + (1)(-1) + (2)(2) = 5, over 10. */
	{ "noise", { 5, noise, rising, 0.0 }, FIRN_OK, 0.5, 2.0, false },
	{ "few", { 4, few, rising, 0.0 }, FIRN_WARN_FEW, 1.0, 3.0, false },
	{ "hung", { 5, equal, rising, 0.1 }, FIRN_WARN_CONSTANT, 0.0, 0.0, false },
	{ "one step of the last digit",
	  { 5, (const double[]){ 1.0, 1.0, 1.0, 2.0, 2.0 }, rising, 1.0 },
	  FIRN_OK,
	  0.3,
	  1.2,
	  false },
	{ "one reading", { 1, few, rising, 0.0 }, .want = FIRN_E_SINGULAR },
	{ "one time", { 5, noise, equal, 0.0 }, .want = FIRN_E_SINGULAR },
	{ "overload", { 5, overload, rising, 0.0 }, .want = FIRN_E_DOMAIN },
};

static void test_drift(void **state)
{
	const struct drift_case *c = *state;
	struct firn_drift got = { .slope = -77.0 };

	assert_int_equal(firn_series_drift(&c->readings, &got), c->want);
	if (c->want < 0) {
		assert_true(got.slope == -77.0);
		return;
	}
	assert_near(got.slope, c->slope, 4e-16);
	assert_near(got.change, c->change, 2e-15);
	assert_true(got.is_significant == c->is_significant);
	assert_true(isnan(got.u_slope) == (c->readings.n < FIRN_SERIES_FEWEST));
}

/* u(slope) of "noise" by the text-book: residual sum of squares 10 - 5^2/10 = 7.5, three degrees of
   freedom, sum of squares of t 10. */
static void test_drift_uncertainty(void **state)
{
	const struct firn_readings readings = { 5, noise, rising, 0.0 };
	struct firn_drift got;

	(void)state;
	assert_int_equal(firn_series_drift(&readings, &got), FIRN_OK);
	assert_near(got.u_slope, 0.5, 1e-15);
	assert_near(got.u_change, 2.0, 4e-15);
	assert_near(got.dof, 3.0, 1e-15);
}

/* Nothing says what a hung instrument would not have shown. */
static void test_hung_drift(void **state)
{
	const struct firn_readings readings = { 6, equal, NULL, 0.0 };
	struct firn_drift got;

	(void)state;
	assert_int_equal(firn_series_drift(&readings, &got), FIRN_WARN_CONSTANT);
	assert_true(isnan(got.u_slope) && isnan(got.u_change) && !got.is_significant);
}

static void test_outliers_at_resolution(void **state)
{
	double x[12];
	bool flags[12];
	size_t count;
	struct firn_readings readings = { .n = COUNT(x), .x = x };

	(void)state;
	for (size_t i = 0; i < COUNT(x); i++)
		x[i] = i == 4 ? 1.001 : 1.0;
	assert_int_equal(firn_series_outliers(&readings, 0.01, flags, &count), FIRN_OK);
	assert_int_equal(count, 1); /* nothing says that 0.001 is the last digit */
	assert_true(flags[4]);
	readings.resolution =
	    0.001001; /* a last digit of 0.001, and the rounding of the readings */
	assert_int_equal(firn_series_outliers(&readings, 0.01, flags, &count), FIRN_OK);
	assert_int_equal(count, 0);
	assert_false(flags[4]);
}

static void test_outliers_limits(void **state)
{
	bool flags[8] = { true };
	size_t count = 7;
	const struct firn_readings two = { 2, few, NULL, 0.0 }, hung = { 6, equal, NULL, 0.0 };
	const struct firn_readings bad = { 5, missing, NULL, 0.0 };

	(void)state;
	assert_int_equal(firn_series_outliers(&two, 0.05, flags, &count), FIRN_WARN_FEW);
	assert_int_equal(count, 0);
	assert_false(flags[0]);
	assert_int_equal(firn_series_outliers(&hung, 0.05, flags, &count), FIRN_OK);
	assert_int_equal(count, 0);
	assert_int_equal(firn_series_outliers(&bad, 0.05, flags, &count), FIRN_E_DOMAIN);
	assert_int_equal(firn_series_outliers(&two, 0.0, flags, &count), FIRN_E_DOMAIN);
	assert_int_equal(firn_series_outliers(&two, (double)NAN, flags, &count), FIRN_E_DOMAIN);
	assert_true(isnan(firn_grubbs_critical(2, 0.05)) && isnan(firn_grubbs_critical(9, 1.0)));
}

static void test_allan_limits(void **state)
{
	const struct firn_readings readings = { 5, noise, NULL, 0.0 },
				   bad = { 5, missing, NULL, 0.0 };
	double got = -1.0;

	(void)state;
	assert_int_equal(firn_series_allan(&readings, 0, false, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_series_allan(&readings, 3, true, &got), FIRN_E_DOMAIN);
	assert_int_equal(firn_series_allan(&bad, 1, true, &got), FIRN_E_DOMAIN);
	assert_true(got == -1.0);
	/* Steps -2 3 -2 3: sqrt(26/8). */
	assert_int_equal(firn_series_allan(&readings, 1, false, &got), FIRN_OK);
	assert_near(got, 1.8027756377319946, 3e-16);
}

static void test_autocorrelation_limits(void **state)
{
	const struct firn_readings readings = { 5, noise, NULL, 0.0 },
				   hung = { 6, equal, NULL, 0.0 };
	double r[5] = { 9.0 };

	(void)state;
	assert_int_equal(firn_series_autocorrelation(&readings, 5, r), FIRN_E_DOMAIN);
	assert_int_equal(firn_series_autocorrelation(&hung, 2, r), FIRN_E_SINGULAR);
	assert_true(r[0] == 9.0);
	/* Deviations 0 -2 1 -1 2: products at lag 1 add to -2 - 1 - 2 = -5, of 10. */
	assert_int_equal(firn_series_autocorrelation(&readings, 1, r), FIRN_OK);
	assert_near(r[0], -0.5, 1e-16);
}

int main(void)
{
	static const struct CMUnitTest others[] = {
		cmocka_unit_test(test_correlated_blocks),
		cmocka_unit_test(test_negative_correlation),
		cmocka_unit_test(test_many_common_digits),
		cmocka_unit_test(test_drift_uncertainty),
		cmocka_unit_test(test_hung_drift),
		cmocka_unit_test(test_outliers_at_resolution),
		cmocka_unit_test(test_outliers_limits),
		cmocka_unit_test(test_allan_limits),
		cmocka_unit_test(test_autocorrelation_limits),
	};
	struct CMUnitTest tests[COUNT(mean_cases) + COUNT(drift_cases) + COUNT(others)];
	size_t n = 0;

	for (size_t i = 0; i < COUNT(mean_cases); i++)
		tests[n++] = (struct CMUnitTest){ .name = mean_cases[i].name,
						  .test_func = test_mean,
						  .initial_state = &mean_cases[i] };
	for (size_t i = 0; i < COUNT(drift_cases); i++)
		tests[n++] = (struct CMUnitTest){ .name = drift_cases[i].name,
						  .test_func = test_drift,
						  .initial_state = &drift_cases[i] };
	for (size_t i = 0; i < COUNT(others); i++)
		tests[n++] = others[i];
	return cmocka_run_group_tests_name("series", tests, NULL, NULL);
}
