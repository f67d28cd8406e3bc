/* Batch conversion against 40 digits: 50 W of one invented thermometer per subrange, W of 25
   temperatures each, and W_r at 200; with every instruction set that this processor has. */
#include "firn/batch.h"

#include "tests/oracle/scale_table.h"

/* As firn/batch.h promises. W and coefficients are rounded to doubles here, and two last digits of
   W = 4.3 are worth 6e-13 K. */
static const double accuracy_K = 1e-11;

struct calibration {
	enum firn_subrange_id id;
	double c[FIRN_MOST_COEFFICIENTS], w_al;
};

static struct calibration calibration_of(enum firn_subrange_id id)
{
	struct table coefficients = table_open("scale-coefficients.csv");
	struct table points = table_open("scale-calibrations.csv");
	struct calibration k = { id, { 0 }, (double)NAN };
	size_t n = 0;

	while (table_next(&coefficients))
		if (table_subrange(&coefficients, 0) == id)
			k.c[n++] = table_number(&coefficients, 2);
	while (table_next(&points))
		if (table_subrange(&points, 0) == id && strcmp(points.fields[1], "Al") == 0)
			k.w_al = table_number(&points, 3);
	assert_int_equal(n, firn_scale_subrange(id)->n_coefficients);
	return k;
}

/* One value by every instruction set. */
static void assert_converts(const struct firn_batch *batch, double in, double want,
			    double tolerance)
{
	for (int level = 0; level <= FIRN_BATCH_BEST; level++) {
		double out = NAN;

		assert_int_equal(firn_batch_run(batch, (enum firn_batch_level)level, 1, &in, &out),
				 0);
		assert_near(out, want, tolerance);
	}
}

static bool within(const struct firn_subrange *s, double t90_K)
{
	return t90_K >= s->low_K - FIRN_SCALE_ROUNDING_K &&
	       t90_K <= s->high_K + FIRN_SCALE_ROUNDING_K;
}

static void test_temperatures(void **state)
{
	struct table t = table_open("scale-temperatures.csv");
	struct calibration k = { .id = FIRN_SUBRANGES };
	struct firn_batch batch = { 0 };
	int rows = 0;

	(void)state;
	while (table_next(&t)) {
		const enum firn_subrange_id id = table_subrange(&t, 0);

		if (k.id != id) {
			k = calibration_of(id);
			assert_int_equal(
			    firn_batch_t90(firn_scale_subrange(id), k.c, k.w_al, 1.0, &batch),
			    FIRN_OK);
		}
		if (!within(firn_scale_subrange(id), table_number(&t, 3)))
			continue; /* e-H2 serves the subrange from Ne on, but lies below it */
		assert_converts(&batch, table_number(&t, 1), table_number(&t, 3), accuracy_K);
		rows++;
	}
	assert_true(rows >= 545);
}

static void test_tables(void **state)
{
	struct table t = table_open("scale-tables.csv");
	struct calibration k = { .id = FIRN_SUBRANGES };
	struct firn_batch batch = { 0 };
	int rows = 0;

	(void)state;
	for (; table_next(&t); rows++) {
		const enum firn_subrange_id id = table_subrange(&t, 0);

		if (k.id != id) {
			k = calibration_of(id);
			assert_int_equal(firn_batch_w(firn_scale_subrange(id), k.c, k.w_al, &batch),
					 FIRN_OK);
		}
		assert_converts(&batch, table_number(&t, 1), table_number(&t, 2),
				accuracy_K * table_number(&t, 3));
	}
	assert_int_equal(rows, 275);
}

static void test_reference(void **state)
{
	struct table t = table_open("scale-forward.csv");
	struct firn_batch batch;
	int rows = 0;

	(void)state;
	assert_int_equal(firn_batch_wr(false, &batch), FIRN_OK);
	for (; table_next(&t); rows++)
		assert_converts(&batch, table_number(&t, 0), table_number(&t, 2),
				accuracy_K * table_number(&t, 3));
	assert_int_equal(rows, 200);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_temperatures),
		cmocka_unit_test(test_tables),
		cmocka_unit_test(test_reference),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
