/* Uncertainty of T90 from a calibration: the plain function against the tape that the covariance
   comes from. */
#include "firn/scale.h"

#include "tests/support/near.h"

/* Coefficients of a realistic size, made up; what a subrange doesn't have is not read. Below 273.16
   K they stand before powers of ln W, which reach 6e5. */
static const double above[FIRN_MOST_COEFFICIENTS] = { -1.6e-4, -1.5e-5, 7.8e-7, -3e-5 },
		    below[FIRN_MOST_COEFFICIENTS] = { -2.2e-4, -1.0e-5, -1.2e-6, -6.4e-7,
						      -1.3e-7, -1.3e-8, -4.4e-10 };
enum { STEPS = 40 };

struct calibration {
	const struct firn_subrange *subrange;
	struct firn_tape *tape;
	struct firn_node c[FIRN_MOST_COEFFICIENTS], w_al;
	double values[FIRN_MOST_COEFFICIENTS], w_al_value;
	double covariance[(FIRN_MOST_COEFFICIENTS + 1) * (FIRN_MOST_COEFFICIENTS + 1)];
};

static double temperature(const struct firn_subrange *subrange, size_t i)
{
	if (subrange->points[i] != FIRN_E_H2_VAPOUR)
		return firn_scale_point(subrange->points[i])->t90_K;
	return i > 0 && subrange->points[i - 1] == FIRN_E_H2_VAPOUR ? 20.27 : 17.035;
}

/* W = R/R(TPW) with one R(TPW) for all, so that the coefficients are correlated twice over. */
static void calibrate(struct calibration *k, const struct firn_subrange *subrange)
{
	struct firn_node w[FIRN_MOST_COEFFICIENTS], wr[FIRN_MOST_COEFFICIENTS];
	struct firn_node of[FIRN_MOST_COEFFICIENTS + 1];
	const double *c = subrange->from_zero ? above : below;
	const double al = firn_scale_point(FIRN_AL)->wr;
	double slope, wr_value, deviation, unused;
	size_t n = subrange->n_coefficients;

	*k = (struct calibration){ .subrange = subrange, .tape = firn_tape_new() };
	const struct firn_node tpw = firn_tape_input(
	    k->tape, &(struct firn_input){ .name = "tpw", .value = 25.5, .u = 2e-6 });
	for (size_t i = 0; i < subrange->n_points; i++) {
		const double t90_K = temperature(subrange, i);

		assert_int_equal(firn_scale_wr(t90_K, subrange->from_zero, &wr_value, &slope), 0);
		assert_int_equal(
		    firn_subrange_deviation(subrange, c, al, wr_value, &deviation, &unused), 0);
		wr[i] = firn_constant(k->tape, wr_value);
		/* half a millikelvin more at each point */
		const struct firn_node r = firn_tape_input(
		    k->tape, &(struct firn_input){ .name = "r",
						   .value = 25.5 * (wr_value + deviation),
						   .u = 25.5 * slope * 5e-4 * (double)(i + 1) });
		w[i] = firn_formula("W = r/tpw", r, tpw);
	}
	assert_int_equal(firn_deviation_solve(subrange, n, w, wr, k->c, &k->w_al), FIRN_OK);
	for (size_t i = 0; i < n; i++) {
		k->values[i] = firn_value(k->c[i]);
		of[i] = k->c[i];
	}
	if (k->w_al.index != 0) {
		k->w_al_value = firn_value(k->w_al);
		of[n++] = k->w_al;
	}
	assert_int_equal(firn_covariance(n, of, k->covariance), FIRN_OK);
}

static void test_against_tape(void **state)
{
	(void)state;
	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		struct calibration k;

		calibrate(&k, firn_scale_subrange((enum firn_subrange_id)id));
		for (int i = 0; i <= STEPS; i++) {
			const double t90_K = k.subrange->low_K +
					     (k.subrange->high_K - k.subrange->low_K) * i / STEPS;
			double w, slope, u_K = -1.0;

			assert_int_equal(
			    firn_subrange_w(k.subrange, k.values, k.w_al_value, t90_K, &w, &slope),
			    FIRN_OK);
			assert_true(firn_subrange_u(k.subrange, k.values, k.w_al_value,
						    k.covariance, w, &u_K) >= 0);
			const struct firn_node t90 = firn_t90_of_wr(
			    k.subrange->from_zero,
			    firn_wr_of_w(k.subrange, k.c, firn_constant(k.tape, w), k.w_al));
			double both_t90_K, t90_alone_K, both_u_K;

			assert_true(firn_subrange_t90_u(k.subrange, k.values, k.w_al_value,
							k.covariance, w, &both_t90_K,
							&both_u_K) >= 0);
			assert_true(firn_subrange_t90(k.subrange, k.values, k.w_al_value, w,
						      &t90_alone_K, &slope) >= 0);
			assert_true(both_t90_K == t90_alone_K && both_u_K == u_K);
			/* what the header says; at 273.16 K both come to nothing */
			assert_near(u_K, firn_u(t90),
				    (id == FIRN_E_H2_H2O ? 1e-4 : 1e-8) * firn_u(t90) + 1e-15);
		}
		firn_tape_free(k.tape);
	}
}

/* u(c)^2 (W - 1)^2 and so on, by hand: Guide, ch. 5, Table 4 has the interpolation of this subrange
   as a single straight line, and with u(a) = 1e-6 u(W_r) is 1e-6 (W - 1). */
static void test_one_coefficient(void **state)
{
	const struct firn_subrange *in = firn_scale_subrange(FIRN_H2O_IN);
	const double a[] = { -1e-4 }, covariance[] = { 1e-12 };
	double u_K, slope, wr, w = 1.5 + -1e-4 * 0.5;

	(void)state;
	assert_int_equal(firn_subrange_u(in, a, (double)NAN, covariance, w, &u_K), FIRN_OK);
	assert_int_equal(firn_scale_t90(w - a[0] * (w - 1.0), true, &wr, &slope), FIRN_OK);
	assert_near_relative(u_K, 1e-6 * (w - 1.0) * slope, 4e-16);
	assert_int_equal(firn_subrange_u(in, a, (double)NAN, covariance, 1.0, &u_K), FIRN_OK);
	assert_true(u_K == 0.0);
}

static void test_refused(void **state)
{
	const struct firn_subrange *zn = firn_scale_subrange(FIRN_H2O_ZN);
	const double c[] = { -1e-4, -1e-5 };
	const struct refused_case {
		double w, covariance[4];
		enum firn_status want;
	} cases[] = {
		{ 2.7, { 1e-12, 0, 0, 1e-12 }, FIRN_E_DOMAIN }, /* 457 degC */
		{ (double)NAN, { 1e-12, 0, 0, 1e-12 }, FIRN_E_DOMAIN },
		{ 2.0, { 1e-12, 0, 0, (double)INFINITY }, FIRN_E_DOMAIN },
		{ 2.0, { 1e-12, -2e-12, -2e-12, 1e-12 }, FIRN_E_SINGULAR }, /* |r| = 2 */
		/* at W = 2 the terms are equal: 1 - 2 (1 - 1e-15) + 1 has one digit left of 16 */
		{ 2.0, { 1, -1 + 1e-15, -1 + 1e-15, 1 }, FIRN_E_SINGULAR },
		{ 2.0, { 1, -1 + 1e-9, -1 + 1e-9, 1 }, FIRN_OK },
	};

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		double u_K = 7.0, t90_K = (double)NAN;

		assert_int_equal(
		    firn_subrange_u(zn, c, (double)NAN, cases[i].covariance, cases[i].w, &u_K),
		    cases[i].want);
		assert_true((u_K == 7.0) == (cases[i].want < 0));
		const bool has_t90 = cases[i].w == 2.0;
		assert_int_equal(firn_subrange_t90_u(zn, c, (double)NAN, cases[i].covariance,
						     cases[i].w, &t90_K, &u_K),
				 has_t90 ? FIRN_OK : FIRN_E_DOMAIN);
		assert_true(isnan(t90_K) == !has_t90);
		assert_true(isnan(u_K) == (has_t90 && cases[i].want < 0));
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_against_tape),
		cmocka_unit_test(test_one_coefficient),
		cmocka_unit_test(test_refused),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
