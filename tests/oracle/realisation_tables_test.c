/*
 * Tables on making and using fixed points, row by row. Figures were computed apart (by hand or with
 * mpmath) from the relations named, to the digits shown; where a figure is printed in a source,
 * that stands there.
 */
#include "firn/consensus.h"
#include "firn/correction.h"
#include "firn/heat.h"
#include "firn/profile.h"
#include "firn/water.h"
#include "tests/oracle/scale_table.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

static const struct firn_solid ice = { 2.14, 916.7, 2097, 333440 };

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

/* Ice frozen at once: fraction by enthalpies and to first order (cp 4219.4 J/(kg K)), and the
   enthalpy of freezing at the temperature reached, kJ/kg, and over that at melting. IAPWS-95,
   IAPWS-06 at 101 325 Pa. */
static void test_nucleation(void **state)
{
	static const double rows[][5] = {
		{ 1, 0.012660, 0.012655, 331.298, 0.99362 },
		{ 2, 0.025331, 0.025309, 329.159, 0.98720 },
		{ 3, 0.038015, 0.037964, 327.008, 0.98075 },
		{ 5, 0.063422, 0.063273, 322.6715, 0.96774 },
		{ 5.85, 0.074238, 0.074030, 320.813, 0.96217 },
		{ 7, 0.088890, 0.088583, 318.285, 0.95459 },
		{ 8.77, 0.111489, 0.110981, 314.358, 0.94281 },
		{ 10, 0.127232, 0.126547, 311.603, 0.93455 },
		{ 15, 0.191633, 0.189820, 300.154, 0.90021 },
	};
	struct firn_melting melting;

	(void)state;
	assert_int_equal(firn_water_melting(101325.0, &melting), FIRN_OK);
	for (size_t i = 0; i < COUNT(rows); i++) {
		const double T = melting.T_K - rows[i][0];
		const struct firn_supercooled first = { .below_K = rows[i][0],
							.water_kg = 1.0,
							.water_J_per_kgK = 4219.4,
							.glass_J_per_kgK = 840.0,
							.latent_J_per_kg =
							    melting.latent_J_per_kg };
		struct firn_water_state liquid, solid;
		double f;

		assert_int_equal(firn_nucleation_by_enthalpy(rows[i][0], 101325.0, &f), FIRN_OK);
		assert_near(f, rows[i][1], 5.1e-7);
		assert_int_equal(firn_nucleation_fraction(&first, &f), FIRN_OK);
		assert_near(f, rows[i][2], 5.1e-7);
		assert_int_equal(firn_water_liquid(T, 101325.0, &liquid), FIRN_WARN_EXTRAPOLATED);
		assert_int_equal(firn_ice(T, 101325.0, &solid), FIRN_OK);
		const double L = liquid.enthalpy_J_per_kg - solid.enthalpy_J_per_kg;
		assert_near(1e-3 * L, rows[i][3], 5.1e-4);
		assert_near(L / melting.latent_J_per_kg, rows[i][4], 5.1e-6);
	}
}

static double seconds(double r_cold_mm, double r_front_mm, double below_K, double series)
{
	const struct firn_cylinder c = { r_cold_mm * 1e-3, r_front_mm * 1e-3, below_K, series };
	double t_s;

	assert_int_equal(firn_cylinder_time(&ice, &c, &t_s), FIRN_OK);
	return t_s;
}

/* Seconds for 4, 6, 8 and 10 mm on a well of 7.5 mm held cold. */
static void test_outward(void **state)
{
	static const double rows[][5] = { { 10, 132, 315, 589, 960 },
					  { 20, 66, 158, 294, 480 },
					  { 78.51, 17, 40, 75, 122 } };

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++)
		for (size_t k = 0; k < 4; k++)
			assert_near(seconds(7.5, 7.5 + 4.0 + 2.0 * (double)k, rows[i][0], 0.0),
				    rows[i][k + 1], 0.51);
}

/* The same on a well wall of 1.25 mm borosilicate (7.25 mm outside, k = 1.1), and a film in the
   bore of 12 mm: its coefficient in W/(m2 K), 0 for none; R' in K m/W; seconds. */
static void test_through_film(void **state)
{
	static const double rows[][7] = { { 78.51, 0, 0.0274, 42, 82, 136, 205 },
					  { 78.51, 500, 0.0804, 90, 161, 253, 364 },
					  { 78.51, 200, 0.1600, 162, 281, 428, 603 },
					  { 20, 200, 0.1600, 635, 1103, 1679, 2366 } };
	double wall, film;

	(void)state;
	assert_int_equal(firn_shell_resistance(6e-3, 7.25e-3, 1.1, &wall), FIRN_OK);
	for (size_t i = 0; i < COUNT(rows); i++) {
		film = 0.0;
		if (rows[i][1] > 0.0)
			assert_int_equal(firn_film_resistance(6e-3, rows[i][1], &film), FIRN_OK);
		assert_near(wall + film, rows[i][2], 5.1e-5);
		for (size_t k = 0; k < 4; k++)
			assert_near(
			    seconds(7.25, 7.25 + 4.0 + 2.0 * (double)k, rows[i][0], wall + film),
			    rows[i][3 + k], 0.51);
	}
}

/* A cell in an ice bath, 10 mK: days inwards from the glass; published is a month (INTI/ICAITI). */
static void test_inward(void **state)
{
	static const double rows[][2] = { { 24, 16.8 }, { 27, 22.6 }, { 30, 29.3 } };

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++)
		assert_near(seconds(rows[i][0], 7.0, 0.01, 0.0) / 86400.0, rows[i][1], 0.051);
}

/* Growth on the outer wall by the slab rule, mm in so many days at so many mK: an ice bath (10 mK),
   a bath 2 mK and 3 mK below the triple point. */
static void test_outer_wall(void **state)
{
	static const double rows[][3] = { { 10, 1, 3.5 }, { 10, 7, 9.2 }, { 10, 30, 19.1 },
					  { 2, 1, 1.6 },  { 3, 1, 1.9 },  { 2, 7, 4.1 },
					  { 3, 7, 5.0 },  { 2, 30, 8.5 }, { 3, 30, 10.4 } };
	double m;

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		assert_int_equal(
		    firn_stefan_thickness(&ice, 1e-3 * rows[i][0], 86400.0 * rows[i][1], &m),
		    FIRN_OK);
		assert_near(1e3 * m, rows[i][2], 0.051);
	}
}

/* Metal points: 20 % of an atmosphere missing, and 1 % and 1 kPa more, mK; 5 mm of height, uK. From
   dT/dp and dT/dl of ITS-90, Table 2 (1e-8 K/Pa, mK/m). */
static void test_pressure(void **state)
{
	static const struct {
		const char *point;
		double dTdp, dTdl, missing_mK, percent_mK, kPa_uK, height_uK;
	} rows[] = {
		{ "Ga", -2.0, -1.2, 0.405, 0.020, 20, 6 },
		{ "In", 4.9, 3.3, -0.993, 0.050, 49, 16.5 },
		{ "Sn", 3.3, 2.2, -0.669, 0.033, 33, 11 },
		{ "Zn", 4.3, 2.7, -0.871, 0.044, 43, 13.5 },
		{ "Al", 7.0, 1.6, -1.419, 0.071, 70, 8 },
		{ "Ag", 6.0, 5.4, -1.216, 0.061, 60, 27 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		const struct firn_node slope = input(1e-8 * rows[i].dTdp, 0.0),
				       missing = input(0.8 * 101325.0, 0.0),
				       percent = input(1.01 * 101325.0, 0.0),
				       kPa = input(102325.0, 0.0),
				       K_per_m = input(1e-3 * rows[i].dTdl, 0.0),
				       depth = input(5e-3, 0.0);
		struct firn_node dt;

		assert_int_equal(firn_gas_pressure(slope, missing, &dt), FIRN_OK);
		assert_near(1e3 * firn_value(dt), rows[i].missing_mK, 5.1e-4);
		assert_int_equal(firn_gas_pressure(slope, percent, &dt), FIRN_OK);
		assert_near(1e3 * fabs(firn_value(dt)), rows[i].percent_mK, 5.1e-4);
		assert_int_equal(firn_gas_pressure(slope, kPa, &dt), FIRN_OK);
		assert_near(1e6 * fabs(firn_value(dt)), rows[i].kPa_uK, 1e-9);
		assert_int_equal(firn_head(K_per_m, depth, &dt), FIRN_OK);
		assert_near(1e6 * fabs(firn_value(dt)), rows[i].height_uK, 1e-9);
	}
}

/* Budgets of the gas points at the highest level, uK: CCT Guide sec. 2.3 (2019), Table 2. Last the
   combined one as printed; and what 5 mm of head make, from dT/dl of ITS-90, Table 2, in mK/m. */
static void test_gas_budgets(void **state)
{
	static const struct {
		double terms[10], printed, combined, K_per_m, head;
	} points[] = {
		{ { 11, 20, 10, 1, 8, 10, 10, 8, 5, 10 }, 33, 32.8, 0.25e-3, 1.25 },
		{ { 35, 4, 10, 10, 8, 10, 15, 15, 15, 0 }, 48, 47.7, 1.9e-3, 9.5 },
		{ { 22, 0, 10, 8, 8, 10, 10, 8, 5, 0 }, 32, 31.6, 1.5e-3, 7.5 },
		{ { 22, 0, 10, 17, 8, 10, 15, 12, 12, 0 }, 39, 39.4, 3.3e-3, 16.5 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(points); i++) {
		const struct firn_node slope = input(points[i].K_per_m, 0.0),
				       depth = input(5e-3, 0);
		struct firn_node terms[10], dt;

		for (size_t k = 0; k < 10; k++)
			terms[k] = input(0.0, points[i].terms[k]);
		const double u = firn_u(firn_sum(10, terms));
		assert_near(u, points[i].printed, 0.51);
		assert_near(u, points[i].combined, 0.051);
		assert_int_equal(firn_head(slope, depth, &dt), FIRN_OK);
		assert_near(1e6 * firn_value(dt), points[i].head, 1e-9);
		/* the printed term is that one, to the whole microkelvin */
		assert_near(1e6 * firn_value(dt), points[i].terms[3], 0.51);
	}
}

/* Rule of thumb (from memory): 5, 10 and 15 diameters for 1 %, 0.01 % and 0.0001 %; it means a
   length of 1.09 diameters. */
static void test_rule_of_thumb(void **state)
{
	static const double rule[][2] = { { 5, 1e-2 }, { 10, 1e-4 }, { 15, 1e-6 } };
	double D;

	(void)state;
	for (size_t i = 0; i < COUNT(rule); i++) {
		assert_int_equal(firn_immersion_length(1.0, 1.0, 6e-3 * rule[i][0], rule[i][1], &D),
				 FIRN_OK);
		assert_near(D / 6e-3, 1.09, 5.1e-3);
	}
}

/* Key comparisons with lost signs: what magnitudes tell. */
static void test_magnitudes(void **state)
{
	struct firn_stated U[32];
	struct firn_consensus median;
	struct table rows = table_open("comparisons.csv");
	double sum = 0.0, largest = 0.0, smallest = 1e9;
	size_t n = 0, beyond = 0, regional = 0;

	(void)state;
	while (table_next(&rows)) {
		const double x = fabs(table_number(&rows, 2)), expanded = table_number(&rows, 5);

		if (strcmp(rows.fields[0], "aluminium-regional") == 0) {
			regional++;
			beyond += x > expanded;
		}
		if (strcmp(rows.fields[0], "water") == 0) {
			U[n++].x = expanded;
			sum += x;
			largest = fmax(largest, expanded);
			smallest = fmin(smallest, expanded);
		}
	}
	assert_int_equal(n, 21);
	assert_int_equal(regional, 24);
	assert_int_equal(beyond, 5); /* GUM, LNE-INM, METAS, VNIIM, EIM */
	assert_near(sum, 858.0, 1e-9);
	assert_near(largest, 322.0, 0.0);
	assert_near(smallest, 39.0, 0.0);
	assert_int_equal(firn_median(n, U, &median), FIRN_OK);
	assert_near(median.x, 109.0, 0.0);
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		TEST(test_nucleation),  TEST(test_outward),       TEST(test_through_film),
		TEST(test_inward),      TEST(test_outer_wall),    TEST(test_pressure),
		TEST(test_gas_budgets), TEST(test_rule_of_thumb), TEST(test_magnitudes),
	};

	return cmocka_run_group_tests_name("realisation tables", tests, NULL, NULL);
}
