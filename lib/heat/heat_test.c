/*
 * Closed forms of conduction and freezing. Values of the Neumann parameter and of times are
 * mathematical, made with mpmath; the inputs of the published example are Bird, Stewart and
 * Lightfoot's, 10.7-1. Ice: k 2.14 W/(m K), 916.7 kg/m3, 2097 J/(kg K), 333.44 kJ/kg (IAPWS-06 at
 * the triple point, rounded; conductivity CRC Handbook).
 */
#include "firn/heat.h"

#include "tests/support/near.h"

static const struct firn_solid ice = { 2.14, 916.7, 2097, 333440 };

static const double pi = 3.14159265358979323846;

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void neumann_parameter(void **state)
{
	static const double pairs[][2] = {
		{ 0.001, 0.0223569544 }, { 0.01, 0.0705932766 }, { 0.02, 0.0996691976 },
		{ 0.1, 0.2200162727 },   { 0.2, 0.3064239054 },  { 0.25, 0.3400822454 },
		{ 0.5, 0.4647859206 },   { 1, 0.6200626333 },    { 2, 0.8006013628 },
		{ 5, 1.0596870143 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(pairs); i++) {
		double lambda;

		assert_int_equal(firn_neumann_lambda(pairs[i][0], &lambda), FIRN_OK);
		assert_near(lambda, pairs[i][1], 1e-10);
	}
}

/* Thickness in mm after 10, 30 and 60 min; Neumann, then Stefan. */
static void flat_walls(void **state)
{
	static const struct {
		double below_K, neumann_mm[3], stefan_mm[3];
	} rows[] = {
		{ 5, { 6.448, 11.168, 15.794 }, { 6.481, 11.226, 15.876 } },
		{ 20, { 12.703, 22.003, 31.116 }, { 12.963, 22.452, 31.752 } },
		{ 78.51, { 23.893, 41.384, 58.526 }, { 25.683, 44.483, 62.909 } },
	};
	static const double minutes[] = { 10, 30, 60 };

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++)
		for (int j = 0; j < 3; j++) {
			double m;

			assert_int_equal(
			    firn_neumann_thickness(&ice, rows[i].below_K, 60 * minutes[j], &m),
			    FIRN_OK);
			assert_near(1e3 * m, rows[i].neumann_mm[j], 6e-4);
			assert_int_equal(
			    firn_stefan_thickness(&ice, rows[i].below_K, 60 * minutes[j], &m),
			    FIRN_OK);
			assert_near(1e3 * m, rows[i].stefan_mm[j], 6e-4);
		}
}

static double time_of(double r_cold_mm, double r_front_mm, double below_K, double series)
{
	const struct firn_cylinder c = { r_cold_mm * 1e-3, r_front_mm * 1e-3, below_K, series };
	double t_s;

	assert_int_equal(firn_cylinder_time(&ice, &c, &t_s), FIRN_OK);
	return t_s;
}

static void cylinders(void **state)
{
	(void)state;
	assert_near(time_of(7.5, 11.5, 10, 0), 132.33, 0.05);
	assert_near(time_of(7.5, 15.5, 20, 0), 294.26, 0.05);
	assert_near(time_of(7.5, 17.5, 78.51, 0), 122.33, 0.05);
	/* Inwards from the glass, 10 mK: a cell in an ice bath froze through in a month
	   (INTI/ICAITI, abstract); days. */
	assert_near(time_of(30, 7, 0.01, 0) / 86400, 29.2769, 1e-3);
	assert_near(time_of(24, 7, 0.01, 0) / 86400, 16.7900, 1e-3);
	/* Through 1.25 mm of borosilicate (0.0274 K m/W), and a film of 200 W/(m2 K) in a bore of
	 * 12 mm. */
	assert_near(time_of(7.25, 15.25, 78.51, 0.0274), 136, 1);
	assert_near(time_of(7.25, 15.25, 78.51, 0.1600), 428, 1);
	assert_near(time_of(7.25, 17.25, 20, 0.1600), 2366, 2);
}

/* The law that the form comes from: the heat of a thin shell through the resistance inside it. */
static void cylinders_by_integration(void **state)
{
	const double r0 = 7.25e-3, r1 = 15e-3, below_K = 20, series = 0.05;
	const int n = 20000;
	double t_s = 0;

	(void)state;
	for (int i = 0; i < n; i++) {
		const double r = r0 + (r1 - r0) * (i + 0.5) / n;
		const double resistance = log(r / r0) / (2 * pi * ice.k_W_per_mK) + series;

		t_s += ice.density_kg_per_m3 * ice.latent_J_per_kg * 2 * pi * r * (r1 - r0) / n *
		       resistance / below_K;
	}
	assert_near_relative(time_of(7.25, 15, below_K, series), t_s, 1e-8);
}

static void fronts_are_where_times_say(void **state)
{
	static const double ways[][2] = { { 7.5, 13.2 }, { 7.5, 40 }, { 30, 11 }, { 30, 0.1 } };

	(void)state;
	for (size_t i = 0; i < COUNT(ways); i++) {
		const struct firn_cylinder c = { ways[i][0] * 1e-3, ways[i][1] * 1e-3, 3, 0.02 };
		double t_s, r_m;

		assert_int_equal(firn_cylinder_time(&ice, &c, &t_s), FIRN_OK);
		assert_int_equal(firn_cylinder_front(&ice, &c, ways[i][1] < ways[i][0], t_s, &r_m),
				 FIRN_OK);
		assert_near(r_m, c.r_front_m, 1e-9 * c.r_cold_m);
	}
	{
		const struct firn_cylinder c = { 0.03, 0, 3, 0.02 };
		double r_m;

		assert_int_equal(firn_cylinder_front(&ice, &c, true, 1e9, &r_m), FIRN_E_SINGULAR);
	}
}

/* 500 degF is read in a well whose wall is at 350 degF: the gas is at 510.007 degF. */
static void published_well(void **state)
{
	const double ft = 0.3048, W_per_Btu_h = 0.29307107, degF = 5.0 / 9.0;
	const double h = 120 * W_per_Btu_h / (ft * ft * degF), k = 60 * W_per_Btu_h / (ft * degF);
	const double wall = 0.08 / 12 * ft;
	double length_m, left;

	(void)state;
	/* A wall of thickness B that takes heat from one side: m^2 = h/(k B); per metre of width.
	 */
	assert_int_equal(firn_fin_length(1 / h, k * wall, &length_m), FIRN_OK);
	assert_int_equal(firn_fin_tip_error(0.2 * ft, length_m, &left), FIRN_OK);
	assert_near((500 - 350 * left) / (1 - left), 510.007, 0.01);
}

/* Four leads of platinum that reach the sheath through a gap of air; a metal sheath in water,
   ethanol, air: decay lengths in mm and what is left of 20 K, in uK. */
static void thermometers_in_a_well(void **state)
{
	static const struct {
		double axial, radial, length_mm, left_100mm_uK, tolerance;
	} rows[] = {
		{ 2.02e-5, 4.15, 9.16, 729, 15 },
		{ 1.486e-4, 0.210, 5.58, 0.7, 0.1 },
		{ 1.486e-4, 0.607, 9.50, 1070, 25 },
		{ 1.486e-4, 4.21, 25.0, 735e3, 5e3 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		double length_m, left;

		assert_int_equal(firn_fin_length(rows[i].radial, rows[i].axial, &length_m),
				 FIRN_OK);
		assert_near(1e3 * length_m, rows[i].length_mm, 0.02);
		assert_int_equal(firn_fin_tip_error(0.1, length_m, &left), FIRN_OK);
		assert_near(20e6 * left, rows[i].left_100mm_uK, rows[i].tolerance);
	}
}

static void shells_and_films(void **state)
{
	double shell, film;

	(void)state;
	assert_int_equal(firn_shell_resistance(6e-3, 7.25e-3, 1.1, &shell), FIRN_OK);
	assert_near(shell, 0.0274, 5e-5);
	assert_int_equal(firn_film_resistance(6e-3, 200, &film), FIRN_OK);
	assert_near(shell + film, 0.1600, 1e-4);
}

/* 200 mm of mantle, 7.25 to 15.5 mm, in a bore of 55 mm: 1.131 mW and 540 days a millikelvin. */
static void a_mantle_melts(void **state)
{
	static const double rows[][3] = { /* mK above, mW, days */
					  { 1, 1.131, 540 },
					  { 5, 5.655, 108 },
					  { 10, 11.31, 54.0 },
					  { 100, 113.1, 5.4 }
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		const struct firn_mantle m = { 7.25e-3, 15.5e-3, 27.5e-3,          30e-3,
					       0.5556,  1.1,     rows[i][0] * 1e-3 };
		double heat, life_s;

		assert_int_equal(firn_mantle_heat(&m, &heat), FIRN_OK);
		assert_near_relative(0.2e3 * heat, rows[i][1], 1e-3);
		assert_int_equal(firn_mantle_life(&ice, &m, &life_s), FIRN_OK);
		assert_near_relative(life_s / 86400, rows[i][2], 1e-2);
	}
}

/* 0.45 kg of water in 0.35 kg of glass, 5 K; and the first order beside the enthalpies of IAPWS-95
   and IAPWS-06, from which it may differ by what the header says. */
static void nucleation(void **state)
{
	struct firn_supercooled s = { 5, 0.45, 4219.4, 0.35, 840, 333426.5 };
	double fraction;

	(void)state;
	assert_int_equal(firn_nucleation_fraction(&s, &fraction), FIRN_OK);
	/* 0.2 % less than by the enthalpies, which 0.0732 comes from. */
	assert_near_relative(fraction, 0.0732, 0.0025);
	s.glass_kg = 0;
	s.below_K = 3;
	assert_int_equal(firn_nucleation_fraction(&s, &fraction), FIRN_OK);
	assert_near_relative(fraction, 0.038015, 0.0014);
	s.below_K = 15;
	assert_int_equal(firn_nucleation_fraction(&s, &fraction), FIRN_OK);
	assert_near_relative(fraction, 0.191633, 0.0096);
}

static void nonsense_is_refused(void **state)
{
	const struct firn_cylinder c = { 7e-3, 9e-3, 0, 0 };
	double x = 7;

	(void)state;
	assert_int_equal(firn_neumann_lambda(0, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_neumann_lambda(NAN, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_shell_resistance(2, 1, 1, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_fin_tip_error(-1, 1, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_cylinder_time(&ice, &c, &x), FIRN_E_DOMAIN);
	assert_near(x, 7, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(neumann_parameter),
		cmocka_unit_test(flat_walls),
		cmocka_unit_test(cylinders),
		cmocka_unit_test(cylinders_by_integration),
		cmocka_unit_test(fronts_are_where_times_say),
		cmocka_unit_test(published_well),
		cmocka_unit_test(thermometers_in_a_well),
		cmocka_unit_test(shells_and_films),
		cmocka_unit_test(a_mantle_melts),
		cmocka_unit_test(nucleation),
		cmocka_unit_test(nonsense_is_refused),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
