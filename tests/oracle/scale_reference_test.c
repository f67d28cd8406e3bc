/* Reference functions against 40 digits, against Table 1 of ITS-90, and there and back. */
#include "tests/oracle/scale_table.h"

/* The accuracy that scale.h states. */
static double wr_tolerance(double wr)
{
	return 4e-16 * wr + 1e-15;
}

static const double nanokelvin = 1e-9;

static void test_forward(void **state)
{
	struct table t = table_open("scale-forward.csv");
	int rows = 0;

	(void)state;
	for (; table_next(&t); rows++) {
		const double t90_K = table_number(&t, 0), want = table_number(&t, 2);
		double wr, slope, approximate_K;

		assert_int_equal(firn_scale_wr(t90_K, false, &wr, &slope), FIRN_OK);
		assert_near(wr, want, wr_tolerance(want));
		assert_near_relative(slope, table_number(&t, 3), 1e-14);
		assert_int_equal(strcmp(t.fields[1], "9a") == 0
				     ? firn_scale_wr_below(t90_K, &wr, &slope)
				     : firn_scale_wr_above(t90_K, &wr, &slope),
				 FIRN_OK);
		assert_near(wr, want, wr_tolerance(want));
		/* The approximations amplify the last digit of W_r no more than the equations do.
		 */
		assert_int_equal(firn_scale_t90_approximate(wr, false, &approximate_K) >= 0, 1);
		if (t90_K != 273.16) /* between the equations the file takes the one it came from */
			assert_near(approximate_K, table_number(&t, 4), 1e-3 * nanokelvin);
	}
	assert_int_equal(rows, 200);
}

static void test_inverse(void **state)
{
	struct table t = table_open("scale-inverse.csv");
	int rows = 0;

	(void)state;
	for (; table_next(&t); rows++) {
		double t90_K, slope;

		assert_int_equal(firn_scale_t90(table_number(&t, 0), false, &t90_K, &slope),
				 FIRN_OK);
		assert_near(t90_K, table_number(&t, 1), 1e-3 * nanokelvin);
		assert_int_equal(firn_scale_t90_approximate(table_number(&t, 0), false, &t90_K),
				 FIRN_OK);
		assert_near(t90_K, table_number(&t, 2), 1e-3 * nanokelvin);
	}
	assert_int_equal(rows, 200);
}

static void test_overlap(void **state)
{
	struct table t = table_open("scale-overlap.csv");
	int rows = 0;

	(void)state;
	for (; table_next(&t); rows++) {
		const double t90_K = table_number(&t, 0);
		double wr, slope;

		assert_int_equal(firn_scale_wr_below(t90_K, &wr, &slope), FIRN_OK);
		assert_near(wr, table_number(&t, 1), wr_tolerance(1.0));
		assert_int_equal(firn_scale_wr(t90_K, true, &wr, &slope), FIRN_OK);
		assert_near(wr, table_number(&t, 2), wr_tolerance(1.0));
		assert_int_equal(firn_scale_wr(t90_K, false, &wr, &slope), FIRN_OK);
		assert_near(wr, table_number(&t, t90_K < 273.16 ? 1 : 2), wr_tolerance(1.0));
	}
	assert_int_equal(rows, 11);
}

/* ITS-90, Table 1, to its eight decimals; (9a) at the water triple point comes 1e-8 short of 1. */
static void test_points(void **state)
{
	struct table t = table_open("scale-points.csv");
	int rows = 0;

	(void)state;
	for (; table_next(&t); rows++) {
		const bool above_water =
		    strcmp(t.fields[0], "H2O") == 0 && strcmp(t.fields[2], "10a") == 0;
		double wr, slope, t90_K;

		for (int p = 0; p < FIRN_POINTS && !above_water; p++) {
			const struct firn_fixed_point *point = firn_scale_point((enum firn_point)p);

			if (strcmp(point->name, t.fields[0]) != 0)
				continue;
			assert_true(point->t90_K == table_number(&t, 1));
			assert_int_equal(firn_scale_wr_at((enum firn_point)p, true, &wr, &slope),
					 FIRN_OK);
			assert_near(wr, table_number(&t, 3), wr_tolerance(wr));
			assert_near_relative(slope, table_number(&t, 5), 1e-14);
			assert_near(wr, table_number(&t, 4), 1.0001e-8);
			assert_int_equal(firn_scale_wr_at((enum firn_point)p, false, &wr, &slope),
					 FIRN_OK);
			assert_true(wr == table_number(&t, 4));
		}
		/* What Table 1 prints is within the scale, although rounded beyond its ends. */
		assert_int_equal(firn_scale_t90(table_number(&t, 4), false, &t90_K, &slope),
				 FIRN_OK);
		if (strcmp(t.fields[0], "H2O") != 0 || above_water)
			assert_near(t90_K, table_number(&t, 6), nanokelvin);
	}
	assert_int_equal(rows, 13);
}

/* CCT Guide, ch. 1 (2018), Table 1: 0.00229646 at 17.035 K; section 3.1: 0.9999601 at 0 degC. */
static void test_published(void **state)
{
	double wr, slope;

	(void)state;
	assert_int_equal(firn_scale_wr(17.035, false, &wr, &slope), FIRN_OK);
	assert_near(wr, 0.00229646, 5e-9);
	for (int from_zero = 0; from_zero < 2; from_zero++) {
		assert_int_equal(firn_scale_wr(273.15, from_zero, &wr, &slope), FIRN_OK);
		assert_near(wr, 0.9999601, 5e-8);
	}
}

/* ITS-90, section 3.3: the approximations are said to hold within 0.1 mK and 0.13 mK. On a fine
   grid (40 digits, mpmath) the largest are 0.0956 mK near 224.0 K and 0.1341 mK near 1134 K. */
static void test_approximations(void **state)
{
	double largest_K[2] = { 0.0, 0.0 }, at_K[2] = { 0.0, 0.0 };

	(void)state;
	for (double t90_K = 13.8033; t90_K <= 1234.93; t90_K += 0.1) {
		const int above = t90_K >= 273.16;
		double wr, slope, approximate_K;

		assert_int_equal(firn_scale_wr(t90_K, false, &wr, &slope), FIRN_OK);
		assert_int_equal(firn_scale_t90_approximate(wr, false, &approximate_K), FIRN_OK);
		if (fabs(approximate_K - t90_K) > largest_K[above]) {
			largest_K[above] = fabs(approximate_K - t90_K);
			at_K[above] = t90_K;
		}
	}
	assert_near(largest_K[0], 0.0956e-3, 0.00006e-3);
	assert_near(at_K[0], 224.0, 1.0);
	assert_near(largest_K[1], 0.1341e-3, 0.00006e-3);
	assert_near(at_K[1], 1134.0, 2.0);
}

static void test_round_trip(void **state)
{
	uint64_t random = 19900101;

	(void)state;
	for (int i = 0; i < 1000000; i++) {
		random = random * 6364136223846793005u + 1442695040888963407u;
		const bool from_zero = i % 4 == 0;
		const double low_K = from_zero ? 273.15 : i % 4 == 1 ? 273.1 : 13.8033;
		const double high_K = i % 4 == 1 ? 273.2 : 1234.93;
		const double t90_K = low_K + (high_K - low_K) * ((double)(random >> 11) * 0x1p-53);
		double wr, back_K, slope, slope_back;

		assert_int_equal(firn_scale_wr(t90_K, from_zero, &wr, &slope), FIRN_OK);
		assert_int_equal(firn_scale_t90(wr, from_zero, &back_K, &slope_back), FIRN_OK);
		/* The margin that the last digits of W_r leave is 3e-13 K. */
		assert_near(back_K, t90_K, 1e-3 * nanokelvin);
		assert_near_relative(slope * slope_back, 1.0, 1e-9);
	}
}

static void test_joins(void **state)
{
	static const double places_K[] = { 13.8033, 273.15, 273.16, 1234.93 };
	double wr, t90_K, slope;

	(void)state;
	for (size_t i = 0; i < 4; i++)
		for (int from_zero = 0; from_zero < 2; from_zero++)
			for (int side = -1; side <= 1; side++) {
				const double at_K =
				    nextafter(places_K[i], side * 1e4 + (side == 0) * places_K[i]);

				if (at_K < (from_zero ? 273.15 : 13.8033) || at_K > 1234.93)
					continue;
				assert_int_equal(firn_scale_wr(at_K, from_zero, &wr, &slope),
						 FIRN_OK);
				assert_int_equal(firn_scale_t90(wr, from_zero, &t90_K, &slope),
						 FIRN_OK);
				assert_near(t90_K, at_K, nanokelvin);
			}

	/* The two equations at 273.16 K and between: 50 digits, mpmath. */
	assert_int_equal(firn_scale_t90(0.99999999000000005, false, &t90_K, &slope), FIRN_OK);
	assert_near(t90_K, 273.16, 1e-12);
	for (double gap = 0.9999999901; gap < 0.99999999534585539; gap += 1e-10) {
		assert_int_equal(firn_scale_t90(gap, false, &t90_K, &slope), FIRN_OK);
		assert_true(t90_K == 273.16 && slope > 250.0);
	}
	assert_int_equal(firn_scale_t90(0.99999999534585539, false, &t90_K, &slope), FIRN_OK);
	assert_near(t90_K, 273.16, 1e-12);
	assert_int_equal(firn_scale_t90(1.0, false, &t90_K, &slope), FIRN_OK);
	assert_near(t90_K, 273.160001166882632, 1e-12);
	/* From 0 degC on the root of (10a) throughout: it is 1.34 microkelvin lower than that of
	 * (9a). */
	assert_int_equal(firn_scale_t90(0.99999999, true, &t90_K, &slope), FIRN_OK);
	assert_near(t90_K, 273.16 - 1.34031e-6, 1e-11);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_forward),    cmocka_unit_test(test_inverse),
		cmocka_unit_test(test_overlap),    cmocka_unit_test(test_points),
		cmocka_unit_test(test_published),  cmocka_unit_test(test_approximations),
		cmocka_unit_test(test_round_trip), cmocka_unit_test(test_joins),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
