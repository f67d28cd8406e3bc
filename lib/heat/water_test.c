#include "firn/water.h"

#include "lib/heat/water_fluid.h"
#include "tests/support/near.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

/* IAPWS R6-95(2018), Table 6: T = 500 K, rho = 838.025 kg/m3 (from memory; nine digits). */
static void test_printed_helmholtz(void **state)
{
	const double delta = 838.025 / WATER_RHO_C, tau = WATER_T_C / 500.0;
	const struct water_phi o = water_ideal(delta, tau), r = water_residual(delta, tau);

	(void)state;
	assert_near_relative(o.phi, 0.204797733e1, 1e-8);
	assert_near_relative(o.d, 0.384236747, 1e-8);
	assert_near_relative(o.dd, -0.147637878, 1e-8);
	assert_near_relative(o.t, 0.904611106e1, 1e-8);
	assert_near_relative(o.tt, -0.193249185e1, 1e-8);
	assert_near_relative(r.phi, -0.342693206e1, 1e-8);
	assert_near_relative(r.d, -0.364366650, 1e-8);
	assert_near_relative(r.dd, 0.856063701, 1e-8);
	assert_near_relative(r.t, -0.581403435e1, 1e-8);
	assert_near_relative(r.tt, -0.223440737e1, 1e-8);
	assert_near_relative(r.dt, -0.112176915e1, 1e-8);
}

/* Every derivative against the difference quotient of the one before it, also near the critical
   point, where the last two terms rule. */
static void test_derivatives(void **state)
{
	static const double at[][2] = {
		{ 3.1, 2.37 }, { 1.1, 1.02 }, { 1e-4, 2.4 }, { 0.9, 0.97 }
	};
	const double e = 1e-6;

	(void)state;
	for (size_t i = 0; i < COUNT(at); i++) {
		const double d = at[i][0], t = at[i][1], ed = e * d;
		const struct water_phi x = water_residual(d, t), up = water_residual(d + ed, t),
				       down = water_residual(d - ed, t),
				       hot = water_residual(d, t + e),
				       cold = water_residual(d, t - e);

		/* a quotient of doubles over 1e-6: half its digits */
		assert_near((up.phi - down.phi) / (2.0 * ed), x.d, 1e-7 * (1.0 + fabs(x.d)));
		assert_near((up.d - down.d) / (2.0 * ed), x.dd, 1e-5 * (1.0 + fabs(x.dd)));
		assert_near((hot.phi - cold.phi) / (2.0 * e), x.t, 1e-7 * (1.0 + fabs(x.t)));
		assert_near((hot.t - cold.t) / (2.0 * e), x.tt, 1e-6 * (1.0 + fabs(x.tt)));
		assert_near((hot.d - cold.d) / (2.0 * e), x.dt, 1e-6 * (1.0 + fabs(x.dt)));
	}
}

/* IAPWS R6-95(2018), Table 8: 275 K and 450 K (the latter from memory), as printed. */
static void test_saturation(void **state)
{
	struct firn_water_state liquid, vapour;
	double p;

	(void)state;
	assert_int_equal(firn_water_saturation(275.0, &p, &liquid, &vapour), FIRN_OK);
	assert_near(p, 698.451167, 5.1e-7);
	assert_near(liquid.density_kg_per_m3, 999.887406, 5.1e-7);
	assert_near(vapour.density_kg_per_m3, 0.550664919e-2, 5.1e-12);
	assert_near(liquid.enthalpy_J_per_kg, 7759.72201, 1e-5); /* a unit of the last digit */
	assert_near(vapour.enthalpy_J_per_kg, 2504289.95, 5.1e-3);
	assert_near(liquid.entropy_J_per_kgK, 28.3094670, 5.1e-8);
	assert_int_equal(firn_water_saturation(450.0, &p, &liquid, &vapour), FIRN_OK);
	assert_near(p, 0.932203564e6, 5.1e-4);
	assert_near(liquid.density_kg_per_m3, 890.341250, 5.1e-7);
	assert_near(vapour.density_kg_per_m3, 4.81200360, 5.1e-9);
	assert_near(liquid.enthalpy_J_per_kg, 749161.585, 5.1e-4);
	assert_near(vapour.enthalpy_J_per_kg, 2774410.78, 5.1e-3);
	assert_near(vapour.entropy_J_per_kgK, 6609.21221, 5.1e-6);
}

/* IAPWS R10-06(2009), Table 6, first column. */
static void test_ice(void **state)
{
	struct firn_water_state ice;

	(void)state;
	assert_int_equal(firn_ice(273.16, 611.657, &ice), FIRN_OK);
	assert_near(ice.density_kg_per_m3, 916.709492200, 5.1e-10);
	assert_near(ice.enthalpy_J_per_kg, -333444.253966, 1.1e-6);
	assert_near(ice.entropy_J_per_kgK, -1220.69433940, 5.1e-9);
	assert_near(ice.cp_J_per_kgK, 2096.78431622, 5.1e-9);
}

/* IAPWS G12-15, Table 5 at 273.15 K; below it values of an open implementation of that guideline,
   which reproduces the table. */
static void test_supercooled(void **state)
{
	static const struct {
		double t_degC, density, cp, half_density, half_cp; /* halves of the last digit */
	} rows[] = { { 0, 999.84229, 4218.3002, 5.1e-6, 5.1e-5 },
		     { -2, 999.6681, 4225.79, 5.1e-5, 5.1e-3 },
		     { -5, 999.2565, 4239.75, 5.1e-5, 5.1e-3 },
		     { -8, 998.6445, 4257.88, 5.1e-5, 5.1e-3 },
		     { -10, 998.1118, 4272.95, 5.1e-5, 5.1e-3 },
		     { -15, 996.2702, 4325.09, 5.1e-5, 5.1e-3 } };
	double density, cp;

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		assert_int_equal(
		    firn_water_supercooled(273.15 + rows[i].t_degC, 101325.0, &density, &cp),
		    FIRN_OK);
		assert_near(density, rows[i].density, rows[i].half_density);
		assert_near(cp, rows[i].cp, rows[i].half_cp);
	}
}

/* Melting without air at 101 325 Pa: 273.152 519 K, L = 333.426 52 kJ/kg, -7.429 35e-8 K/Pa; at the
   triple point 333.444 87 kJ/kg and -7.426 15e-8 K/Pa: an open implementation of both releases. */
static void test_melting(void **state)
{
	struct firn_melting melting;
	struct firn_water_state liquid;

	(void)state;
	assert_int_equal(firn_water_melting(101325.0, &melting), FIRN_OK);
	assert_near(melting.T_K, 273.152519, 5.1e-7);
	assert_near(melting.latent_J_per_kg, 333426.52, 5.1e-3);
	assert_near(melting.K_per_Pa, -7.42935e-8, 5.1e-14);
	assert_int_equal(firn_water_melting(611.657, &melting), FIRN_OK);
	assert_near(melting.T_K, 273.16, 1e-6);
	assert_near(melting.latent_J_per_kg, 333444.87, 2e-2);
	assert_near(melting.K_per_Pa, -7.42615e-8, 5.1e-14);
	assert_int_equal(firn_water_liquid(273.16, 611.657, &liquid), FIRN_OK);
	assert_near(liquid.density_kg_per_m3, 999.79252, 5.1e-6);
	assert_near(liquid.cp_J_per_kgK, 4219.91, 5.1e-3);
}

/* IAPWS R1-76(2014): 75.6463 mN/m at 0.01 degC and 72.7361 mN/m at 20 degC (evaluated apart). */
static void test_tension(void **state)
{
	double sigma = -1.0;

	(void)state;
	assert_int_equal(firn_water_tension(273.16, &sigma), FIRN_OK);
	assert_near(sigma, 0.0756463, 5.1e-8);
	assert_int_equal(firn_water_tension(293.15, &sigma), FIRN_OK);
	assert_near(sigma, 0.0727361, 5.1e-8);
	sigma = -1.0;
	assert_int_equal(firn_water_tension(20.0, &sigma), FIRN_E_DOMAIN); /* in degC */
	assert_near(sigma, -1.0, 0.0);
}

static void test_refused(void **state)
{
	struct firn_water_state x = { .density_kg_per_m3 = -1.0 };
	struct firn_melting melting = { .T_K = -1.0 };
	double f = -1.0, cp = -1.0;

	(void)state;
	assert_int_equal(firn_water_liquid(0.01, 101325.0, &x), FIRN_E_DOMAIN); /* in degC */
	assert_int_equal(firn_water_liquid((double)NAN, 101325.0, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_water_liquid(300.0, 0.0, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_water_vapour(300.0, 1e7, &x), FIRN_E_SINGULAR);
	assert_int_equal(firn_ice(300.0, 1e5, &x), FIRN_E_DOMAIN);
	assert_int_equal(firn_water_supercooled(100.0, 1e5, &f, &cp), FIRN_E_DOMAIN);
	assert_int_equal(firn_water_melting(-5.0, &melting), FIRN_E_DOMAIN);
	assert_int_equal(firn_nucleation_by_enthalpy(-1.0, 1e5, &f), FIRN_E_DOMAIN);
	assert_int_equal(firn_nucleation_by_enthalpy(73.0, 1e5, &f), FIRN_E_DOMAIN);
	assert_true(x.density_kg_per_m3 == -1.0 && melting.T_K == -1.0 && f == -1.0 && cp == -1.0);
	assert_int_equal(firn_water_liquid(263.15, 101325.0, &x), FIRN_WARN_EXTRAPOLATED);
	assert_int_equal(firn_nucleation_by_enthalpy(0.0, 101325.0, &f), FIRN_OK);
	assert_near(f, 0.0, 1e-12);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_printed_helmholtz), cmocka_unit_test(test_derivatives),
		cmocka_unit_test(test_saturation),        cmocka_unit_test(test_ice),
		cmocka_unit_test(test_supercooled),       cmocka_unit_test(test_melting),
		cmocka_unit_test(test_tension),           cmocka_unit_test(test_refused),
	};

	return cmocka_run_group_tests_name("water", tests, NULL, NULL);
}
