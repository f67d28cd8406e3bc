/*
 * Ice on a well, on a tape. Times: quasi-steady form, to be had from firn/heat.h, which has its own
 * tests; the table is computed with k 2.14, 916.7 kg/m3, 333.44 kJ/kg from the same form by hand.
 */
#include "firn/growth.h"

#include "firn/heat.h"

#include "tests/support/on_tape.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const double pi = 3.14159265358979323846;
static struct firn_growth growth(double r_cold, double below, double series)
{
	return (struct firn_growth){ number(r_cold, 0), number(below, 0), number(series, 0),
				     number(2.14, 0),   number(916.7, 0), number(333440, 0) };
}

/* Seconds to 4, 6, 8 and 10 mm: bore 12 mm, wall 1.25 mm of 1.1 W/(m K), dry ice at 78.51 K below,
   through contacts of 500 and 200 W/(m2 K); and cold alcohol 20 K below. */
static void tables(void **state)
{
	static const struct {
		double below, h, seconds[4];
	} rows[] = {
		{ 78.51, INFINITY, { 42, 82, 136, 205 } },
		{ 78.51, 500, { 90, 161, 253, 364 } },
		{ 78.51, 200, { 162, 281, 428, 603 } },
		{ 20, 200, { 635, 1103, 1679, 2366 } },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++)
		for (int j = 0; j < 4; j++) {
			const double wall = log(7.25 / 6) / (2 * pi * 1.1);
			const struct firn_growth g =
			    growth(7.25e-3, rows[i].below, wall + 1 / (2 * pi * 6e-3 * rows[i].h));
			struct firn_node t;

			assert_int_equal(
			    firn_growth_time(&g, number(7.25e-3 + (4 + 2 * j) * 1e-3, 0), &t),
			    FIRN_OK);
			/* printed to a second */
			assert_near(firn_value(t), rows[i].seconds[j], 0.5);
		}
}

/* Published: a cell frozen wholly in a month in an ice bath; inwards, 10 mK, R = 30 to 7 mm. */
static void inwards(void **state)
{
	const struct firn_growth g = growth(30e-3, 10e-3, 0);
	const struct firn_solid ice = { 2.14, 916.7, 2097, 333440 };
	const struct firn_cylinder c = { 30e-3, 7e-3, 10e-3, 0 };
	struct firn_node t;
	double plain;

	(void)state;
	assert_int_equal(firn_growth_time(&g, number(7e-3, 0), &t), FIRN_OK);
	assert_near(firn_value(t) / 86400, 29.2769, 1e-3);
	assert_int_equal(firn_cylinder_time(&ice, &c, &plain), FIRN_OK);
	assert_near_relative(firn_value(t), plain, 1e-13);
	assert_int_equal(firn_growth_time(&g, number(-1, 0), &t), FIRN_E_DOMAIN);
}

/* A record made with 35 W/(m2 K) gives it back; one that is scattered by 10 % within its u. */
static void contact(void **state)
{
	const double wall = log(7.25 / 6) / (2 * pi * 1.1), r[] = { 10e-3, 12e-3, 15e-3 };
	struct firn_growth g = growth(7.25e-3, 78.51, wall + 1 / (2 * pi * 6e-3 * 35));
	double t[3];
	struct firn_node h;

	(void)state;
	for (int i = 0; i < 3; i++) {
		struct firn_node s;

		assert_int_equal(firn_growth_time(&g, number(r[i], 0), &s), FIRN_OK);
		t[i] = firn_value(s);
	}
	g.series_Km_per_W = number(wall, 0);
	assert_int_equal(firn_growth_contact(&g, 6e-3, 3, t, r, &h), FIRN_OK);
	assert_near_relative(firn_value(h), 35.0, 1e-12);
	assert_true(firn_u(h) < 1e-9);
	assert_int_equal(firn_growth_contact(&g, 6e-3, 1, t, r, &h), FIRN_WARN_FEW);
	assert_near_relative(firn_u(h), 17.5, 1e-9);

	t[0] *= 1.1;
	t[1] *= 0.9;
	assert_int_equal(firn_growth_contact(&g, 6e-3, 3, t, r, &h), FIRN_OK);
	assert_near(firn_value(h), 35.0, 2 * firn_u(h));
	assert_true(firn_u(h) > 1 && firn_u(h) < 5);

	t[0] = t[1] = t[2] = 1;
	assert_int_equal(firn_growth_contact(&g, 6e-3, 3, t, r, &h), FIRN_E_SINGULAR);
	assert_int_equal(firn_growth_contact(&g, 6e-3, 0, t, r, &h), FIRN_E_DOMAIN);
	t[0] = NAN;
	assert_int_equal(firn_growth_contact(&g, 6e-3, 3, t, r, &h), FIRN_E_DOMAIN);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(tables, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(inwards, open_tape, close_tape),
		cmocka_unit_test_setup_teardown(contact, open_tape, close_tape),
	};

	return cmocka_run_group_tests_name("growth", tests, NULL, NULL);
}
