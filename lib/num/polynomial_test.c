#include "lib/num/polynomial.h"

#include "tests/support/near.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* (x - 1)^7 multiplied out: near 1 its terms cancel by 8 to 19 digits. Values and derivatives are
   those of the power, computed at 40 digits with mpmath from the double x. */
static void test_cancelling(void **state)
{
	static const double c[] = { -1, 7, -21, 35, -35, 21, -7, 1 };
	static const struct {
		double x, value, derivative;
	} cases[] = {
		{ 1.0078125, 1.7763568394002504647e-15, 1.5916157281026244164e-12 },
		{ 1.001, 9.9999999999922906113e-22, 6.9999999999953743668e-18 },
		{ 0.93, -8.2354299999999597701e-9, 8.2354299999999655172e-7 },
		{ 3.3, 340.48254469999981592, 1036.2512229999995198 },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(cases); i++) {
		const double x = cases[i].x;
		double value, derivative, sum = 0.0, sum_derivative = 0.0;

		for (size_t k = COUNT(c); k-- > 0;) {
			sum = sum * fabs(x) + fabs(c[k]);
			sum_derivative += (double)k * fabs(c[k]) * pow(fabs(x), (double)k - 1.0);
		}
		num_polynomial(c, COUNT(c), x, &value, &derivative);
		/* The bounds of the header. */
		assert_near(value, cases[i].value,
			    1.2e-16 * fabs(cases[i].value) + 4 * 64 * 1.3e-32 * sum);
		assert_near(derivative, cases[i].derivative, 4 * 8 * 1.2e-16 * sum_derivative);
	}
}

static void test_ends(void **state)
{
	static const double constant[] = { 2.5 }, line[] = { 1.0, -3.0 };
	double value, derivative;

	(void)state;
	num_polynomial(constant, 1, 7.0, &value, &derivative);
	assert_true(value == 2.5 && derivative == 0.0);
	num_polynomial(line, 2, 2.0, &value, &derivative);
	assert_true(value == -5.0 && derivative == -3.0);
	num_polynomial(line, 2, (double)NAN, &value, &derivative);
	assert_true(isnan(value));
	num_polynomial(line, 2, (double)INFINITY, &value, &derivative);
	assert_true(!isfinite(value));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_cancelling),
		cmocka_unit_test(test_ends),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
