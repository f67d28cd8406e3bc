#include "tests/support/near.h"
#include "firn/tape.h"

#include <stdio.h>
#include <string.h>

static struct firn_node input(struct firn_tape *tape, const char *name, double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = name, .value = value, .u = u });
}

static int new_tape(void **state)
{
	*state = firn_tape_new();
	return *state == NULL;
}

static int free_tape(void **state)
{
	firn_tape_free(*state);
	return 0;
}

/* Derivatives by the rules of calculus at x = 0.7, y = 1.9, worked with mpmath at 30 digits and
 * printed to 17. */
static const struct {
	const char *formula;
	double value, dx, dy;
} formulas[] = {
	{ "x + y", 2.6, 1.0, 1.0 },
	{ "x - y", -1.2, 1.0, -1.0 },
	{ "x*y", 1.33, 1.9, 0.7 },
	{ "x/y", 0.36842105263157895, 0.52631578947368421, -0.19390581717451524 },
	{ "-x^2 + 0*y", -0.49, -1.4, 0.0 },
	{ "y^x", 1.5672111783641802, 1.0059205852858672, 0.57739359202890848 },
	{ "2^-1*x + y^-2", 0.62700831024930748, 0.5, -0.29158769499927103 },
	{ "y^3^1*1e0*x", 4.8013, 6.859, 7.581 },
	{ "sqrt(x) + sqrt(y)", 2.2150649017430977, 0.59761430466719682, 0.36273812505500584 },
	{ "exp(x)*ln(y)", 1.292535001080107, 1.292535001080107, 1.0598698460370929 },
	{ "log10(x*y)", 0.12385164096708579, 0.6204206884332169, 0.22857604310697465 },
	{ "sin(x)*cos(y)", -0.20826885707288106, -0.24726549944613683, -0.60962325392281041 },
	{ "tan(x) + atan(y)", 1.9286067782209529, 1.7094497158631173, 0.21691973969631236 },
	{ "asin(x) + acos(x/y)", 1.9688837910459004, 0.83414156695571193, 0.20857734839505711 },
	{ "abs(x - y) + min(x, y) + max(x, y, 0.1)", 3.8, 0.0, 2.0 },
	{ "(x + y)*(x - y)", -3.12, 1.4, -3.8 },
};

static void test_formulas(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node x = input(tape, "x", 0.7, 0.1), y = input(tape, "y", 1.9, 0.1);

	for (size_t i = 0; i < sizeof(formulas) / sizeof(formulas[0]); i++) {
		struct firn_node z = firn_formula("x + y", x, y);
		const char *names = "x, y";

		z = firn_formula_named(formulas[i].formula, names,
				       strstr(formulas[i].formula, "y") ? 2 : 1,
				       (struct firn_node[]){ x, y });
		if (firn_tape_status(tape) < 0)
			fail_msg("%s: %s", formulas[i].formula, firn_tape_message(tape));
		/* A few roundings of numbers below 8. */
		assert_near(firn_value(z), formulas[i].value, 2e-15);
		assert_near(firn_sensitivity(z, x), formulas[i].dx, 4e-15);
		assert_near(firn_sensitivity(z, y), formulas[i].dy, 4e-15);
		/* and the derivatives against displaced values: the step of 1e-6 leaves 1e-9 */
		const double h = 1e-6;
		struct firn_node x1 = input(tape, "x1", 0.7 + h, 0.0),
				 x2 = input(tape, "x2", 0.7 - h, 0.0);
		const struct firn_node up = firn_formula_named(formulas[i].formula, names, 2,
							       (struct firn_node[]){ x1, y });
		const struct firn_node down = firn_formula_named(formulas[i].formula, names, 2,
								 (struct firn_node[]){ x2, y });
		assert_near((firn_value(up) - firn_value(down)) / (2.0 * h), formulas[i].dx, 1e-8);
	}
}

static const struct {
	const char *formula;
	int column;
	const char *part;
} wrong[] = {
	{ "x + z", 5, "known" },
	{ "x +", 4, "ends" },
	{ "x + * y", 5, "begins" },
	{ "(x + y", 7, "still open" },
	{ "x + y)", 6, "never opened" },
	{ "x y", 3, "operator is missing" },
	{ "root(x) + y", 1, "function" },
	{ "sqrt(x, y)", 7, "one argument" },
	{ "min(x) + y", 6, "two or more" },
	{ "x + 1,5*y", 6, "decimal sign" },
	{ "x = y = 1", 7, "second =" },
	{ "x + y + 2e", 10, "operator between" },
	{ "x + y - 1e999", 9, "too large" },
	{ "ln(x - y)", 1, "finite" },
	{ "x + y - (2*--x - )", 18, "begins" },
	{ "1 + x/(y - y)", 6, "finite" },
	{ "", 1, "ends" },
};

static void test_wrong_formulas(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); i++) {
		struct firn_tape *tape = firn_tape_new();
		const struct firn_node x = input(tape, "x", 0.7, 0.1),
				       y = input(tape, "y", 1.9, 0.1);
		const struct firn_node z =
		    firn_formula_named(wrong[i].formula, "x, y", 2, (struct firn_node[]){ x, y });

		if (firn_tape_status(tape) >= 0)
			fail_msg("%s was read without complaint", wrong[i].formula);
		assert_true(isnan(firn_value(z)) && isnan(firn_value(x)));
		if (firn_tape_message_column(tape) != wrong[i].column ||
		    strstr(firn_tape_message(tape), wrong[i].part) == NULL)
			fail_msg("%s: column %d, %s", wrong[i].formula,
				 firn_tape_message_column(tape), firn_tape_message(tape));
		firn_tape_free(tape);
	}
}

/* Names of arguments are those of the variables, members included; each must be used, once. */
static void test_argument_names(void **state)
{
	struct firn_tape *tape = *state;
	struct {
		struct firn_node head_m;
	} v = { input(tape, "h", 0.265, 0.001) }, *p = &v;
	const struct firn_node a = input(tape, "a", -0.73e-3, 0.0);
	const struct firn_node dt = firn_formula("dT_K = a*head_m", a, p->head_m);
	struct firn_explanation e;

	assert_near(firn_value(dt), -1.9345e-4, 1e-19);
	assert_int_equal(firn_explain(dt, &e), FIRN_OK);
	assert_string_equal(e.name, "dT_K");
	assert_string_equal(e.formula, "a*head_m");
	assert_int_equal(e.n_arguments, 2);
	assert_string_equal(e.argument_names[1], "head_m");
	assert_int_equal(e.arguments[1].index, v.head_m.index);
	firn_formula_named("a*2", "a, b", 2, (struct firn_node[]){ a, v.head_m });
	assert_int_equal(firn_tape_status(tape), FIRN_E_FORMULA);
	assert_non_null(strstr(firn_tape_message(tape), "b is not used"));
}

static void test_constants_fold(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node two = firn_constant(tape, 2.0);
	const struct firn_node four = firn_formula("two*two", two);
	struct firn_budget_line line;
	size_t n = 9;

	assert_near(firn_value(four), 4.0, 0.0);
	assert_near(firn_u(four), 0.0, 0.0);
	assert_int_equal(firn_budget(four, 1, &line, &n), FIRN_OK);
	assert_int_equal(n, 0);
}

/* JCGM 100:2008, 5.2.2, example: ten resistors of 1000 ohm calibrated with one standard, u = 100
   mohm, in series: u of the sum is 1 ohm when they are fully correlated, 0.32 ohm when not. */
static void test_ten_resistors(void **state)
{
	struct firn_tape *tape = *state;
	struct firn_node r[10];
	double ones[10];

	for (int i = 0; i < 10; i++) {
		char name[8];

		snprintf(name, sizeof(name), "R%d", i);
		r[i] = input(tape, name, 1000.0, 0.1);
		ones[i] = 1.0;
	}
	assert_near(firn_u(firn_sum(10, r)), 0.31622776601683794, 1e-15);
	for (int i = 0; i < 10; i++)
		for (int j = 0; j < i; j++)
			assert_int_equal(firn_tape_correlate(r[i], r[j], 1.0), FIRN_OK);
	assert_near(firn_u(firn_sum(10, r)), 1.0, 1e-15);
	assert_near(firn_u(firn_linear(10, ones, r)), 1.0, 1e-15);
	assert_near(firn_u(firn_sub(r[0], r[1])), 0.0, 1e-9); /* exactly alike: nothing is left */
}

static void test_impossible_correlations(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node a = input(tape, "a", 1, 1), b = input(tape, "b", 1, 1),
			       c = input(tape, "c", 1, 1);
	const struct firn_node s = firn_formula("a + b + c", a, b, c);

	assert_int_equal(firn_tape_correlate(a, b, 0.6), FIRN_OK);
	assert_int_equal(firn_tape_correlate(b, c, 0.6), FIRN_OK);
	assert_near(firn_u(s), sqrt(3.0 + 2.4), 1e-15);
	assert_int_equal(firn_tape_correlate(a, c, -0.9), FIRN_OK);
	assert_true(isnan(firn_u(s)));
	assert_int_equal(firn_tape_status(tape), FIRN_E_CORRELATION);
	assert_non_null(strstr(firn_tape_message(tape), "a"));
}

/* H.2 of JCGM 100:2008 has five sets of readings taken together; with all paired, the degrees of
   freedom of any result are those of one set. Made-up numbers; the rule by reasoning: a linear
   function of the sets is itself a set of n readings. */
static void test_paired(void **state)
{
	struct firn_tape *tape = *state;
	struct firn_node a = firn_tape_input(
	    tape, &(struct firn_input){ .name = "a", .value = 1, .u = 0.3, .dof = 4 });
	struct firn_node b = firn_tape_input(
	    tape, &(struct firn_input){ .name = "b", .value = 2, .u = 0.4, .dof = 4 });
	const struct firn_node s = firn_formula("a + b", a, b);
	double u, dof;

	/* Apart: (0.09 + 0.16)^2/(0.09^2/4 + 0.16^2/4) */
	assert_int_equal(firn_u_dof(s, &u, &dof), FIRN_OK);
	assert_near(dof, 7.4183976261127596, 1e-13);
	assert_int_equal(firn_tape_pair(a, b), FIRN_OK);
	assert_int_equal(firn_tape_correlate(a, b, -0.5), FIRN_OK);
	assert_int_equal(firn_u_dof(s, &u, &dof), FIRN_OK);
	assert_near(u, sqrt(0.09 + 0.16 - 0.12), 1e-15);
	assert_near(dof, 4.0, 1e-13);
}

/* Correlated but not read together: each input has its own dof. q alone keeps its 50, whatever it
   is correlated with; for q + s the shares are c_q^2 + r c_q c_s and c_s^2 + r c_q c_s. */
static void test_dof_of_correlated(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node q =
	    firn_tape_input(tape, &(struct firn_input){ .name = "q", .u = 0.3, .dof = 50 });
	const struct firn_node s =
	    firn_tape_input(tape, &(struct firn_input){ .name = "s", .u = 0.4, .dof = 2 });
	const struct firn_node both = firn_formula("q + s", q, s);
	const double share_q = 0.09 + 0.5 * 0.12, share_s = 0.16 + 0.5 * 0.12,
		     v = share_q + share_s;
	double u, dof;

	assert_int_equal(firn_tape_correlate(q, s, 0.5), FIRN_OK);
	assert_int_equal(firn_u_dof(q, &u, &dof), FIRN_OK);
	assert_near(dof, 50.0, 1e-12);
	assert_int_equal(firn_u_dof(both, &u, &dof), FIRN_OK);
	assert_near(u, sqrt(v), 1e-15);
	assert_near(dof, v * v / (share_q * share_q / 50.0 + share_s * share_s / 2.0), 1e-12);
	/* sizes whose squares are no doubles, found by fuzzing */
	const struct firn_node tiny = firn_formula("(q + s)*1e-200", q, s);
	assert_int_equal(firn_u_dof(tiny, &u, &dof), FIRN_OK);
	assert_near(u, 1e-200 * sqrt(v), 1e-214);
	assert_near(dof, v * v / (share_q * share_q / 50.0 + share_s * share_s / 2.0), 1e-10);
	const struct firn_node huge = firn_formula("(q + s)*1e200", q, s);
	assert_int_equal(firn_u_dof(huge, &u, &dof), FIRN_OK);
	assert_near(u, 1e200 * sqrt(v), 1e186);
}

/* The straight line of JCGM 100:2008, H.3, through two exact points and least squares through four:
   slope and intercept by the closed form, sensitivities by displacement. */
static void test_least_squares(void **state)
{
	struct firn_tape *tape = *state;
	const double x[] = { 1, 2, 4, 7 }, y[] = { 1.1, 2.3, 3.8, 7.4 };
	struct firn_node a[8], b[4], line[2];

	for (int i = 0; i < 4; i++) {
		a[2 * i] = firn_constant(tape, 1.0);
		a[2 * i + 1] = input(tape, "x", x[i], 0.0);
		b[i] = input(tape, "y", y[i], 0.1);
	}
	firn_least_squares(4, 2, a, b, line);
	/* slope Sxy/Sxx with mean x 3.5, mean y 3.65: 21.6/21 (worked by hand) */
	assert_near(firn_value(line[1]), 21.6 / 21.0, 1e-15);
	assert_near(firn_value(line[0]), 3.65 - 3.5 * 21.6 / 21.0, 4e-15);
	/* u(slope) = u/sqrt(Sxx) */
	assert_near(firn_u(line[1]), 0.1 / sqrt(21.0), 1e-16);
	assert_near(firn_sensitivity(line[1], b[3]), 3.5 / 21.0, 1e-15);
	/* d(slope)/dx_i = (y_i - ybar)/Sxx - 2 slope (x_i - xbar)/Sxx */
	assert_near(firn_sensitivity(line[1], a[7]), (7.4 - 3.65 - 2.0 * 21.6 / 21.0 * 3.5) / 21.0,
		    1e-14);
	/* Both slots at once: the sum must see the adjoints of both. */
	const struct firn_node at2 = firn_add(line[0], firn_add(line[1], line[1]));
	const double s0 = firn_sensitivity(line[0], b[0]), s1 = firn_sensitivity(line[1], b[0]);
	assert_near(firn_sensitivity(at2, b[0]), s0 + 2.0 * s1, 1e-15);
	/* and a sweep that starts at the first slot does not see its neighbour */
	assert_near(s0, 0.25 + 3.5 * 2.5 / 21.0, 1e-14);
}

static void test_singular(void **state)
{
	struct firn_tape *tape = *state;
	struct firn_node a[4], b[2], x[2];

	for (int i = 0; i < 4; i++)
		a[i] = input(tape, "a", i < 2 ? i + 1.0 : 2.0 * (i - 1.0), 0.0); /* 1 2; 2 4 */
	b[0] = b[1] = a[0];
	firn_least_squares(2, 2, a, b, x);
	assert_int_equal(firn_tape_status(tape), FIRN_E_SINGULAR);
	assert_true(isnan(firn_value(x[0])) && isnan(firn_value(x[1])));
}

static struct firn_node names[3];

static struct firn_node find(void *context, const char *name, size_t length)
{
	(void)context;
	return length == 1 && *name >= 'p' && *name <= 'r' ? names[*name - 'p']
							   : (struct firn_node){ 0 };
}

/* x^2 + p x = q has x = -p/2 + sqrt(p^2/4 + q): the closed form and its derivatives. */
static void test_root(void **state)
{
	struct firn_tape *tape = *state;
	const double p = 3.0, q = 10.0, s = sqrt(p * p / 4.0 + q);

	names[0] = input(tape, "p", p, 0.01);
	names[1] = input(tape, "q", q, 0.02);
	const struct firn_node x = firn_root(tape, "x^2 + p*x = q", "x", 1.0, find, NULL);
	assert_near(firn_value(x), 2.0, 4.4e-16);
	assert_near(firn_sensitivity(x, names[0]), -0.5 + p / (4.0 * s), 1e-15);
	assert_near(firn_sensitivity(x, names[1]), 0.5 / s, 1e-15);
	const struct firn_node twice = firn_formula("2*x", x);
	assert_near(firn_u(twice), 2.0 * hypot(0.01 * (0.5 - p / (4.0 * s)), 0.02 * 0.5 / s),
		    1e-16);
	struct firn_explanation e;
	assert_int_equal(firn_explain(x, &e), FIRN_OK);
	assert_string_equal(e.name, "x");
	assert_int_equal(e.n_arguments, 2);
}

static const struct {
	const char *equation;
	double near;
	enum firn_status want;
} no_roots[] = {
	{ "x^2 + 1 = 0*p", 1.0, FIRN_E_SINGULAR }, { "p = q", 1.0, FIRN_E_FORMULA },
	{ "x + p", 1.0, FIRN_E_FORMULA },          { "x = y", 1.0, FIRN_E_FORMULA },
	{ "ln(x) = p", -1.0, FIRN_E_DOMAIN },      { "x - x = p", 1.0, FIRN_E_SINGULAR },
};

static void test_no_root(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof(no_roots) / sizeof(no_roots[0]); i++) {
		struct firn_tape *tape = firn_tape_new();

		names[0] = input(tape, "p", 3.0, 0.01);
		names[1] = input(tape, "q", 10.0, 0.01);
		firn_root(tape, no_roots[i].equation, "x", no_roots[i].near, find, NULL);
		if (firn_tape_status(tape) != no_roots[i].want)
			fail_msg("%s: %s", no_roots[i].equation, firn_tape_message(tape));
		firn_tape_free(tape);
	}
}

/* JCGM 100:2008, Table G.2 (and reference values of Student's t), for whole degrees of freedom;
   16.7 is cut to 16 as in H.1.6: t99(16) = 2.92. */
static void test_coverage(void **state)
{
	(void)state;
	assert_near(firn_coverage_factor(0.95, 0.0), 1.959963984540054, 1e-14);
	assert_near(firn_coverage_factor(0.95, (double)INFINITY), 1.959963984540054, 1e-14);
	assert_near(firn_coverage_factor(0.95, 1.0), 12.706204736174694, 1e-10);
	assert_near(firn_coverage_factor(0.9545, 10.0), 2.28, 0.005);
	assert_near(firn_coverage_factor(0.99, 16.7), 2.92, 0.005);
	assert_true(isnan(firn_coverage_factor(1.0, 5.0)) &&
		    isnan(firn_coverage_factor(0.95, -1.0)) &&
		    isnan(firn_coverage_factor((double)NAN, 5.0)));
}

static void test_foreign(void **state)
{
	struct firn_tape *tape = *state, *other = firn_tape_new();
	const struct firn_node a = input(tape, "a", 1, 1), b = input(other, "b", 1, 1);

	firn_add(a, b);
	assert_int_equal(firn_tape_status(tape), FIRN_E_FOREIGN);
	assert_int_equal(firn_tape_status(other), FIRN_E_FOREIGN);
	firn_tape_free(other);
}

/* A shared input appears once, whatever way it came in: budget and covariance agree with u. */
static void test_budget(void **state)
{
	struct firn_tape *tape = *state;
	const struct firn_node a = input(tape, "a", 2, 0.1), b = input(tape, "b", 3, 0.3);
	const struct firn_node p = firn_formula("a*b", a, b), q = firn_formula("a + b", a, b);
	struct firn_budget_line lines[4];
	double cov[4];
	size_t n;

	assert_int_equal(firn_budget(p, 4, lines, &n), FIRN_OK);
	assert_int_equal(n, 2);
	assert_int_equal(lines[0].input.index, b.index);
	assert_near(lines[0].sensitivity, 2.0, 0.0);
	assert_near(lines[0].contribution, 0.6, 1e-16);
	assert_near(lines[1].contribution, 0.3, 1e-16);
	assert_int_equal(firn_covariance(2, (struct firn_node[]){ p, q }, cov), FIRN_OK);
	assert_near(cov[0], 0.45, 1e-15);
	assert_near(cov[1], 3.0 * 0.01 + 2.0 * 0.09, 1e-16);
	assert_near(cov[2], cov[1], 0.0);
	const struct firn_node zero = firn_constant(tape, 0.0),
			       none = firn_formula("a*zero + b", a, zero, b);
	assert_true(firn_depends(none, a) && firn_depends(none, b) && firn_depends(a, a));
	assert_false(firn_depends(a, b) || firn_depends(zero, a));
	assert_near(firn_u(p) * firn_u(p), cov[0], 1e-15);
}

/* JCGM 101:2008, Table 1: standard uncertainties of the distributions. */
static void test_distributions(void **state)
{
	double value, u;
	const struct firn_input limits = { .low = -1.0, .high = 3.0, .shape = 0.5 };
	struct firn_input x = limits;

	(void)state;
	x.distribution = FIRN_RECTANGULAR;
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(value, 1.0, 0.0);
	assert_near(u, 4.0 / sqrt(12.0), 1e-15);
	x.distribution = FIRN_TRIANGULAR;
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(u, 4.0 / sqrt(24.0), 1e-15);
	x.distribution = FIRN_TRAPEZOIDAL;
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(u, 4.0 * sqrt(1.25 / 24.0), 1e-15);
	x.distribution = FIRN_ARCSINE;
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(u, 4.0 / sqrt(8.0), 1e-15);
	x.distribution = FIRN_CURVILINEAR_TRAPEZOID;
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(u, sqrt(16.0 / 12.0 + 0.25 / 9.0), 1e-15);
	x = (struct firn_input){ .distribution = FIRN_EXPONENTIAL, .value = 4.0 };
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(u, 4.0, 0.0);
	x = (struct firn_input){ .distribution = FIRN_GAMMA, .shape = 9.0, .u = 2.0 };
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_OK);
	assert_near(value, 18.0, 0.0);
	assert_near(u, 6.0, 0.0);
	x = (struct firn_input){ .distribution = FIRN_RECTANGULAR, .low = 2.0, .high = 1.0 };
	assert_int_equal(firn_distribution_moments(&x, &value, &u), FIRN_E_DOMAIN);
}

/* What plain doubles lose is kept: sums that cancel, a product's last digits, what an input and a
   constant left of their decimals, and an ill-conditioned system (Hilbert's of order 6, right side
   1, whose solution is -6 210 -1680 5040 -6300 2772: Choi, Am. Math. Monthly 90 (1983), by the
   closed form of its inverse). */
static void test_refined_values(void **state)
{
	static const double hilbert[] = { -6, 210, -1680, 5040, -6300, 2772 };
	struct firn_tape *tape = *state;
	const struct firn_node big = input(tape, "big", 1e16, 0.0),
			       one = input(tape, "one", 1.0, 0.0);
	const struct firn_node third = firn_tape_input(
	    tape, &(struct firn_input){
		      .name = "third", .value = 1.0 / 3.0, .rest = 1.850371707708594e-17 });
	const struct firn_node tenth = firn_constant_twofold(tape, 0.1, -5.551115123125783e-18);
	const struct firn_node small = firn_formula("(big + one) - big", big, one);
	const struct firn_node square = firn_formula("(third*third*9 - one)*one", third, one);
	const struct firn_node ten = firn_formula("(one - 10*tenth) + 0*one", one, tenth);
	const struct firn_node log =
	    firn_formula("ln(big*(one + third)) - ln(big)", big, one, third);
	struct firn_node a[36], b[6], all[10];
	double got[10];

	for (int i = 0; i < 6; i++) {
		b[i] = one;
		for (int j = 0; j < 6; j++) {
			const struct firn_node n = firn_constant(tape, i + j + 1.0);

			a[6 * i + j] = firn_formula("one/n", one, n);
		}
	}
	firn_least_squares(6, 6, a, b, all);
	all[6] = small;
	all[7] = square;
	all[8] = ten;
	all[9] = log;
	assert_int_equal(firn_refined_values(10, all, got), FIRN_OK);
	for (int i = 0; i < 6; i++)
		assert_near(got[i], hilbert[i], 1e-12 * fabs(hilbert[i]));
	assert_true(fabs(firn_value(all[2]) - hilbert[2]) >
		    1e-10); /* the plain solution has lost them */
	assert_near(firn_value(small), 0.0, 0.0);
	assert_near(got[6], 1.0, 0.0);
	assert_near(got[7], 0.0, 1e-31);
	assert_near(got[8], 0.0, 1e-32);
	assert_near(got[9], 0.28768207245178093, 8e-15); /* ln(4/3), of logarithms near 37 */
	all[1].tape = NULL;
	assert_int_equal(firn_refined_values(2, all, got), FIRN_E_FOREIGN);
}

#define ON_TAPE(test) cmocka_unit_test_setup_teardown(test, new_tape, free_tape)

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_TAPE(test_formulas),       ON_TAPE(test_wrong_formulas),
		ON_TAPE(test_argument_names), ON_TAPE(test_constants_fold),
		ON_TAPE(test_ten_resistors),  ON_TAPE(test_impossible_correlations),
		ON_TAPE(test_paired),         ON_TAPE(test_dof_of_correlated),
		ON_TAPE(test_least_squares),  ON_TAPE(test_singular),
		ON_TAPE(test_root),           ON_TAPE(test_no_root),
		ON_TAPE(test_coverage),       ON_TAPE(test_foreign),
		ON_TAPE(test_budget),         ON_TAPE(test_distributions),
		ON_TAPE(test_refined_values),
	};

	return cmocka_run_group_tests_name("tape", tests, NULL, NULL);
}
