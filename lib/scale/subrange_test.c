#include "firn/scale.h"

#include "tests/support/near.h"

/* Coefficients of realistic size, made up. */
static const double c_al[] = { -1.57e-4, -1.5e-5, 7.8e-7 },
		    c_ag[] = { -1.57e-4, -1.5e-5, 7.8e-7, -3e-5 };

/* Margins: scale.h. What is refused leaves the results alone. */
static void test_ranges(void **state)
{
	static const struct range_case {
		double t90_K;
		bool from_zero;
		enum firn_status want;
	} cases[] = {
		{ 13.8033, false, FIRN_OK },
		{ 13.75, false, FIRN_WARN_EXTRAPOLATED },
		{ 13.7, false, FIRN_E_DOMAIN },
		{ 1234.93, false, FIRN_OK },
		{ 1235.0, true, FIRN_WARN_EXTRAPOLATED },
		{ 1235.04, true, FIRN_E_DOMAIN },
		{ 273.15, true, FIRN_OK },
		{ 273.1, true, FIRN_WARN_EXTRAPOLATED },
		{ 273.04, true, FIRN_E_DOMAIN },
		{ 0.0, false, FIRN_E_DOMAIN },
		{ -5.0, false, FIRN_E_DOMAIN },
		{ (double)NAN, false, FIRN_E_DOMAIN },
		{ (double)INFINITY, true, FIRN_E_DOMAIN },
	};
	static const double no_wr[] = { 0.0011,          4.29, 0.0, -1.0, 1e300, (double)NAN,
					(double)INFINITY };
	double y = 7.0, slope = 7.0;

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		assert_int_equal(firn_scale_wr(cases[i].t90_K, cases[i].from_zero, &y, &slope),
				 cases[i].want);
		if (cases[i].want < 0)
			assert_true(y == 7.0 && slope == 7.0);
		else
			assert_int_equal(firn_scale_t90(y, cases[i].from_zero, &y, &slope),
					 cases[i].want);
		y = slope = 7.0;
	}
	for (size_t i = 0; i < sizeof(no_wr) / sizeof(no_wr[0]); i++) {
		assert_int_equal(firn_scale_t90(no_wr[i], false, &y, &slope), FIRN_E_DOMAIN);
		assert_int_equal(firn_scale_t90_approximate(no_wr[i], false, &y), FIRN_E_DOMAIN);
	}
	assert_int_equal(firn_scale_t90(0.9, true, &y, &slope), FIRN_E_DOMAIN);
	assert_true(y == 7.0 && slope == 7.0);
	assert_int_equal(firn_scale_wr_below(273.3, &y, &slope), FIRN_E_DOMAIN);
	assert_int_equal(firn_scale_wr_above(273.0, &y, &slope), FIRN_E_DOMAIN);
}

static void test_subrange_ends(void **state)
{
	const struct firn_subrange *al = firn_scale_subrange(FIRN_H2O_AL);
	double w = 7.0, t90_K = 7.0, slope = 7.0;

	(void)state;
	assert_null(firn_scale_subrange(FIRN_SUBRANGES));
	assert_int_equal(firn_subrange_w(al, c_al, (double)NAN, 933.6, &w, &slope), FIRN_E_DOMAIN);
	assert_int_equal(firn_subrange_t90(al, c_al, (double)NAN, 3.4, &t90_K, &slope),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_subrange_t90(al, c_al, (double)NAN, -0.1, &t90_K, &slope),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_subrange_t90(al, c_al, (double)NAN, (double)NAN, &t90_K, &slope),
			 FIRN_E_DOMAIN);
	assert_true(w == 7.0 && t90_K == 7.0 && slope == 7.0);
	assert_int_equal(firn_subrange_w(al, c_al, (double)NAN, 933.5, &w, &slope),
			 FIRN_WARN_EXTRAPOLATED);
	assert_int_equal(firn_subrange_t90(al, c_al, (double)NAN, w, &t90_K, &slope),
			 FIRN_WARN_EXTRAPOLATED);
	assert_near(t90_K, 933.5, 1e-12);
	assert_int_equal(firn_subrange_w(al, c_al, (double)NAN, 933.473, &w, &slope), FIRN_OK);
	assert_int_equal(firn_subrange_t90(al, c_al, (double)NAN, w, &t90_K, &slope), FIRN_OK);

	/* A deviation as steep as W itself has no W for a T90. */
	w = slope = 7.0;
	assert_int_equal(
	    firn_subrange_w(al, (const double[]){ 1.5, 0, 0 }, (double)NAN, 500.0, &w, &slope),
	    FIRN_E_SINGULAR);
	assert_true(w == 7.0 && slope == 7.0);
}

/* The terms in plain numbers and as formulas are written apart: here they are held together, in
   every subrange, on both sides of W_Al, and with the deviation as a whole. */
/* Without W_Al the last term of the silver subrange can't be known, above or below it. */
static void test_missing_w_al(void **state)
{
	const struct firn_subrange *silver = firn_scale_subrange(FIRN_H2O_AG);
	const double c[] = { -2e-4, -1e-5, 2e-6, 1e-5 };
	double x = -77.0, y = -77.0;

	(void)state;
	assert_int_equal(firn_subrange_t90(silver, c, 3.3755, 4.0, &x, &y), FIRN_OK);
	x = y = -77.0;
	assert_int_equal(firn_subrange_t90(silver, c, (double)NAN, 4.0, &x, &y), FIRN_E_DOMAIN);
	assert_int_equal(firn_subrange_deviation(silver, c, (double)NAN, 2.0, &x, &y),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_subrange_w(silver, c, (double)NAN, 900.0, &x, &y), FIRN_E_SINGULAR);
	assert_near(x, -77.0, 0.0);
	assert_int_equal(
	    firn_subrange_deviation(firn_scale_subrange(FIRN_H2O_AL), c, (double)NAN, 2.0, &x, &y),
	    FIRN_OK);
}

static void test_terms(void **state)
{
	static const double ws[] = { 0.00134, 0.0918, 0.5, 0.99, 1.2, 3.3, 3.5, 4.28 };

	(void)state;
	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		const struct firn_subrange *subrange =
		    firn_scale_subrange((enum firn_subrange_id)id);
		struct firn_tape *tape = firn_tape_new();
		const struct firn_node w_al = firn_constant(tape, 3.3755);

		for (size_t i = 0; i < sizeof(ws) / sizeof(ws[0]); i++) {
			const struct firn_node w = firn_tape_input(
			    tape, &(struct firn_input){ .name = "w", .value = ws[i], .u = 1.0 });
			struct firn_node terms[FIRN_MOST_COEFFICIENTS], c[FIRN_MOST_COEFFICIENTS];
			double values[FIRN_MOST_COEFFICIENTS] = { 0 }, whole, slope, sum = 0.0;

			firn_deviation_terms(subrange, w, w_al, terms);
			for (size_t k = 0; k < subrange->n_coefficients; k++) {
				double plain;

				values[k] = 1.0;
				assert_int_equal(firn_subrange_deviation(subrange, values, 3.3755,
									 ws[i], &plain, &slope),
						 FIRN_OK);
				assert_near_relative(firn_value(terms[k]), plain, 2e-15);
				assert_near_relative(firn_sensitivity(terms[k], w), slope, 4e-15);
				values[k] = 0.0;
			}
			for (size_t k = 0; k < subrange->n_coefficients; k++) {
				values[k] = 1e-4 / (double)(k * k + 1);
				c[k] = firn_constant(tape, values[k]);
				sum += fabs(values[k] * firn_value(terms[k]));
			}
			assert_int_equal(firn_subrange_deviation(subrange, values, 3.3755, ws[i],
								 &whole, &slope),
					 FIRN_OK);
			assert_near(firn_value(firn_deviation(subrange, c, w, w_al)), whole,
				    4e-15 * sum);
		}
		assert_int_equal(firn_tape_status(tape), FIRN_OK);
		firn_tape_free(tape);
	}
}

static struct firn_node measured(struct firn_tape *tape, const struct firn_subrange *subrange,
				 const double *c, double w_al, double t90_K, double *ret_wr)
{
	double w, slope;

	assert_true(firn_subrange_w(subrange, c, w_al, t90_K, &w, &slope) >= 0);
	assert_int_equal(firn_scale_wr(t90_K, subrange->from_zero, ret_wr, &slope), FIRN_OK);
	return firn_tape_input(tape, &(struct firn_input){ .name = "w", .value = w, .u = 1e-7 });
}

/* A redundant point that lies on the deviation function changes nothing; one beside it changes a,
   b, c and leaves the silver point met. */
static void test_redundant(void **state)
{
	const struct firn_subrange *ag = firn_scale_subrange(FIRN_H2O_AG);
	const double t90_K[] = { 505.078, 692.677, 933.473, 1234.93, 429.7485 };
	struct firn_tape *tape = firn_tape_new();
	struct firn_node w[5], wr[5], c[FIRN_MOST_COEFFICIENTS], w_al;
	double w_al_value, slope, wr_value;

	(void)state;
	assert_int_equal(firn_subrange_w(firn_scale_subrange(FIRN_H2O_AL), c_al, 0.0, t90_K[2],
					 &w_al_value, &slope),
			 FIRN_OK);
	for (int i = 0; i < 5; i++) {
		w[i] = measured(tape, ag, c_ag, w_al_value, t90_K[i], &wr_value);
		wr[i] = firn_constant(tape, wr_value);
	}
	assert_int_equal(firn_deviation_solve(ag, 5, w, wr, c, &w_al), FIRN_OK);
	assert_true(firn_value(w_al) == firn_value(w[2]));
	for (int k = 0; k < 4; k++)
		assert_near(firn_value(c[k]), c_ag[k], 1e-13); /* last digits of W over the terms */

	w[4] = firn_tape_input(
	    tape, &(struct firn_input){ .name = "w", .value = firn_value(w[4]) + 1e-6 });
	assert_int_equal(firn_deviation_solve(ag, 5, w, wr, c, &w_al), FIRN_OK);
	assert_true(fabs(firn_value(c[0]) - c_ag[0]) > 1e-7);
	assert_near(firn_value(firn_wr_of_w(ag, c, w[3], w_al)), firn_value(wr[3]), 4e-15);
	assert_true(fabs(firn_value(firn_wr_of_w(ag, c, w[1], w_al)) - firn_value(wr[1])) > 1e-8);
	firn_tape_free(tape);
}

static void test_no_solution(void **state)
{
	const struct firn_subrange *zn = firn_scale_subrange(FIRN_H2O_ZN);
	struct firn_tape *tape = firn_tape_new();
	struct firn_node w[2], wr[2], c[FIRN_MOST_COEFFICIENTS] = { 0 }, w_al = { 0 };

	(void)state;
	for (int i = 0; i < 2; i++) {
		w[i] = firn_tape_input(
		    tape, &(struct firn_input){ .name = "w", .value = 1.8926, .u = 1e-7 });
		wr[i] = firn_constant(tape, 1.8927);
	}
	assert_int_equal(firn_deviation_solve(zn, 1, w, wr, c, &w_al), FIRN_E_SINGULAR);
	assert_true(c[0].tape == NULL && firn_tape_status(tape) == FIRN_OK);
	assert_int_equal(firn_deviation_solve(zn, 2, w, wr, c, &w_al), FIRN_E_SINGULAR);
	assert_int_equal(firn_tape_status(tape), FIRN_E_SINGULAR);
	firn_tape_free(tape);

	/* Out of the scale: the tape keeps it. */
	tape = firn_tape_new();
	assert_true(isnan(firn_value(firn_t90_of_wr(false, firn_constant(tape, 5.0)))));
	assert_int_equal(firn_tape_status(tape), FIRN_E_DOMAIN);
	firn_tape_free(tape);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_ranges),       cmocka_unit_test(test_subrange_ends),
		cmocka_unit_test(test_missing_w_al), cmocka_unit_test(test_terms),
		cmocka_unit_test(test_redundant),    cmocka_unit_test(test_no_solution),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
