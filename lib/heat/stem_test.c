/*
 * A thermometer in a well. The limits of the coupled fins are the single fin of Bird, Stewart and
 * Lightfoot, section 10.7; values of the coupled case are mathematical, made with mpmath from the
 * eigenvalues of the matrix (30 digits).
 *
 * The thermometer: silica sheath 7.5/5.5 mm (1.38 W/(m K)), four platinum wires of 0.3 mm (71.6) on
 * a circle of 3 mm in air (0.02416), in a bore of 12 mm with water (0.5557) and a wall of 1.25 mm
 * of borosilicate (1.1).
 */
#include "firn/stem.h"

#include "firn/heat.h"

#include "tests/support/on_tape.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static struct firn_stem stem(double inside, double sheath, double gap, double outward)
{
	return (struct firn_stem){ number(inside, 0), number(sheath, 0), number(gap, 0),
				   number(outward, 0) };
}

static struct firn_place place(double depth, double tip, double length)
{
	return (struct firn_place){ number(depth, 0), number(tip, 0), number(length, 0) };
}

static const double inside = 2.02444230597326276e-5, sheath = 2.81800861027004453e-5,
		    gap = 3.99294326668848593, outward = 0.161991849650773444;

static void layers(void **state)
{
	struct firn_node r;
	double plain;

	(void)state;
	assert_int_equal(firn_shell_of(number(6e-3, 1e-4), number(7.25e-3, 0), number(1.1, 0), &r),
			 FIRN_OK);
	assert_int_equal(firn_shell_resistance(6e-3, 7.25e-3, 1.1, &plain), FIRN_OK);
	assert_near_relative(firn_value(r), plain, 1e-15);
	/* dR/dr_in = -1/(2 pi k r_in) */
	assert_near_relative(firn_u(r), 1e-4 / (2 * 3.14159265358979323846 * 1.1 * 6e-3), 1e-12);
	assert_int_equal(firn_film_of(number(6e-3, 0), number(200, 0), &r), FIRN_OK);
	assert_int_equal(firn_film_resistance(6e-3, 200, &plain), FIRN_OK);
	assert_near_relative(firn_value(r), plain, 1e-15);
	assert_int_equal(firn_shell_of(number(7e-3, 0), number(6e-3, 0), number(1, 0), &r),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_film_of(number(6e-3, 0), number(-1, 0), &r), FIRN_E_DOMAIN);
}

static void coupled_fins(void **state)
{
	static const struct {
		double depth, tip, length, error, flow;
	} rows[] = {
		{ 0.26, 0.005, 0.04, 1.624358766044446e-11, 0.0148138227783372 },
		{ 0.1, 0.005, 0.04, 0.000600834931361184, 0.01481382277663245 },
		{ 0.1, 0, 0.001, 3.935489913722586e-5, 0.01481382277663245 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		const struct firn_stem s = stem(inside, sheath, gap, outward);
		const struct firn_place p = place(rows[i].depth, rows[i].tip, rows[i].length);
		struct firn_stem_answer a;

		assert_int_equal(firn_stem_error(&s, &p, &a), FIRN_OK);
		assert_near_relative(firn_value(a.slow_m), 0.009181612691667895, 1e-13);
		assert_near_relative(firn_value(a.fast_m), 0.002092175167668543, 1e-13);
		/* exponents to 28 multiply the rounding of their argument as often */
		assert_near_relative(firn_value(a.error), rows[i].error, 1e-12);
		assert_near_relative(firn_value(a.flow_W_per_K), rows[i].flow, 1e-12);
	}
}

/* Wires in contact with the sheath: one fin of both. A sheath that conducts nothing: wires alone,
   through gap and layers. Tip errors of either at 100 mm and 150 mm. */
static void limits(void **state)
{
	static const double depths[] = { 0.1, 0.15 };

	(void)state;
	for (size_t i = 0; i < COUNT(depths); i++) {
		const struct firn_place p = place(depths[i], 0, 1e-7);
		const struct firn_stem one = stem(inside, sheath, 1e-9, outward),
				       alone = stem(inside, 1e-15, gap, outward);
		struct firn_stem_answer a;
		double length, want;

		assert_int_equal(firn_stem_error(&one, &p, &a), FIRN_OK);
		assert_int_equal(firn_fin_length(outward, inside + sheath, &length), FIRN_OK);
		assert_near(1e3 * length, 2.80, 0.005);
		assert_int_equal(firn_fin_tip_error(depths[i], length, &want), FIRN_OK);
		assert_near_relative(firn_value(a.slow_m), length, 1e-8);
		/* the gap left, 1e-9, moves the exponent by some 1e-7 */
		assert_near_relative(firn_value(a.error), want, 1e-6);

		assert_int_equal(firn_stem_error(&alone, &p, &a), FIRN_OK);
		assert_int_equal(firn_fin_length(gap + outward, inside, &length), FIRN_OK);
		assert_near_relative(firn_value(a.slow_m), length, 1e-8);
		assert_int_equal(firn_fin_tip_error(depths[i], length, &want), FIRN_OK);
		assert_near_relative(firn_value(a.error), want, 1e-6);
	}
}

/* The uncertainty of a length in the exponent: near the tip du/u = d(depth)/l. */
static void uncertainty(void **state)
{
	const struct firn_stem s = stem(inside, sheath, gap, outward);
	struct firn_place p = place(0.1, 0.005, 0.04);
	struct firn_stem_answer a;

	(void)state;
	p.depth_m = number(0.1, 1e-3);
	assert_int_equal(firn_stem_error(&s, &p, &a), FIRN_OK);
	assert_near_relative(firn_u(a.error) / firn_value(a.error), 1e-3 / 0.009181612691667895,
			     1e-6);
}

static void refused(void **state)
{
	const struct firn_stem good = stem(inside, sheath, gap, outward),
			       bad = stem(inside, sheath, -1, outward);
	const struct firn_place uncovered = place(0.04, 0.005, 0.04), nan = place(NAN, 0, 0.04),
				fine = place(0.1, 0, 0.04);
	struct firn_stem_answer a = { 0 };

	(void)state;
	assert_int_equal(firn_stem_error(&good, &uncovered, &a), FIRN_E_DOMAIN);
	assert_int_equal(firn_stem_error(&good, &nan, &a), FIRN_E_DOMAIN);
	assert_int_equal(firn_stem_error(&bad, &fine, &a), FIRN_E_DOMAIN);
	assert_null(a.error.tape);
}

static void settling(void **state)
{
	const struct firn_settling s = { number(12, 0), number(35, 0), number(1.3, 0),
					 number(0.16, 0) };
	struct firn_node constant, time;

	(void)state;
	assert_int_equal(firn_settling_time(&s, number(1, 0), number(1e-5, 0), &constant, &time),
			 FIRN_OK);
	assert_near_relative(firn_value(constant), 18.362470139589001, 1e-13);
	assert_near_relative(firn_value(time), 216.9122129302311, 1e-13);
	assert_int_equal(firn_settling_time(&s, number(1e-5, 0), number(1, 0), &constant, &time),
			 FIRN_E_DOMAIN);
}

/* Rows made of a known course come back exactly; scattered ones within their u. */
static void fitted(void **state)
{
	static const double t[] = { 100, 200, 300, 400, 500 };
	double off[5], other[5];
	struct firn_approach a[] = { { 5, t, off, 2 }, { 3, t, other, 0.5 } };
	struct firn_node constant, amplitude;

	(void)state;
	for (int i = 0; i < 5; i++) {
		off[i] = -2 * 1.2 * exp(-t[i] / 90);
		other[i] = 0.5 * 1.2 * exp(-t[i] / 90);
	}
	assert_int_equal(firn_settling_fit(tape, 2, a, &constant, &amplitude), FIRN_OK);
	assert_near_relative(firn_value(constant), 90.0, 1e-12);
	assert_near_relative(firn_value(amplitude), 1.2, 1e-12);

	for (int i = 0; i < 5; i++)
		off[i] *= 1 + (i % 2 == 0 ? 0.05 : -0.05);
	assert_int_equal(firn_settling_fit(tape, 1, a, &constant, &amplitude), FIRN_WARN_FEW);
	assert_near(firn_value(constant), 90, 3 * firn_u(constant));
	assert_true(firn_u(constant) > 0.5 && firn_u(constant) < 5);
	a[1].n = 2;
	assert_int_equal(firn_settling_fit(tape, 1, &a[1], &constant, &amplitude), FIRN_E_SINGULAR);
	other[0] = 0;
	assert_int_equal(firn_settling_fit(tape, 1, &a[1], &constant, &amplitude), FIRN_E_DOMAIN);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(layers, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(coupled_fins, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(limits, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(uncertainty, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(refused, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(settling, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(fitted, open_tape, close_tape),
	};

	return cmocka_run_group_tests_name("stem", tests, NULL, NULL);
}
