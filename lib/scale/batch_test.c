#include "firn/batch.h"

#include "tests/support/near.h"

#include <stdlib.h>
#include <string.h>

/* Invented thermometers; coefficients of the size that real ones have. */
static const struct thermometer {
	double c[FIRN_MOST_COEFFICIENTS], w_al;
} thermometers[FIRN_SUBRANGES] = {
	[FIRN_E_H2_H2O] = { { -1.58e-4, -2.12e-5, -1.65e-6, -7.96e-7, -1.52e-7, -1.34e-8,
			      -4.5e-10 },
			    (double)NAN },
	[FIRN_NE_H2O] = { { -1.82e-4, 1.1e-5, 2.34e-5, 5.2e-6, 3.7e-7 }, (double)NAN },
	[FIRN_O2_H2O] = { { -1.47e-4, -9.1e-6, 7.4e-7 }, (double)NAN },
	[FIRN_AR_H2O] = { { -1.41e-4, 3.9e-7 }, (double)NAN },
	[FIRN_HG_GA] = { { -1.72e-4, -8.4e-5 }, (double)NAN },
	[FIRN_H2O_GA] = { { -1.52e-4 }, (double)NAN },
	[FIRN_H2O_IN] = { { -1.71e-4 }, (double)NAN },
	[FIRN_H2O_SN] = { { -1.63e-4, -1.18e-5 }, (double)NAN },
	[FIRN_H2O_ZN] = { { -1.63e-4, -1.45e-5 }, (double)NAN },
	[FIRN_H2O_AL] = { { -1.57e-4, -1.5e-5, 7.8e-7 }, (double)NAN },
	[FIRN_H2O_AG] = { { -1.56e-4, -9.4e-6, -9.6e-7, -2.9e-5 }, 3.37554 },
};

/* As firn/batch.h promises; the functions of scale.h that it is held against are good to 1e-12 K.
 */
static const double accuracy_K = 1e-11;

enum { N = 10007 }; /* prime: whole blocks and a rest */

struct arrays {
	double in[N], out[N];
};

static int setup(void **state)
{
	*state = malloc(sizeof(struct arrays));
	return *state == NULL;
}

static int teardown(void **state)
{
	free(*state);
	return 0;
}

static struct firn_batch prepared(enum firn_subrange_id id, double w_per_x)
{
	struct firn_batch batch = { 0 };

	assert_int_equal(firn_batch_t90(firn_scale_subrange(id), thermometers[id].c,
					thermometers[id].w_al, w_per_x, &batch),
			 FIRN_OK);
	return batch;
}

static double w_of(enum firn_subrange_id id, double t90_K)
{
	double w = NAN, slope;

	assert_true(firn_subrange_w(firn_scale_subrange(id), thermometers[id].c,
				    thermometers[id].w_al, t90_K, &w, &slope) >= 0);
	return w;
}

/* Every subrange, every instruction set, T90 from W and from ohm: rising through the range, and to
   and fro so that blocks meet several pieces. */
static void test_t90(void **state)
{
	static const double r_tpw_ohm = 25.5012345;
	struct arrays *a = *state;

	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		const struct firn_subrange *s = firn_scale_subrange((enum firn_subrange_id)id);
		const double low = w_of((enum firn_subrange_id)id, s->low_K);
		const double high = w_of((enum firn_subrange_id)id, s->high_K);

		for (int i = 0; i < 6 * FIRN_BATCH_BEST; i++) {
			const double unit = i % 2 == 0 ? 1.0 : r_tpw_ohm;
			const bool leaps = i % 3 == 0;
			const struct firn_batch batch =
			    prepared((enum firn_subrange_id)id, 1.0 / unit);

			for (size_t k = 0; k < N; k++)
				a->in[k] =
				    unit * (low + (high - low) *
						      (double)(leaps ? k * 4999 % N : k) / (N - 1));
			assert_int_equal(firn_batch_run(&batch, (enum firn_batch_level)(i / 6), N,
							a->in, a->out),
					 0);
			for (size_t k = 0; k < N; k++) {
				double want_K, slope;

				assert_int_equal(
				    firn_subrange_t90(s, thermometers[id].c, thermometers[id].w_al,
						      a->in[k] * (1.0 / unit), &want_K, &slope),
				    FIRN_OK);
				assert_near(a->out[k], want_K, accuracy_K);
			}
		}
	}
}

/* Back to W, where 1e-11 K are worth their slope; and W_r. */
static void test_w(void **state)
{
	struct arrays *a = *state;
	struct firn_batch batch;
	double want, slope;

	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		const struct firn_subrange *s = firn_scale_subrange((enum firn_subrange_id)id);
		const struct thermometer *t = &thermometers[id];

		assert_int_equal(firn_batch_w(s, t->c, t->w_al, &batch), FIRN_OK);
		for (size_t k = 0; k < N; k++)
			a->in[k] = s->low_K + (s->high_K - s->low_K) * (double)k / (N - 1);
		a->in[N - 1] = s->high_K;
		assert_int_equal(firn_batch_run(&batch, FIRN_BATCH_BEST, N, a->in, a->out), 0);
		for (size_t k = 0; k < N; k++) {
			assert_true(firn_subrange_w(s, t->c, t->w_al, a->in[k], &want, &slope) >=
				    0);
			assert_near(a->out[k], want, accuracy_K * slope);
		}
	}
	for (int from_zero = 0; from_zero < 2; from_zero++) {
		const double low_K = from_zero ? 273.15 : 13.8033, high_K = 1234.93;

		assert_int_equal(firn_batch_wr(from_zero, &batch), FIRN_OK);
		for (size_t k = 0; k < N; k++)
			a->in[k] = low_K + (high_K - low_K) * (double)k / (N - 1);
		a->in[N - 1] = high_K;
		a->in[1] = 273.16;
		a->in[2] = nextafter(273.16, 0.0);
		assert_int_equal(firn_batch_run(&batch, FIRN_BATCH_BEST, N, a->in, a->out), 0);
		for (size_t k = 0; k < N; k++) {
			assert_int_equal(firn_scale_wr(a->in[k], from_zero, &want, &slope),
					 FIRN_OK);
			assert_near(a->out[k], want, accuracy_K * slope);
		}
	}
}

/* W around 1: both reference functions and the temperature between them, as scale.h has it. */
static void test_join(void **state)
{
	struct arrays *a = *state;

	for (int id = 0; id <= FIRN_HG_GA; id++) {
		const struct firn_subrange *s = firn_scale_subrange((enum firn_subrange_id)id);
		const struct firn_batch batch = prepared((enum firn_subrange_id)id, 1.0);
		size_t at_tpw = 0;

		for (size_t k = 0; k < N; k++)
			a->in[k] = 1.0 + 4e-12 * ((double)k - 0.75 * N);
		assert_int_equal(firn_batch_run(&batch, FIRN_BATCH_BEST, N, a->in, a->out), 0);
		for (size_t k = 0; k < N; k++) {
			double want_K, slope;

			assert_true(firn_subrange_t90(s, thermometers[id].c, thermometers[id].w_al,
						      a->in[k], &want_K, &slope) >= 0);
			assert_near(a->out[k], want_K, accuracy_K);
			at_tpw += fabs(want_K - 273.16) < 1e-12;
		}
		/* 5.3e-9 of W, in steps of 4e-12 */
		assert_true(at_tpw > 1300 && at_tpw < 1360);
	}
}

/* What is no W of the subrange is no temperature, and harms no neighbour. */
static void test_outside(void **state)
{
	static const double outside[] = { 0.0,
					  -1.0,
					  0.9999,
					  3.4,
					  1e300,
					  -1e300,
					  (double)NAN,
					  (double)INFINITY,
					  -(double)INFINITY,
					  5e-324 };
	const size_t n_outside = sizeof(outside) / sizeof(outside[0]);
	struct arrays *a = *state;

	for (int level = 0; level <= FIRN_BATCH_BEST; level++) {
		const struct firn_batch batch = prepared(FIRN_H2O_AL, 1.0);

		for (size_t k = 0; k < N; k++)
			a->in[k] = k % 100 == 1 ? outside[k / 100 % n_outside] : 2.5;
		assert_int_equal(
		    firn_batch_run(&batch, (enum firn_batch_level)level, N, a->in, a->out), 101);
		for (size_t k = 0; k < N; k++)
			assert_true(k % 100 == 1 ? isnan(a->out[k]) : a->out[k] == a->out[0]);
		a->out[0] = 7.0;
		assert_int_equal(
		    firn_batch_run(&batch, (enum firn_batch_level)level, 0, a->in, a->out), 0);
		assert_true(a->out[0] == 7.0);
	}
}

/* Ends: within FIRN_SCALE_ROUNDING_K is within; the rest is not. */
static void test_ends(void **state)
{
	(void)state;
	for (int id = 0; id < FIRN_SUBRANGES; id++) {
		const struct firn_subrange *s = firn_scale_subrange((enum firn_subrange_id)id);
		const struct firn_batch batch = prepared((enum firn_subrange_id)id, 1.0);
		const double near_K = 0.99 * FIRN_SCALE_ROUNDING_K,
			     far_K = 1.01 * FIRN_SCALE_ROUNDING_K;
		const double in[] = { w_of((enum firn_subrange_id)id, s->low_K - near_K),
				      w_of((enum firn_subrange_id)id, s->high_K + near_K),
				      w_of((enum firn_subrange_id)id, s->low_K - far_K),
				      w_of((enum firn_subrange_id)id, s->high_K + far_K) };
		double out[4];

		assert_int_equal(firn_batch_run(&batch, FIRN_BATCH_BEST, 4, in, out), 2);
		assert_near(out[0], s->low_K - near_K, accuracy_K);
		assert_near(out[1], s->high_K + near_K, accuracy_K);
		assert_true(isnan(out[2]) && isnan(out[3]));
	}
}

/* The same bits, however the array is divided. */
static void test_parts(void **state)
{
	const struct firn_batch batch = prepared(FIRN_E_H2_H2O, 1.0);
	struct arrays *a = *state;

	for (int level = 0; level <= FIRN_BATCH_BEST; level++) {
		double *parts = malloc(N * sizeof(*parts));
		size_t n_nan = 0;

		assert_non_null(parts);
		for (size_t k = 0; k < N; k++)
			a->in[k] = 1.001 * (double)(k * 4999 % N) / N;
		for (size_t k = 0, n = 1; k < N; k += n, n = n * 7 % 977) {
			n = n < N - k ? n : N - k;
			n_nan += firn_batch_run(&batch, (enum firn_batch_level)level, n, a->in + k,
						parts + k);
		}
		assert_int_equal(
		    firn_batch_run(&batch, (enum firn_batch_level)level, N, a->in, a->out), n_nan);
		assert_true(n_nan > 0 && n_nan < N / 100);
		for (size_t k = 0; k < N; k++)
			assert_true(parts[k] == a->out[k] || (isnan(parts[k]) && isnan(a->out[k])));
		free(parts);
	}
}

static void test_refusals(void **state)
{
	static const double no_unit[] = { 0.0, -1.0, (double)NAN, (double)INFINITY, 1e-320 };
	static const double no_c[] = { (double)NAN, 0.0, 0.0 }, steep[] = { 1.5, 0.0, 0.0 },
			    folded[] = { 0.0, 0.5, 0.0 };
	const struct firn_subrange *al = firn_scale_subrange(FIRN_H2O_AL);
	const struct firn_subrange *ag = firn_scale_subrange(FIRN_H2O_AG);
	struct firn_batch batch, before;

	(void)state;
	memset(&batch, 0x55, sizeof(batch));
	before = batch;
	for (size_t i = 0; i < sizeof(no_unit) / sizeof(no_unit[0]); i++)
		assert_int_equal(firn_batch_t90(al, thermometers[FIRN_H2O_AL].c, (double)NAN,
						no_unit[i], &batch),
				 FIRN_E_DOMAIN);
	assert_true(firn_batch_t90(al, no_c, (double)NAN, 1.0, &batch) < 0);
	assert_true(firn_batch_w(al, no_c, (double)NAN, &batch) < 0);
	assert_int_equal(firn_batch_t90(al, steep, (double)NAN, 1.0, &batch), FIRN_E_SINGULAR);
	assert_true(firn_batch_t90(al, folded, (double)NAN, 1.0, &batch) < 0);
	assert_int_equal(firn_batch_w(al, steep, (double)NAN, &batch), FIRN_E_SINGULAR);
	assert_int_equal(firn_batch_t90(ag, thermometers[FIRN_H2O_AG].c, (double)NAN, 1.0, &batch),
			 FIRN_E_DOMAIN);
	assert_memory_equal(&batch, &before, sizeof(batch));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(test_t90, setup, teardown),
		cmocka_unit_test_setup_teardown(test_w, setup, teardown),
		cmocka_unit_test_setup_teardown(test_join, setup, teardown),
		cmocka_unit_test_setup_teardown(test_outside, setup, teardown),
		cmocka_unit_test(test_ends),
		cmocka_unit_test_setup_teardown(test_parts, setup, teardown),
		cmocka_unit_test(test_refusals),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
