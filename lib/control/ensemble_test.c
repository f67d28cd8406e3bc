#include "firn/ensemble.h"

#include "lib/num/random.h"
#include "tests/support/near.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

static struct firn_tape *tape;

static int new_tape(void **state)
{
	(void)state;
	tape = firn_tape_new();
	return tape == NULL;
}

static int free_tape(void **state)
{
	(void)state;
	firn_tape_free(tape);
	return 0;
}

static struct firn_node input(double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = "x", .value = value, .u = u });
}

static struct firn_difference difference(size_t a, size_t b, double t_year, double dt_K, double u_K)
{
	return (struct firn_difference){ a, b, t_year, input(dt_K, u_K), u_K };
}

#define MOST 200
static struct firn_node value_[FIRN_ENSEMBLE_CELLS], rate_[FIRN_ENSEMBLE_CELLS];
static double residual_[MOST];
static struct firn_ensemble_result result = { .value_K = value_,
					      .rate_K_per_year = rate_,
					      .residual_K = residual_ };

/* Three cells, a triangle that fails to close by 3 uK: each side takes 1 uK. By hand. */
static void test_triangle(void **state)
{
	const struct firn_ensemble_cell cells[3] = { { 0 } };
	const struct firn_difference sides[] = { difference(0, 1, 0.0, 10e-6, 1e-6),
						 difference(1, 2, 0.0, 20e-6, 1e-6),
						 difference(0, 2, 0.0, 33e-6, 1e-6) };
	struct firn_ensemble e = { .n_cells = 3,
				   .cells = cells,
				   .n = 3,
				   .differences = sides,
				   .datum = { FIRN_DATUM_CELL, 0, input(0.0, 5e-6), NULL } };
	struct firn_left_out outs[3], out;

	(void)state;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(1e6 * firn_value(value_[0]), 0.0, 1e-12);
	assert_near(1e6 * firn_value(value_[1]), -11.0, 1e-12);
	assert_near(1e6 * firn_value(value_[2]), -32.0, 1e-12);
	assert_near(1e6 * residual_[2], 1.0, 1e-12);
	assert_near(result.chi2, 3.0, 1e-12);
	assert_near(result.dof, 1.0, 0.0);
	assert_true(rate_[1].index == 0);
	/* One side against a way of two: u^2 is 2/3; and all carry what the reference is worth. */
	assert_near(1e6 * firn_u(value_[1]), sqrt(2.0 / 3.0 + 25.0), 1e-11);
	assert_near(1e6 * firn_u(firn_sub(value_[1], value_[0])), sqrt(2.0 / 3.0), 1e-11);

	assert_int_equal(firn_ensemble_leave_one_out(&e, outs), FIRN_OK);
	out = outs[2];
	assert_near(1e6 * out.deviation_K, 3.0, 1e-12);
	assert_near(1e6 * out.u_K, sqrt(3.0), 1e-12);
	assert_false(out.is_tie);
	assert_near(out.chi2, 0.0, 1e-12);
	assert_near(out.dof, 0.0, 0.0);
	assert_int_equal(out.moved, 2);
	assert_near(1e6 * out.moves_K, 2.0, 1e-12);

	/* The mean of the three as datum: the same differences, nothing from outside. */
	e.datum = (struct firn_datum){ .kind = FIRN_DATUM_MEAN };
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(1e6 * firn_value(value_[0]), 43.0 / 3.0, 1e-12);
	assert_near(1e6 * firn_value(firn_sub(value_[1], value_[0])), -11.0, 1e-12);
	assert_near(result.chi2, 3.0, 1e-12);
	assert_near(result.dof, 1.0, 0.0);
	/* with all weight on the first it is that cell's 0 */
	const double first[] = { 2.0, 0.0, 0.0 };
	e.datum.weights = first;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(1e6 * firn_value(value_[0]), 0.0, 1e-12);
}

/* What comparisons of one cell share (its isotopes) is in its value once, however many there are.
 */
static void test_shared(void **state)
{
	const struct firn_ensemble_cell cells[2] = { { 0 } };
	const struct firn_node isotopes = input(0.0, 7e-6);
	struct firn_difference d[16];
	const struct firn_ensemble e = { .n_cells = 2,
					 .cells = cells,
					 .n = 16,
					 .differences = d,
					 .datum = { FIRN_DATUM_CELL, 1, input(0.0, 0.0), NULL } };

	(void)state;
	for (size_t i = 0; i < 16; i++) {
		d[i] = difference(0, 1, (double)i, 5e-6, 4e-6);
		d[i].dt_K = firn_add(d[i].dt_K, isotopes);
	}
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(firn_value(value_[0]), 5e-6, 1e-18);
	assert_near(firn_u(value_[0]), hypot(1e-6, 7e-6), 1e-17);
}

/* Two cells, one drifts by -4 uK a year: a straight line, with the u of one. */
static void test_drift(void **state)
{
	const struct firn_ensemble_cell cells[] = { { .drifts = true }, { 0 } };
	struct firn_difference d[5];
	const struct firn_ensemble e = { .n_cells = 2,
					 .cells = cells,
					 .n = 5,
					 .differences = d,
					 .datum = { FIRN_DATUM_CELL, 1, input(0.0, 0.0), NULL },
					 .t0_year = 2022.0 };

	(void)state;
	for (size_t i = 0; i < 5; i++)
		d[i] =
		    difference(0, 1, 2020.0 + (double)i, -30e-6 - 4e-6 * ((double)i - 2.0), 2e-6);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(firn_value(value_[0]), -30e-6, 1e-17);
	assert_near(firn_value(rate_[0]), -4e-6, 1e-17);
	assert_near(firn_u(value_[0]), 2e-6 / sqrt(5.0), 1e-16);
	assert_near(firn_u(rate_[0]), 2e-6 / sqrt(10.0), 1e-16);
	assert_near(result.chi2, 0.0, 1e-10);
	assert_near(result.dof, 3.0, 0.0);
	const struct firn_node later = firn_ensemble_value_at(&e, &result, 0, 2032.0);
	assert_near(firn_value(later), -70e-6, 1e-16);
	assert_near(firn_u(later), 2e-6 * sqrt(1.0 / 5.0 + 100.0 / 10.0), 1e-16);
}

/* Both drift: nothing says how fast until a rate is known. Then it is an observation. */
static void test_known_rate(void **state)
{
	struct firn_ensemble_cell cells[] = { { .drifts = true }, { .drifts = true } };
	struct firn_difference d[3];
	struct firn_ensemble e = { .n_cells = 2,
				   .cells = cells,
				   .n = 3,
				   .differences = d,
				   .datum = { FIRN_DATUM_CELL, 1, input(0.0, 0.0), NULL } };
	bool rate;
	size_t cell = 9;

	(void)state;
	for (size_t i = 0; i < 3; i++)
		d[i] = difference(0, 1, (double)i, 1e-6 * (double)i, 2e-6);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_SINGULAR);
	assert_true(firn_ensemble_loose(&e, &cell, &rate));
	assert_true(cell == 1 && rate);
	cells[1].rate_K_per_year = input(-4e-6, 4e-6);
	assert_false(firn_ensemble_loose(&e, &cell, &rate));
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(firn_value(rate_[1]), -4e-6, 1e-17);
	assert_near(firn_value(rate_[0]), -3e-6, 1e-17);
	assert_near(firn_u(rate_[0]), sqrt(4.0 / 2.0 + 16.0) * 1e-6, 1e-16);
	/* by the mean of the drifts */
	cells[1].rate_K_per_year = (struct firn_node){ 0 };
	e.datum = (struct firn_datum){ .kind = FIRN_DATUM_MEAN };
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(firn_value(rate_[0]), 0.5e-6, 1e-17);
	assert_near(firn_value(rate_[1]), -0.5e-6, 1e-17);
}

static void test_loose(void **state)
{
	struct firn_ensemble_cell cells[4] = { { 0 } };
	const struct firn_difference d[] = { difference(0, 1, 0.0, 0.0, 1e-6),
					     difference(2, 3, 0.0, 0.0, 1e-6),
					     difference(1, 2, 1.0, 0.0, 1e-6) };
	bool left_out[] = { false, false, true }, rate;
	struct firn_ensemble e = { .n_cells = 4,
				   .cells = cells,
				   .n = 3,
				   .differences = d,
				   .left_out = left_out,
				   .datum = { FIRN_DATUM_CELL, 0, input(0.0, 0.0), NULL } };
	struct firn_left_out out[3];
	size_t cell = 9;

	(void)state;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_SINGULAR);
	assert_true(firn_ensemble_loose(&e, &cell, &rate));
	assert_true(cell == 2 && !rate);
	left_out[2] = false;
	assert_false(firn_ensemble_loose(&e, &cell, &rate));
	assert_int_equal(firn_ensemble_leave_one_out(&e, out), FIRN_OK);
	assert_true(out[2].is_tie && isnan(out[2].deviation_K));
	cells[3].drifts = true;
	assert_true(firn_ensemble_loose(&e, &cell, &rate));
	assert_true(cell == 3 && rate);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_SINGULAR);
}

/* A step of one cell, and chi2 falls by its square over u^2. */
static void test_step(void **state)
{
	static const double noise_uK[] = { 1, -1, 2, 0, -2, 1, 0, -1 };
	const struct firn_ensemble_cell cells[3] = { { 0 } };
	struct firn_difference d[8];
	const struct firn_ensemble e = { .n_cells = 3,
					 .cells = cells,
					 .n = 8,
					 .differences = d,
					 .datum = { FIRN_DATUM_CELL, 0, input(0.0, 0.0), NULL } };
	struct firn_step steps[] = { { .cell = 1, .t_year = 3.5 },
				     { .cell = 1, .t_year = -1.0 },
				     { .cell = 2, .t_year = 100.0 } },
			 step;

	(void)state;
	for (size_t i = 0; i < 8; i++)
		d[i] = difference(0, 1 + i % 2, (double)i,
				  1e-6 * noise_uK[i] + (i >= 4 && i % 2 == 0 ? -40e-6 : 0.0), 2e-6);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_int_equal(firn_ensemble_steps(&e, 3, steps), FIRN_OK);
	step = steps[0];
	/* Means of two before and two after: (1 + 2)/2 and -40 + (-2 + 0)/2; d is of 0 less 1. */
	assert_near(1e6 * step.step_K, 42.5, 1e-11);
	assert_near(1e6 * step.u_K, 2.0, 1e-12);
	assert_near(result.chi2 - step.chi2, pow(step.step_K / step.u_K, 2.0), 1e-9);
	assert_near(step.dof, result.dof - 1.0, 0.0);
	assert_true(isinf(steps[1].u_K) && steps[1].step_K == 0.0);
	assert_true(isinf(steps[2].u_K) && steps[2].chi2 == steps[1].chi2);
}

/* A laboratory of five cells, ten years, noise: values and rates err by what their u says. One cell
   drifts by -13 uK a year, the rate found for borosilicate by Strouse & Zhao (2007). */
static void test_simulated(void **state)
{
	static const double truth[] = { 0.0, -35e-6, 20e-6, -60e-6, 10e-6 };
	static const double rates[] = { 0.0, -4e-6, 0.0, -13e-6, -2e-6 };
	static const size_t pairs[][2] = { { 0, 1 }, { 0, 2 }, { 1, 3 }, { 2, 4 }, { 3, 4 } };
	const struct num_source source = { 20260102, num_stream("ensemble"), NUM_AGAIN };
	struct num_lane lane = num_lane_of(&source, 1);
	struct firn_ensemble_cell cells[5];
	double squares = 0.0, chi2 = 0.0;
	size_t n = 0;

	(void)state;
	for (size_t i = 0; i < 5; i++)
		cells[i] = (struct firn_ensemble_cell){ .drifts = i > 0 };
	for (size_t trial = 0; trial < 100; trial++) {
		struct firn_difference d[50];
		struct firn_ensemble e = {
			.n_cells = 5, .cells = cells, .n = 50, .differences = d, .t0_year = 5.0
		};

		firn_tape_free(tape);
		tape = firn_tape_new();
		assert_non_null(tape);
		e.datum = (struct firn_datum){ FIRN_DATUM_CELL, 0, input(0.0, 0.0), NULL };
		for (size_t i = 0; i < 50; i++) {
			const size_t a = pairs[i % 5][0], b = pairs[i % 5][1];
			const double t = (double)(i / 5), u = i % 3 == 0 ? 12e-6 : 6e-6;
			const double dt = truth[a] - truth[b] + (rates[a] - rates[b]) * (t - 5.0);

			d[i] = difference(a, b, t,
					  dt + u * num_normal_of(num_lane_word(&lane), &lane), u);
		}
		assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
		chi2 += result.chi2 / result.dof;
		for (size_t i = 1; i < 5; i++, n += 2) {
			squares += pow((firn_value(value_[i]) - truth[i]) / firn_u(value_[i]), 2.0);
			squares += pow((firn_value(rate_[i]) - rates[i]) / firn_u(rate_[i]), 2.0);
		}
	}
	/* 800 squares of which some hang together, 100 chi2 of 42 degrees of freedom: four sigma */
	assert_near(squares / (double)n, 1.0, 0.28);
	assert_near(chi2 / 100.0, 1.0, 4.0 * sqrt(2.0 / 42.0 / 100.0));
}

/* Closed forms against adjusting anew: each comparison left out; a step by entering the cell as
   another one from that date on. */
static void test_against_anew(void **state)
{
	static const double dt_uK[] = { 12, -7, 30, 4, 22, -9, 41, 3, 8, -2, 17, 6 };
	struct firn_ensemble_cell cells[5] = { { 0 }, { .drifts = true }, { 0 }, { 0 }, { 0 } };
	struct firn_difference d[12];
	bool left_out[12] = { false };
	struct firn_left_out out[12];
	struct firn_step step = { .cell = 2, .t_year = 1.5 };
	struct firn_ensemble e = { .n_cells = 4,
				   .cells = cells,
				   .n = 12,
				   .differences = d,
				   .datum = { FIRN_DATUM_CELL, 0, input(0.0, 0.0), NULL } };
	double with[4], chi2;

	(void)state;
	for (size_t i = 0; i < 12; i++)
		d[i] = difference(i % 4, (i + 1 + i / 4) % 4, (double)i / 4.0, 1e-6 * dt_uK[i],
				  (1.0 + (double)(i % 3)) * 1e-5);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	for (size_t i = 0; i < 4; i++)
		with[i] = firn_value(value_[i]);
	chi2 = result.chi2;
	assert_int_equal(firn_ensemble_leave_one_out(&e, out), FIRN_OK);
	e.left_out = left_out;
	for (size_t k = 0; k < 12; k++) {
		left_out[k] = true;
		assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
		assert_near(out[k].deviation_K, residual_[k], 1e-16);
		assert_near(out[k].chi2, result.chi2, 1e-9 * chi2);
		assert_near(out[k].moves_K, firn_value(value_[out[k].moved]) - with[out[k].moved],
			    1e-16);
		left_out[k] = false;
	}
	assert_int_equal(firn_ensemble_steps(&e, 1, &step), FIRN_OK);
	e.n_cells = 5;
	for (size_t i = 0; i < 12; i++) {
		if (d[i].t_year < 1.5)
			continue;
		d[i].a = d[i].a == 2 ? 4 : d[i].a;
		d[i].b = d[i].b == 2 ? 4 : d[i].b;
	}
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_OK);
	assert_near(step.step_K, firn_value(value_[4]) - firn_value(value_[2]), 1e-16);
	assert_near(step.u_K, firn_u(firn_sub(value_[4], value_[2])), 1e-15);
	assert_near(step.chi2, result.chi2, 1e-9 * chi2);
	assert_near(step.dof, result.dof, 0.0);
}

static void test_refused(void **state)
{
	const struct firn_ensemble_cell cells[2] = { { 0 } };
	struct firn_difference d[] = { difference(0, 1, 0.0, 0.0, 1e-6) };
	struct firn_ensemble e = { .n_cells = 2,
				   .cells = cells,
				   .n = 1,
				   .differences = d,
				   .datum = { FIRN_DATUM_CELL, 0, input(0.0, 0.0), NULL } };
	struct firn_step step = { .dof = -1.0 };

	(void)state;
	result.chi2 = -1.0;
	d[0].b = 2;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	d[0].b = 0;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	d[0] = difference(0, 1, 0.0, 0.0, 0.0);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	d[0] = difference(0, 1, 0.0, 30.0, 1.0); /* in uK */
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	d[0] = difference(0, 1, (double)NAN, 0.0, 1e-6);
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	d[0] = difference(0, 1, 0.0, 0.0, 1e-6);
	e.datum.cell = 7;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	const double nothing[] = { 0.0, 0.0 };
	e.datum = (struct firn_datum){ .kind = FIRN_DATUM_MEAN, .weights = nothing };
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	e.n_cells = 1;
	assert_int_equal(firn_ensemble_adjust(&e, &result), FIRN_E_DOMAIN);
	assert_int_equal(firn_ensemble_steps(&e, 1, &step), FIRN_E_DOMAIN);
	assert_true(result.chi2 == -1.0 && step.dof == -1.0);
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		TEST(test_triangle),   TEST(test_shared),       TEST(test_drift),
		TEST(test_known_rate), TEST(test_loose),        TEST(test_step),
		TEST(test_simulated),  TEST(test_against_anew), TEST(test_refused),
	};

	return cmocka_run_group_tests_name("ensemble", tests, NULL, NULL);
}
