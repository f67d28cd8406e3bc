/*
 * A small run of what docs/methods/simulation.md describes; the bounds are those fixed there. Seed
 * and numbers are fixed as well, so the outcome is one and the same every time.
 */
#include "app/simulate/measure.h"
#include "app/simulate/simulate.h"

#include "tests/support/near.h"

#include <string.h>

static const struct small_run {
	const char *laboratory;
	size_t n;
	int64_t trials;
} small_runs[] = {
	{ "long stem", 400, 1000 },    { "capsule", 400, 0 },     { "high temperature", 400, 0 },
	{ "impure cells", 400, 1000 }, { "few repeats", 150, 0 },
};

static void simulate(const char *name, size_t n, int64_t trials, int halved, int threads,
		     struct simulate_result *ret)
{
	const struct simulate_settings settings = { SIMULATE_SEED, n, trials, halved };
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(base_threads) pool = base_threads_new(threads);
	const bool good =
	    simulate_run(simulate_laboratory_named(name), &settings, pool, messages, ret);

	base_messages_print(messages, stderr);
	assert_true(good);
}

static void assert_three_sd(struct simulate_mean x, double want, const char *what)
{
	print_message("# %s: %.4f, standard deviation %.4f\n", what, x.mean, x.sd);
	assert_true(x.sd > 0.0);
	assert_near(x.mean, want, 3.0 * x.sd);
}

static void assert_squares(const struct simulate_result *r)
{
	for (size_t k = 0; k < r->n_subranges; k++) {
		assert_true(r->subranges[k].n_lines > 10);
		assert_three_sd(r->subranges[k].squares, 1.0, "squares, calibration alone");
		assert_three_sd(r->subranges[k].squares_total, 1.0, "squares, with departures");
	}
	assert_three_sd(r->squares_in_use, 1.0, "squares, in use");
	assert_three_sd(r->squares_r_tpw, 1.0, "squares, R(TPW)");
	assert_true(simulate_squares_hold(r));
}

/* Each laboratory is what it is said to be an example of. */
static void assert_kind(const struct simulate_laboratory *laboratory,
			const struct simulate_result *r)
{
	if (laboratory->kind == SIMULATE_FEW_REPEATS)
		assert_true(r->fewest_dof < 20.0);
	else
		assert_true(r->fewest_dof >= 20.0);
	if (laboratory->kind == SIMULATE_RECTANGLE)
		assert_true(r->smallest_rectangle > 0.5);
	else
		assert_true(r->largest_rectangle < 0.25);
}

static void test_laboratory(void **state)
{
	const struct small_run *run = *state;
	const struct simulate_laboratory *laboratory = simulate_laboratory_named(run->laboratory);
	g_auto(simulate_result) r = { 0 };

	simulate(run->laboratory, run->n, run->trials, SIMULATE_NOTHING, 0, &r);
	assert_kind(laboratory, &r);
	if (laboratory->kind != SIMULATE_FEW_REPEATS)
		assert_squares(&r);
	for (size_t k = 0; k < r.n_subranges; k++) {
		if (laboratory->kind == SIMULATE_WELL_KNOWN)
			assert_three_sd(r.subranges[k].linear, 0.95, "coverage, first order");
		if (run->trials > 0)
			assert_three_sd(r.subranges[k].trials, 0.95, "coverage, trials");
		else
			assert_true(isnan(r.subranges[k].trials.mean));
	}
}

/* With few repeats a square has the mean dof/(dof - 2): the linear law alone would not do. */
static void test_few_repeats(void **state)
{
	g_auto(simulate_result) r = { 0 };

	(void)state;
	simulate("few repeats", 150, 0, SIMULATE_NOTHING, 0, &r);
	assert_true(r.subranges[0].squares.mean > 1.0);
}

/* The term makes more than a fifth of the variance; the readings are the same, the budget is wrong.
 */
static void test_halved(void **state)
{
	g_auto(simulate_result) right = { 0 }, halved = { 0 };

	(void)state;
	simulate("long stem", 400, 0, SIMULATE_NOTHING, 0, &right);
	simulate("long stem", 400, 0, LAB_REPRODUCIBILITY, 0, &halved);
	print_message("# share of the variance: %.3f\n", simulate_share(&right, &halved));
	assert_true(simulate_share(&right, &halved) > 0.2);
	assert_true(simulate_share(&right, &halved) < 0.5);
	assert_true(simulate_share(&right, &right) == 0.0);
	assert_true(simulate_squares_hold(&right));
	assert_false(simulate_squares_hold(&halved));
}

/* Every kind can be halved, and each makes a variance somewhere smaller. */
static void test_kinds(void **state)
{
	g_auto(simulate_result) right = { 0 };

	(void)state;
	simulate("capsule", 2, 0, SIMULATE_NOTHING, 1, &right);
	for (int halved = 0; halved < SIMULATE_KINDS; halved++) {
		g_auto(simulate_result) r = { 0 };

		simulate("capsule", 2, 0, halved, 1, &r);
		assert_true(strlen(simulate_halved_name(halved)) > 0);
		/* a capsule to water has no term for leakage */
		if (halved != LAB_LEAKAGE)
			assert_true(simulate_share(&right, &r) > 0.0);
	}
}

static void test_threads(void **state)
{
	g_auto(simulate_result) one = { 0 }, three = { 0 };

	(void)state;
	simulate("impure cells", 7, 100, SIMULATE_NOTHING, 1, &one);
	simulate("impure cells", 7, 100, SIMULATE_NOTHING, 3, &three);
	for (size_t k = 0; k < one.n_subranges; k++) {
		assert_int_equal(one.subranges[k].n_lines, three.subranges[k].n_lines);
		assert_memory_equal(one.subranges[k].lines, three.subranges[k].lines,
				    one.subranges[k].n_lines * sizeof(*one.subranges[k].lines));
		assert_true(one.subranges[k].squares.mean == three.subranges[k].squares.mean);
		assert_true(one.subranges[k].trials.mean == three.subranges[k].trials.mean);
	}
	assert_true(one.squares_in_use.mean == three.squares_in_use.mean);
}

static void test_draws(void **state)
{
	struct simulate_draws draws = { 7, 3 }, other = { 7, 4 };
	double squares = 0.0, spread = 0.0;

	(void)state;
	assert_true(simulate_normal(&draws, "visit %d", 1) == simulate_normal(&draws, "visit 1"));
	assert_true(simulate_normal(&draws, "visit 1") != simulate_normal(&draws, "visit 2"));
	assert_true(simulate_normal(&draws, "visit 1") != simulate_normal(&other, "visit 1"));
	assert_true(simulate_spread(&draws, (double)INFINITY, "s") == 1.0);
	for (other.calibration = 0; other.calibration < 4000; other.calibration++) {
		const double s = simulate_spread(&other, 5.0, "s"),
			     u = simulate_uniform(&other, "u");

		assert_true(u > -1.0 && u < 1.0 && s > 0.0);
		spread += s * s / 4000.0;
		squares += 3.0 * u * u / 4000.0;
	}
	/* 4000 numbers with the variances 2/5 and 4/5: four standard deviations */
	assert_near(spread, 1.0, 0.04);
	assert_near(squares, 1.0, 0.057);
}

/* At the fixed points a thermometer keeps to its function; between them it departs by a drawn
   number of published standard uncertainties (0.24 mK and 0.22 mK at 600 K, by Table 7 and by
   (54)). */
static void test_departures(void **state)
{
	const struct simulate_laboratory *laboratory = simulate_laboratory_named("long stem");
	static const double points_K[] = { 83.8058, 234.3156, 505.078, 692.677, 933.473 };
	struct simulate_thermometer t;
	double squares = 0.0, w, departing, slope, u_K, sri_K;

	(void)state;
	for (uint64_t i = 0; i < 2000; i++) {
		const struct simulate_draws draws = { 7, i };

		simulate_thermometer(laboratory, &draws, &t);
		for (size_t k = 0; k < sizeof(points_K) / sizeof(points_K[0]); k++) {
			const bool above = points_K[k] > 273.16;

			assert_true(simulate_w(&t, above, points_K[k], false, &w, &slope));
			assert_true(simulate_w(&t, above, points_K[k], true, &departing, &slope));
			/* (55) does not quite return to 0: 0.0052 mK */
			assert_near((departing - w) / slope, 0.0, above ? 1e-12 : 2.5e-5);
		}
		assert_true(simulate_w(&t, true, 600.0, false, &w, &slope));
		assert_true(simulate_w(&t, true, 600.0, true, &departing, &slope));
		assert_int_equal(firn_scale_non_uniqueness(600.0, true, &u_K), FIRN_OK);
		assert_int_equal(firn_scale_inconsistency(FIRN_H2O_AL, 600.0, w, t.above.w_sn,
							  t.above.w_zn, &sri_K),
				 FIRN_OK);
		const double z = (departing - w) / slope / hypot(u_K, sri_K);
		squares += z * z / 2000.0;
	}
	assert_near(squares, 1.0, 4.0 * sqrt(2.0 / 2000.0));
	assert_false(simulate_w(&t, true, 1000.0, true, &w, &slope));
}

/* What a laboratory measured is a record like any other: whole, with all its readings. */
static void test_record(void **state)
{
	const struct simulate_draws draws = { 7, 12 };
	g_auto(simulate_calibration) c = { 0 };

	(void)state;
	simulate_measure(simulate_laboratory_named("long stem"), &draws, &c);
	assert_int_equal(c.record->visits->len, 14);
	assert_int_equal(c.record->readings->len, 14 * 60);
	assert_int_equal(c.r_tpw_ohm->len, 14);
	assert_string_equal(LAB_AT(c.record->visits, lab_visit, 1)->id, "2-12");
	assert_true(simulate_laboratory_named("nowhere") == NULL);
}

int main(void)
{
	struct CMUnitTest tests[5 + 7];
	size_t n = 0;

	for (; n < sizeof(small_runs) / sizeof(small_runs[0]); n++)
		tests[n] = (struct CMUnitTest){ .name = small_runs[n].laboratory,
						.test_func = test_laboratory,
						.initial_state = (void *)(intptr_t)&small_runs[n] };
	const struct CMUnitTest others[] = {
		cmocka_unit_test(test_few_repeats), cmocka_unit_test(test_halved),
		cmocka_unit_test(test_kinds),       cmocka_unit_test(test_threads),
		cmocka_unit_test(test_draws),       cmocka_unit_test(test_departures),
		cmocka_unit_test(test_record),
	};
	memcpy(tests + n, others, sizeof(others));
	return cmocka_run_group_tests(tests, NULL, NULL);
}
