/*
 * Every slope that lib/scale writes by hand, against difference quotients.
 *
 * Central quotients at h and h/2, extrapolated (Richardson): the error left is of order h^4 and of
 * the last digits of the function over h. Each case says what step and tolerance that makes.
 */
#include "tests/oracle/scale_table.h"

typedef enum firn_status plain_function(const void *context, double x, double *ret_y,
					double *ret_slope);

static void hold(plain_function *f, const void *context, double x, double h, double relative)
{
	double y[4], slope, unused, at;

	assert_true(f(context, x, &at, &slope) >= 0);
	assert_true(f(context, x - h, &y[0], &unused) >= 0 &&
		    f(context, x + h, &y[1], &unused) >= 0);
	assert_true(f(context, x - h / 2, &y[2], &unused) >= 0 &&
		    f(context, x + h / 2, &y[3], &unused) >= 0);
	const double wide = (y[1] - y[0]) / ((x + h) - (x - h));
	const double narrow = (y[3] - y[2]) / ((x + h / 2) - (x - h / 2));

	assert_near_relative(slope, (4.0 * narrow - wide) / 3.0, relative);
}

static enum firn_status wr_below(const void *context, double x, double *ret_y, double *ret_slope)
{
	(void)context;
	return firn_scale_wr_below(x, ret_y, ret_slope);
}

static enum firn_status wr_above(const void *context, double x, double *ret_y, double *ret_slope)
{
	(void)context;
	return firn_scale_wr_above(x, ret_y, ret_slope);
}

static enum firn_status wr(const void *from_zero, double x, double *ret_y, double *ret_slope)
{
	return firn_scale_wr(x, *(const bool *)from_zero, ret_y, ret_slope);
}

static enum firn_status t90(const void *from_zero, double x, double *ret_y, double *ret_slope)
{
	return firn_scale_t90(x, *(const bool *)from_zero, ret_y, ret_slope);
}

static enum firn_status vapour(const void *context, double x, double *ret_y, double *ret_slope)
{
	(void)context;
	return firn_scale_vapour_t90(x, ret_y, ret_slope);
}

static const bool joined = false, from_zero = true;

/* h = 0.03 K: last digits leave 2e-16/(0.03 K)/(0.004/K), truncation less. The slope near 14 K is
   17 times smaller and curved; there W_r has more digits. Ends are met with the margins. */
static void test_reference(void **state)
{
	const double h_K = 0.03, relative = 2e-9;

	(void)state;
	for (double x = 13.8033; x <= 273.16; x += 0.37)
		hold(wr_below, NULL, x, h_K, relative);
	for (double x = 273.15; x <= 1234.93; x += 0.83)
		hold(wr_above, NULL, x, h_K, relative);
	for (double x = 13.8033; x <= 1234.93; x += 0.59)
		if (fabs(x - 273.16) > h_K)
			hold(wr, &joined, x, h_K, relative);
	for (double x = 273.15; x <= 1234.93; x += 1.13)
		hold(wr, &from_zero, x, h_K, relative);
}

static void test_inverse(void **state)
{
	(void)state;
	for (double x = 13.8033; x <= 1234.93; x += 0.71) {
		double y, slope;

		assert_int_equal(firn_scale_wr(x, false, &y, &slope), FIRN_OK);
		if (fabs(x - 273.16) > 0.03)
			hold(t90, &joined, y, 0.02 * slope, 2e-9);
		if (x >= 273.15)
			hold(t90, &from_zero, y, 0.02 * slope, 2e-9);
	}
}

/* Linear: last digits alone, 4e-15 K over a span of at least 1.3 mK. */
static void test_vapour(void **state)
{
	(void)state;
	hold(vapour, NULL, 33321.3, 100.0, 1e-11);
	hold(vapour, NULL, 33188.2 + 20.0, 20.0, 1e-10);
	hold(vapour, NULL, 101292.0, 200.0, 1e-11);
}

struct thermometer {
	const struct firn_subrange *subrange;
	double c[FIRN_MOST_COEFFICIENTS], w_al;
};

static enum firn_status deviation(const void *context, double x, double *ret_y, double *ret_slope)
{
	const struct thermometer *t = context;

	return firn_subrange_deviation(t->subrange, t->c, t->w_al, x, ret_y, ret_slope);
}

static enum firn_status t90_of_w(const void *context, double x, double *ret_y, double *ret_slope)
{
	const struct thermometer *t = context;

	return firn_subrange_t90(t->subrange, t->c, t->w_al, x, ret_y, ret_slope);
}

static enum firn_status w_of_t90(const void *context, double x, double *ret_y, double *ret_slope)
{
	const struct thermometer *t = context;

	return firn_subrange_w(t->subrange, t->c, t->w_al, x, ret_y, ret_slope);
}

/* Coefficients of realistic size and made up, one term at a time for the deviation itself; at the
   aluminium point the deviation of H2O_Ag has a step in its second derivative, and none is measured
   across it. */
static void test_subranges(void **state)
{
	(void)state;
	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		struct thermometer t = { .subrange = firn_scale_subrange((enum firn_subrange_id)id),
					 .w_al = 3.3755 };

		for (double x = t.subrange->low_K; x <= t.subrange->high_K;
		     x += (t.subrange->high_K - t.subrange->low_K) / 37.0) {
			double w, slope;

			assert_int_equal(firn_scale_wr(x, t.subrange->from_zero, &w, &slope),
					 FIRN_OK);
			for (size_t k = 0; k < t.subrange->n_coefficients; k++) {
				const double h = 0.02 * slope;
				const bool flat =
				    t.subrange->terms[k].kind == FIRN_TERM_ABOVE_AL && w < t.w_al;

				t.c[k] = 1.0;
				/* (W - 1)^2 is 1e-10 and less near 1, its slope goes to 0: stay 0.3
				 * K away. */
				if (!flat && fabs(x - 273.16) > 0.3)
					hold(deviation, &t, w, h, 1e-8);
				t.c[k] = 0.0;
			}
			for (size_t k = 0; k < t.subrange->n_coefficients; k++)
				t.c[k] = 1e-4 / pow(4.0, (double)k * (k > 1 ? 2.0 : 1.0));
			if (fabs(x - 273.16) > 0.05) {
				hold(t90_of_w, &t, w, 0.02 * slope, 5e-9);
				hold(w_of_t90, &t, x, 0.03, 5e-9);
			}
			memset(t.c, 0, sizeof(t.c));
		}
	}
}

/* The functions as the tape has them: its sweep against quotients of its own values. */
static void test_on_the_tape(void **state)
{
	static const struct {
		struct firn_node (*record)(struct firn_node);
		double x, h;
	} cases[] = { { firn_wr_below, 54.3584, 0.03 },
		      { firn_wr_above, 505.078, 0.03 },
		      { firn_vapour_t90, 33300.0, 50.0 } };

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		struct firn_tape *tape = firn_tape_new();
		struct firn_node x[5], y[5];

		for (int j = 0; j < 5; j++) {
			const double at = cases[i].x + (j - 2) * cases[i].h / 2.0;

			x[j] = firn_tape_input(
			    tape, &(struct firn_input){ .name = "x", .value = at, .u = 1.0 });
			y[j] = cases[i].record(x[j]);
		}
		const double wide = (firn_value(y[4]) - firn_value(y[0])) / (2.0 * cases[i].h);
		const double narrow = (firn_value(y[3]) - firn_value(y[1])) / cases[i].h;
		assert_near_relative(firn_sensitivity(y[2], x[2]), (4.0 * narrow - wide) / 3.0,
				     2e-9);
		for (int zero = 0; zero < 2 && i < 2; zero++)
			assert_near_relative(
			    firn_sensitivity(firn_t90_of_wr(zero && i, firn_wr(zero && i, x[2])),
					     x[2]),
			    1.0, 1e-9);
		assert_int_equal(firn_tape_status(tape), FIRN_OK);
		firn_tape_free(tape);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_reference),   cmocka_unit_test(test_inverse),
		cmocka_unit_test(test_vapour),      cmocka_unit_test(test_subranges),
		cmocka_unit_test(test_on_the_tape),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
