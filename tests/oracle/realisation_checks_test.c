/* tests/oracle/data/realisation-checks.csv, row by row, through the public interface of libfirn. */
#include "firn/cell_check.h"
#include "firn/consensus.h"
#include "firn/heat.h"
#include "firn/impurity.h"
#include "firn/mantle.h"
#include "firn/water.h"
#include "firn/zero_power.h"
#include "tests/oracle/scale_table.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

static struct firn_tape *tape; /* of the row */
static struct table table;

/* The text behind name= in the inputs of the row; NULL: not there. */
static const char *find(const char *name)
{
	const size_t length = strlen(name);

	for (const char *at = table.fields[1]; at != NULL; at = strchr(at, ';')) {
		at += *at == ';' ? 1 : 0;
		if (strncmp(at, name, length) == 0 && at[length] == '=')
			return at + length + 1;
	}
	return NULL;
}

static double number_at(const char *text)
{
	double x = 0.0;

	assert_int_equal(firn_number_parse(text, strcspn(text, "; "), &x), FIRN_OK);
	return x;
}

static double get(const char *name)
{
	const char *text = find(name);

	if (text == NULL)
		fail_msg("%s: no input %s", table.fields[0], name);
	return number_at(text);
}

static bool row_is(const char *prefix)
{
	return strncmp(table.fields[0], prefix, strlen(prefix)) == 0;
}

static bool quantity_is(const char *name)
{
	return strcmp(table.fields[2], name) == 0;
}

static struct firn_node input_u(double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = "x", .value = value, .u = u });
}

static struct firn_node given(const char *name, double scale)
{
	return input_u(scale * get(name), 0.0);
}

static double head(void)
{
	const struct firn_node slope = given("dTdl_mK_per_m", 1e-3),
			       depth = given("depth_mm", 1e-3);
	struct firn_node dt;

	assert_int_equal(firn_head(slope, depth, &dt), FIRN_OK);
	return 1e6 * firn_value(dt);
}

static double pressure(void)
{
	const struct firn_node slope = given("dTdp", 1.0), p = given("p_Pa", 1.0);
	struct firn_node dt;

	assert_int_equal(firn_gas_pressure(slope, p, &dt), FIRN_OK);
	return 1e3 * firn_value(dt);
}

static struct firn_water_constants constants(bool with_u)
{
	const double set = find("set") != NULL ? get("set") : 2017.0;
	struct firn_water_constants c;

	assert_int_equal(firn_water_constants(tape,
					      set == 2017.0   ? FIRN_ANNEX_2017
					      : set == 2010.0 ? FIRN_WHITE_TEW_2010
							      : FIRN_CCT_2005,
					      with_u, &c),
			 FIRN_OK);
	return c;
}

static double isotopes(void)
{
	const bool with_u = quantity_is("standard uncertainty");
	struct firn_node dt;

	if (find("unknown") != NULL) { /* a correction: the effect with the other sign */
		assert_int_equal(firn_water_unknown(tape, "water", &dt), FIRN_OK);
		assert_near(1e6 * firn_u(dt), 35.0, 1e-12);
		return -1e6 * firn_value(dt);
	}
	const struct firn_water_constants c = constants(with_u);
	struct firn_water water = { 0 };
	water.d_D = input_u(1e-3 * get("dD_permil"), with_u ? 1e-3 * get("u_dD_permil") : 0.0);
	water.d_18O =
	    input_u(1e-3 * get("d18O_permil"), with_u ? 1e-3 * get("u_d18O_permil") : 0.0);
	if (find("d17O_permil") != NULL)
		water.d_17O = given("d17O_permil", 1e-3);
	assert_int_equal(firn_water_isotopes(&water, &c, &dt), FIRN_OK);
	return 1e6 * (with_u ? firn_u(dt) : firn_value(dt));
}

static double fractionation(void)
{
	const struct firn_water_constants c = constants(false);
	struct firn_node dt;

	assert_int_equal(firn_fractionation(given("f", 1.0), &c, &dt), FIRN_OK);
	return 1e6 * firn_value(dt);
}

/* Raoult's constants from the heat of fusion of water. */
static double cryoscopic(void)
{
	double A;

	if (quantity_is("-x/(F A)")) {
		const struct firn_node x = given("x", 1.0), F = given("F", 1.0),
				       k = input_u(0.0, 0.0);
		struct firn_melting melting;
		struct firn_node slope, dt;

		assert_int_equal(firn_water_melting(611.657, &melting), FIRN_OK);
		assert_int_equal(
		    firn_cryoscopic_from_heat(273.16, melting.latent_J_per_kg * 0.018015268, &A),
		    FIRN_OK);
		assert_int_equal(firn_liquidus_slope(A, k, &slope), FIRN_OK);
		assert_int_equal(firn_impurities_left(1, &x, &slope, &k, F, &dt), FIRN_OK);
		return 1e6 * firn_value(dt);
	}
	const double M_kg = 1e-3 * get("M_g_per_mol");
	assert_int_equal(firn_cryoscopic_from_heat(get("T_K"), 1e3 * get("L_kJ_per_kg") * M_kg, &A),
			 FIRN_OK);
	return quantity_is("molal constant") ? M_kg / A : 1.0 / A;
}

static double gas(void)
{
	struct firn_node dt;

	assert_int_equal(firn_residual_gas(given("p_Pa", 1.0), false, &dt), FIRN_OK);
	return 1e6 * firn_value(dt);
}

static double bubble(void)
{
	struct firn_bubble b = { 0 };
	struct firn_node p;

	b.headspace_m3 = given("V0_mL", 1e-6);
	b.diameter_m = given("diameter_mm", 1e-3);
	b.head_m = given("head_mm", 1e-3);
	b.density_kg_per_m3 = given("rho", 1.0);
	b.tension_N_per_m = given("sigma", 1.0);
	b.g_m_per_s2 = given("g", 1.0);
	assert_int_equal(firn_bubble_pressure(&b, &p), FIRN_OK);
	return firn_value(p);
}

static double zero_power(const struct firn_reading *lo, const struct firn_reading *hi, bool u)
{
	struct firn_zero_power line;

	assert_int_equal(firn_zero_power(lo, hi, &line), FIRN_OK);
	return u ? firn_u(line.r0_ohm) : firn_value(line.r0_ohm);
}

/* Zero current; with equal u of both readings; with u of the currents alone. */
static double self_heating(void)
{
	if (row_is("SHU")) {
		const struct firn_reading lo = { input_u(1e-3, 0.0), input_u(25.5, 1.0) },
					  hi = { input_u(1e-3 * get("ratio"), 0.0),
						 input_u(25.5, 1.0) };

		return zero_power(&lo, &hi, true);
	}
	if (row_is("SHI")) {
		const double q = get("u_relative"), i1 = 1e-3 * get("I1"), i2 = 1e-3 * get("I2");
		const struct firn_reading lo = { input_u(i1, q * i1), given("X1", 1.0) },
					  hi = { input_u(i2, q * i2), given("X2", 1.0) };

		return zero_power(&lo, &hi, true);
	}
	const double last = find("R3") != NULL ? get("R3") : get("R1");
	const struct firn_reading lo = { given("I1", 1e-3),
					 input_u(0.5 * (get("R1") + last), 0.0) },
				  hi = { given("I2", 1e-3), given("R2", 1.0) };
	return zero_power(&lo, &hi, false);
}

static double nucleation(void)
{
	double f;

	assert_int_equal(firn_nucleation_by_enthalpy(get("dT_K"), get("p"), &f), FIRN_OK);
	return f;
}

static double neumann(void)
{
	double lambda;

	assert_int_equal(firn_neumann_lambda(get("Ste"), &lambda), FIRN_OK);
	return lambda;
}

static double cylinder(void)
{
	const struct firn_solid ice = { get("k"), get("rho"), 2097.0, 1e3 * get("L_kJ_per_kg") };
	const bool inward = row_is("CYLIN");
	struct firn_cylinder c = { 0 };
	double t_s;

	c.r_cold_m = 1e-3 * get(inward ? "R_mm" : "r0_mm");
	c.r_front_m = inward ? 1e-3 * get("r_mm") : c.r_cold_m + 1e-3 * get("s_mm");
	c.below_K = inward ? 1e-3 * get("dT_mK") : get("dT_K");
	assert_int_equal(firn_cylinder_time(&ice, &c, &t_s), FIRN_OK);
	return inward ? t_s / 86400.0 : t_s;
}

/* Bird, Stewart & Lightfoot, example 10.7-1, in its units: Btu/h/ft2/F and Btu/h/ft/F keep their
   ratio, and so does the answer. */
static double fin(void)
{
	const double k = get("k"), h = get("h"), B_ft = get("B_in") / 12.0, L_ft = get("L_ft");
	double length, error;

	assert_int_equal(firn_fin_length(1.0 / h, k * B_ft, &length), FIRN_OK);
	assert_int_equal(firn_fin_tip_error(L_ft, length, &error), FIRN_OK);
	/* (Ti - Tgas) = error (Tw - Tgas) */
	return (get("Ti_F") - error * get("Tw_F")) / (1.0 - error);
}

/* Rows of a comparison that take part. */
static size_t comparison(const char *set, struct firn_stated *ret)
{
	struct table rows = table_open("comparisons.csv");
	size_t n = 0;

	while (table_next(&rows))
		if (strcmp(rows.fields[0], set) == 0 && table_number(&rows, 4) == 1.0)
			ret[n++] =
			    (struct firn_stated){ table_number(&rows, 2), table_number(&rows, 3) };
	return n;
}

static double consensus(void)
{
	struct firn_stated values[32];
	struct firn_consensus x;
	struct firn_consistency test;
	double s;

	if (strncmp(find("set"), "lead", 4) == 0) {
		const size_t n = comparison("lead", values);

		assert_int_equal(firn_arithmetic_mean(n, values, &x, &s), FIRN_OK);
		return quantity_is("KCRV") ? x.x
					   : firn_coverage_factor(0.95, (double)n - 1.0) * x.u;
	}
	const size_t n = comparison("aluminium", values);
	assert_int_equal(firn_weighted_mean(n, values, &x), FIRN_OK);
	assert_int_equal(firn_consistency(n, values, &test), FIRN_OK);
	return quantity_is("chi-squared") ? test.chi2 : x.x;
}

/* The terms of a printed budget are inputs of a sum. */
static double root_sum_square(void)
{
	struct firn_node terms[16];
	size_t n = 0;

	for (const char *at = find("terms"); at != NULL && n < COUNT(terms);
	     at = strchr(at + 1, ' '))
		terms[n++] = input_u(0.0, number_at(at + (*at == ' ' ? 1 : 0)));
	assert_true(n >= 8);
	return firn_u(firn_sum(n, terms));
}

static double water(void)
{
	struct firn_water_state liquid, vapour, ice;
	double p, density, cp;

	if (row_is("G12")) {
		assert_int_equal(firn_water_supercooled(get("T"), get("p"), &density, &cp),
				 FIRN_OK);
		return quantity_is("cp") ? 1e-3 * cp : density;
	}
	if (row_is("I06")) {
		assert_int_equal(firn_ice(get("T"), get("p"), &ice), FIRN_OK);
		return quantity_is("density")    ? ice.density_kg_per_m3
		       : quantity_is("enthalpy") ? 1e-3 * ice.enthalpy_J_per_kg
		       : quantity_is("cp")       ? 1e-3 * ice.cp_J_per_kgK
						 : 1e-3 * ice.entropy_J_per_kgK;
	}
	assert_int_equal(firn_water_saturation(get("T"), &p, &liquid, &vapour), FIRN_OK);
	return row_is("I9500")   ? liquid.density_kg_per_m3
	       : row_is("I9501") ? p
	       : row_is("I9502") ? 1e-3 * liquid.enthalpy_J_per_kg
				 : 1e-3 * vapour.enthalpy_J_per_kg;
}

static double cryoscopic_of_host(void)
{
	const char *host = find("host");
	char name[8] = "";
	double A;

	memcpy(name, host, strcspn(host, ";"));
	assert_int_equal(firn_cryoscopic_constant(name, &A), FIRN_OK);
	if (find("A") != NULL)
		assert_near(A, get("A"), 0.0); /* as printed in the same table */
	return A;
}

static double maximum(void)
{
	struct firn_node dt;

	assert_int_equal(firn_impurity_maximum(tape, "x", get("c"), cryoscopic_of_host(), &dt),
			 FIRN_OK);
	return 1e3 * firn_u(dt);
}

static double individual(void)
{
	static const char *const names[] = { "c1", "c2", "c3", "k1", "k2", "k3" };
	const double A = cryoscopic_of_host();
	struct firn_node x[3], k[3], slope[3], dt;

	if (quantity_is("Delta T_OME")) { /* u = dT/sqrt(3), equation (12) */
		assert_int_equal(
		    firn_impurity_maximum(tape, "x", get("c1") + get("c2") + get("c3"), A, &dt),
		    FIRN_OK);
		return 1e6 * sqrt(3.0) * firn_u(dt);
	}
	for (size_t i = 0; i < 3; i++) {
		x[i] = given(names[i], 1.0);
		k[i] = given(names[3 + i], 1.0);
		assert_int_equal(firn_liquidus_slope(A, k[i], &slope[i]), FIRN_OK);
	}
	if (row_is("SIE00"))
		assert_int_equal(firn_impurities(3, x, slope, &dt), FIRN_OK);
	else
		assert_int_equal(firn_impurities_left(3, x, slope, k, given("F", 1.0), &dt),
				 FIRN_OK);
	return -1e6 * firn_value(dt);
}

static double effective_k(void)
{
	const struct firn_node k = given("k0", 1.0), mixing = given("vd_over_D", 1.0);
	struct firn_node got;

	assert_int_equal(firn_effective_k(k, mixing, &got), FIRN_OK);
	return firn_value(got);
}

static double degrees_of_freedom(void)
{
	double dof;

	assert_int_equal(firn_estimated_dof(get("q"), &dof), FIRN_OK);
	return dof;
}

static double mantle_age(void)
{
	double bound_K;

	assert_int_equal(firn_mantle_age_bound(FIRN_MANTLE_SLOW, get("t_d"), &bound_K), FIRN_OK);
	return 1e3 * bound_K;
}

/* The first prefix that fits. */
static const struct {
	const char *prefix;
	double (*compute)(void);
	int rows;
} topics[] = {
	{ "HYD", head, 6 },
	{ "ISO", isotopes, 15 },
	{ "FRA", fractionation, 6 },
	{ "CRY", cryoscopic, 3 },
	{ "GAS", gas, 3 },
	{ "BUB", bubble, 3 },
	{ "SH", self_heating, 6 },
	{ "NUC", nucleation, 9 },
	{ "NEU", neumann, 10 },
	{ "CYL", cylinder, 5 },
	{ "FIN", fin, 1 },
	{ "CMP", consensus, 4 },
	{ "RSS", root_sum_square, 8 },
	{ "I", water, 8 },
	{ "G12", water, 2 },
	{ "OME", maximum, 7 },
	{ "SIE", individual, 3 },
	{ "KEFF", effective_k, 1 },
	{ "DOF", degrees_of_freedom, 4 },
	{ "PRE", pressure, 3 },
	{ "AGE", mantle_age, 1 },
};

static void test_rows(void **state)
{
	int seen[COUNT(topics)] = { 0 };

	(void)state;
	table = table_open("realisation-checks.csv");
	while (table_next(&table)) {
		size_t k = 0;

		while (k < COUNT(topics) && !row_is(topics[k].prefix))
			k++;
		if (k == COUNT(topics))
			fail_msg("%s: nobody computes it", table.fields[0]);
		seen[k]++;
		tape = firn_tape_new();
		assert_non_null(tape);
		const double got = topics[k].compute(), want = table_number(&table, 3),
			     tolerance = table_number(&table, 5);
		/* a computed number may sit just on the last printed digit */
		if (!(fabs(got - want) <= tolerance + 1e-15 * fabs(want)))
			fail_msg("%s, %s: got %.17g, want %.17g within %g", table.fields[0],
				 table.fields[2], got, want, tolerance);
		firn_tape_free(tape);
	}
	for (size_t k = 0; k < COUNT(topics); k++)
		if (seen[k] != topics[k].rows)
			fail_msg("%s: %d rows of %d", topics[k].prefix, seen[k], topics[k].rows);
}

int main(void)
{
	const struct CMUnitTest tests[] = { cmocka_unit_test(test_rows) };

	return cmocka_run_group_tests_name("realisation checks", tests, NULL, NULL);
}
