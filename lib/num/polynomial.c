#include "lib/num/polynomial.h"

#include <math.h>

void num_polynomial(const double *c, size_t n, double x, double *ret_value, double *ret_derivative)
{
	double value = c[n - 1], derivative = 0.0, error = 0.0;

	for (size_t i = n - 1; i-- > 0;) {
		const double product = value * x, product_error = fma(value, x, -product);
		const double sum = product + c[i], added = sum - product;
		const double sum_error = (product - (sum - added)) + (c[i] - added);

		derivative = derivative * x + value;
		error = error * x + (product_error + sum_error);
		value = sum;
	}
	*ret_value = value + error;
	*ret_derivative = derivative;
}
