/* T - T90: BIPM, Estimates of the Differences between Thermodynamic Temperature and the ITS-90
 * (2012). */
#include "firn/scale.h"

#include "lib/num/elementary.h"
#include "lib/num/polynomial.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

struct difference_u {
	double t90_K, u_K;
};

#include "scale_difference.h"

/* Section 2: zero to 8 K, then equation (1), from 273.16 K on equation (2). */
static double difference_mK(double t90_K)
{
	const double ratio = 273.16 / t90_K, x = -num_ln(ratio) / num_ln(10.0);
	double sum, unused;

	if (t90_K < 8.0)
		return 0.0;
	if (t90_K < 273.16) {
		num_polynomial(difference_b, COUNT(difference_b), x, &sum, &unused);
		return x * sum;
	}
	num_polynomial(difference_c, COUNT(difference_c), ratio * ratio, &sum, &unused);
	return t90_K * sum;
}

enum firn_status firn_scale_difference(double t90_K, double *ret_difference_K, double *ret_u_K)
{
	const size_t last = COUNT(difference_u) - 1;
	size_t i = 1;

	if (!(t90_K >= difference_u[0].t90_K && t90_K <= difference_u[last].t90_K))
		return FIRN_E_DOMAIN;
	while (t90_K > difference_u[i].t90_K)
		i++;
	const struct difference_u a = difference_u[i - 1], b = difference_u[i];
	*ret_difference_K = 1e-3 * difference_mK(t90_K);
	*ret_u_K = a.u_K + (b.u_K - a.u_K) * ((t90_K - a.t90_K) / (b.t90_K - a.t90_K));
	return FIRN_OK;
}
