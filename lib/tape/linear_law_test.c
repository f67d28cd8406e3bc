#include "firn/linear_law.h"
#include "tests/support/near.h"

#include <stdio.h>

/* 97.5 % points: of the standard normal; of t with 3 degrees of freedom (JCGM 100, Table
 * G.2: 3.18). */
#define Z    1.959963984540054
#define T3   3.182446305284263
#define MOST 6

struct fixture {
	struct firn_tape *tape;
	struct firn_linear_law_cause causes[MOST];
	size_t n;
};

static int set_up(void **state)
{
	static struct fixture f;

	f = (struct fixture){ .tape = firn_tape_new() };
	*state = &f;
	return f.tape == NULL;
}

static int tear_down(void **state)
{
	firn_tape_free(((struct fixture *)*state)->tape);
	return 0;
}

static struct firn_node normal(const struct fixture *f, const char *name, double value, double u,
			       double dof)
{
	return firn_tape_input(
	    f->tape, &(struct firn_input){ .name = name, .value = value, .u = u, .dof = dof });
}

static struct firn_node rectangular(const struct fixture *f, const char *name, double low,
				    double high)
{
	return firn_tape_input(f->tape, &(struct firn_input){ .name = name,
							      .distribution = FIRN_RECTANGULAR,
							      .low = low,
							      .high = high });
}

static void find(struct fixture *f, struct firn_node y, double k, double least)
{
	assert_int_equal(firn_tape_status(f->tape), FIRN_OK);
	assert_int_equal(firn_linear_law_causes(y, 0.95, k, least, MOST, f->causes, &f->n),
			 FIRN_OK);
}

static void assert_cause(const struct fixture *f, size_t i, enum firn_linear_law_reason reason,
			 const char *a, const char *b)
{
	struct firn_input said;

	assert_in_range(i, 0, f->n - 1);
	assert_int_equal(f->causes[i].reason, reason);
	assert_int_equal(firn_tape_input_of(f->causes[i].a, &said), FIRN_OK);
	assert_string_equal(said.name, a);
	assert_int_equal(f->causes[i].b.index == 0, b == NULL);
	if (b == NULL)
		return;
	assert_int_equal(firn_tape_input_of(f->causes[i].b, &said), FIRN_OK);
	assert_string_equal(said.name, b);
}

/* The tangent of x^2 at 0 is 0: the root mean square of x^2 is sqrt(3) u^2 for a normal x, here
   less what lies beyond 128 quantiles (some 2 %). */
static void test_one_sided(void **state)
{
	struct fixture *f = *state;
	const struct firn_node x = normal(f, "x", 0.0, 0.5, 0.0),
			       w = normal(f, "w", 9.0, 1e-3, 0.0);

	find(f, firn_formula("x^2 + w", x, w), Z, 1e-4);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_ONE_SIDED, "x", NULL);
	assert_near_relative(f->causes[0].size, sqrt(3.0) * 0.25, 0.05);
	find(f, firn_formula("max(x, 0)", x), Z,
	     1e-4); /* at the edge, where one side does nothing */
	assert_cause(f, 0, FIRN_LAW_ONE_SIDED, "x", NULL);
	find(f, firn_formula("abs(x) - 3*w", x, w), Z, 1e-4);
	assert_cause(f, 0, FIRN_LAW_ONE_SIDED, "x", NULL);
}

/* exp(x) departs from its tangent by x^2/2: u^2/2 times the root mean square of z^2, sqrt(3). */
static void test_bent(void **state)
{
	struct fixture *f = *state;
	const struct firn_node x = normal(f, "x", 0.0, 0.1, 0.0);

	find(f, firn_formula("exp(x)", x), Z, 1e-4);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_BENT, "x", NULL);
	assert_near_relative(f->causes[0].size, sqrt(3.0) * 0.005, 0.05);
	find(f, firn_formula("exp(x)", x), Z, 0.01);
	assert_int_equal(f->n, 0); /* too small to matter */
}

/* The mixed difference of a b is exactly u(a) u(b). */
static void test_product(void **state)
{
	struct fixture *f = *state;
	const struct firn_node a = normal(f, "a", 0.0, 0.5, 0.0), b = normal(f, "b", 0.0, 4.0, 0.0),
			       c = normal(f, "c", 1.0, 0.125, 0.0);

	find(f, firn_formula("c + a*b", a, b, c), Z, 1e-4);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_PRODUCT, "a", "b");
	assert_near(f->causes[0].size, 2.0, 1e-15);
	assert_near(f->causes[0].part, 0.0, 0.0);
	const struct firn_node d = normal(f, "d", 0.25, 4.0, 0.0);
	find(f, firn_formula("d*a", a, d), Z, 1e-4); /* a alone moves 0.25 times 0.5, d nothing */
	assert_cause(f, 0, FIRN_LAW_PRODUCT, "a", "d");
	assert_near(f->causes[0].part, 0.0, 0.0);
	find(f, firn_formula("c*d", c, d), Z, 1e-4); /* c 0.03125, d 4, their product 0.5 */
	assert_near(f->causes[0].part, 0.0625, 1e-15);
}

/* JCGM 101:2008, 9.3: at rho_a = 1.2 kg/m3 the density of the weight has no slope, though it moves
   the mass of 100 g by (rho_a - 1.2)/rho_W. */
static void test_mass(void **state)
{
	struct fixture *f = *state;
	const struct firn_node m = normal(f, "m", 100000.0, 0.05, 0.0),
			       d = normal(f, "d", 1.234, 0.02, 0.0),
			       air = rectangular(f, "air", 1.1, 1.3),
			       weight = rectangular(f, "weight", 7000.0, 9000.0),
			       reference = rectangular(f, "reference", 7950.0, 8050.0);

	find(f,
	     firn_formula("(m + d)*(1 + (air - 1.2)*(1/weight - 1/reference)) - 100000", m, d, air,
			  weight, reference),
	     Z, 0.001);
	assert_cause(f, 0, FIRN_LAW_PRODUCT, "air", "weight");
	/* u(air) u(weight) 1e5/8000^2, and 1/(1 - 1/192) for the bend of 1/weight over u */
	assert_near_relative(f->causes[0].size, 0.2 / sqrt(12.0) * 2000.0 / sqrt(12.0) * 1e5 / 64e6,
			     0.01);
}

/* Zero power from two currents 10 % apart, each known to 2 %: i2^2 - i1^2 = 0.21, u 0.06. */
static void test_divisor(void **state)
{
	struct fixture *f = *state;
	const struct firn_node r1 = normal(f, "r1", 25.5001, 1e-6, 0.0),
			       r2 = normal(f, "r2", 25.500121, 1e-6, 0.0),
			       i1 = normal(f, "i1", 1.0, 0.02, 0.0),
			       i2 = normal(f, "i2", 1.1, 0.02, 0.0);

	find(f, firn_formula("(r1*i2^2 - r2*i1^2)/(i2^2 - i1^2)", r1, r2, i1, i2), Z, 1e-7);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_DIVISOR, "i2", "i1");
	assert_near_relative(f->causes[0].part, 0.04 * sqrt(1.0 + 1.21) / 0.21, 1e-12);
}

/* A rectangle ends at sqrt(3) u, 95 % of it at 0.95 sqrt(3) u. */
static void test_shape(void **state)
{
	struct fixture *f = *state;
	const double u = 1.0 / sqrt(3.0), share = 100.0 * u * u / (100.0 * u * u + 1.0);
	const struct firn_node x = rectangular(f, "x", -1.0, 1.0),
			       w = normal(f, "w", 0.0, 1.0, 0.0);

	find(f, firn_formula("10*x + w", x, w), Z, 0.01);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_SHAPE, "x", NULL);
	assert_near_relative(f->causes[0].part, share, 1e-13);
	assert_near_relative(f->causes[0].size, 10.0 * (Z * u - 0.95) * share, 1e-12);
}

/* 97.5 % of an exponential quantity lie below -ln 0.025 means, 2.689 above its mean. */
static void test_skew(void **state)
{
	struct fixture *f = *state;
	const struct firn_node x = firn_tape_input(
	    f->tape,
	    &(struct firn_input){ .name = "x", .distribution = FIRN_EXPONENTIAL, .value = 2.0 });

	find(f, firn_formula("3*x", x), Z, 0.01);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_SKEW, "x", NULL);
	assert_near(f->causes[0].part, 1.0, 1e-15);
	/* the lower end is farther off: mean - (-ln 0.975) mean is 0.975 means below */
	assert_near_relative(f->causes[0].size, 6.0 * (Z - (1.0 + log(0.975))), 1e-12);
}

static void test_few_dof(void **state)
{
	struct fixture *f = *state;
	const struct firn_node x = normal(f, "x", 5.0, 0.1, 3.0);

	find(f, firn_formula("x*2", x), 2.0, 0.001);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_FEW_DOF, "x", NULL);
	assert_near_relative(f->causes[0].size, 0.2 * (T3 - 2.0), 1e-10);
	find(f, firn_formula("x*2", x), T3, 0.001); /* the factor of t: nothing to find */
	assert_int_equal(f->n, 0);
}

/* Linear and normal: nothing, however small the least. Awkward: an infinite slope, no input at all.
 */
static void test_nothing(void **state)
{
	struct fixture *f = *state;
	const struct firn_node a = normal(f, "a", 1.0, 0.5, 0.0), b = normal(f, "b", 0.0, 2.0, 0.0);
	size_t n;

	find(f, firn_formula("3*a - 2*b", a, b), Z, 1e-12);
	assert_int_equal(f->n, 0);
	find(f, firn_constant(f->tape, 3.0), Z, 0.0);
	assert_int_equal(f->n, 0);
	const struct firn_node x = rectangular(f, "x", -1.0, 1.0);
	find(f, firn_formula("sqrt(abs(x))", x), Z, 1e-3);
	assert_cause(f, 0, FIRN_LAW_ONE_SIDED, "x", NULL);
	assert_int_equal(firn_linear_law_causes(a, 1.0, Z, 0.0, MOST, f->causes, &n),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_linear_law_causes(a, 0.95, Z, 0.0, 0, f->causes, &n), FIRN_E_DOMAIN);
}

/* More pairs than one block holds, and more causes than are asked for. */
static void test_many(void **state)
{
	struct fixture *f = *state;
	struct firn_node x[40], y;
	char name[8];

	for (size_t i = 0; i < 40; i++) {
		snprintf(name, sizeof(name), "x%02zu", i);
		x[i] = normal(f, name, 0.0, 1.0, 0.0);
	}
	y = firn_sum(40, x);
	const struct firn_node a = x[23], b = x[38];
	y = firn_formula("y + 3*a*b", y, a, b);
	find(f, y, Z, 0.1);
	assert_int_equal(f->n, 1);
	assert_cause(f, 0, FIRN_LAW_PRODUCT, "x23", "x38");
	assert_near(f->causes[0].size, 3.0, 1e-12);
	for (size_t i = 0; i < 40; i++)
		x[i] = firn_mul(x[i], x[i]);
	find(f, firn_sum(40, x), Z, 0.1);
	assert_int_equal(f->n, MOST);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
	const struct CMUnitTest tests[] = {
		CASE(test_one_sided), CASE(test_bent),  CASE(test_product), CASE(test_mass),
		CASE(test_divisor),   CASE(test_shape), CASE(test_skew),    CASE(test_few_dof),
		CASE(test_nothing),   CASE(test_many),
	};

	return cmocka_run_group_tests_name("linear_law", tests, NULL, NULL);
}
