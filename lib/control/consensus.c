#include "firn/consensus.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

static bool are_values(size_t n, size_t least, const struct firn_stated *values, bool with_u)
{
	if (n < least)
		return false;
	for (size_t i = 0; i < n; i++)
		if (!isfinite(values[i].x) ||
		    (with_u && !(values[i].u > 0.0 && isfinite(values[i].u))))
			return false;
	return true;
}

/* Mean with the weights 1/(u^2 + tau2), taken about the first value: what all have in common costs
   no digits. */
static struct firn_consensus mean_with(size_t n, const struct firn_stated *values, double tau2)
{
	double weight = 0.0, sum = 0.0;

	for (size_t i = 0; i < n; i++) {
		const double w = 1.0 / (values[i].u * values[i].u + tau2);

		weight += w;
		sum += w * (values[i].x - values[0].x);
	}
	return (struct firn_consensus){ .x = values[0].x + sum / weight,
					.u = 1.0 / sqrt(weight),
					.tau = sqrt(tau2) };
}

/* sum of (x - mean)^2/(u^2 + tau2) about the mean with these weights */
static double spread_with(size_t n, const struct firn_stated *values, double tau2)
{
	const double mean = mean_with(n, values, tau2).x;
	double sum = 0.0;

	for (size_t i = 0; i < n; i++) {
		const double d = values[i].x - mean;

		sum += d * d / (values[i].u * values[i].u + tau2);
	}
	return sum;
}

enum firn_status firn_weighted_mean(size_t n, const struct firn_stated *values,
				    struct firn_consensus *ret)
{
	if (!are_values(n, 1, values, true))
		return FIRN_E_DOMAIN;
	*ret = mean_with(n, values, 0.0);
	return FIRN_OK;
}

double firn_chi_squared_p(double x, double dof)
{
	return x >= 0.0 && dof >= 1.0 && isfinite(x) && isfinite(dof) ? gsl_cdf_chisq_Q(x, dof)
								      : (double)NAN;
}

double firn_chi_squared_limit(double dof)
{
	return dof >= 1.0 && isfinite(dof) ? gsl_cdf_chisq_Pinv(0.95, dof) : (double)NAN;
}

enum firn_status firn_consistency(size_t n, const struct firn_stated *values,
				  struct firn_consistency *ret)
{
	if (!are_values(n, 2, values, true))
		return FIRN_E_DOMAIN;
	const double chi2 = spread_with(n, values, 0.0), dof = (double)n - 1.0;
	const double limit = firn_chi_squared_limit(dof);

	*ret = (struct firn_consistency){
		.chi2 = chi2,
		.dof = dof,
		.p = firn_chi_squared_p(chi2, dof),
		.limit = limit,
		.birge = sqrt(chi2 / dof),
		.is_consistent = chi2 <= limit,
	};
	return FIRN_OK;
}

enum firn_status firn_arithmetic_mean(size_t n, const struct firn_stated *values,
				      struct firn_consensus *ret, double *ret_s)
{
	double sum = 0.0, squares = 0.0, mean;

	if (!are_values(n, 2, values, false))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		sum += values[i].x - values[0].x;
	mean = values[0].x + sum / (double)n;
	for (size_t i = 0; i < n; i++)
		squares += (values[i].x - mean) * (values[i].x - mean);
	*ret_s = sqrt(squares / ((double)n - 1.0));
	*ret = (struct firn_consensus){ .x = mean, .u = *ret_s / sqrt((double)n) };
	return FIRN_OK;
}

static int compare_doubles(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static double sorted_median(size_t n, double *x)
{
	qsort(x, n, sizeof(*x), compare_doubles);
	return n % 2 == 1 ? x[n / 2] : 0.5 * (x[n / 2 - 1] + x[n / 2]);
}

enum firn_status firn_median(size_t n, const struct firn_stated *values, struct firn_consensus *ret)
{
	double *x, median, mad;

	if (!are_values(n, 2, values, false))
		return FIRN_E_DOMAIN;
	x = malloc(n * sizeof(*x));
	if (x == NULL)
		return FIRN_E_MEMORY;
	for (size_t i = 0; i < n; i++)
		x[i] = values[i].x;
	median = sorted_median(n, x);
	for (size_t i = 0; i < n; i++)
		x[i] = fabs(x[i] - median);
	mad = sorted_median(n, x);
	free(x);
	*ret = (struct firn_consensus){ .x = median, .u = 1.858 * mad / sqrt((double)n - 1.0) };
	return FIRN_OK;
}

enum firn_status firn_dersimonian_laird(size_t n, const struct firn_stated *values,
					struct firn_consensus *ret)
{
	double w1 = 0.0, w2 = 0.0;

	if (!are_values(n, 2, values, true))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++) {
		const double w = 1.0 / (values[i].u * values[i].u);

		w1 += w;
		w2 += w * w;
	}
	const double excess = spread_with(n, values, 0.0) - ((double)n - 1.0);
	*ret = mean_with(n, values, fmax(0.0, excess / (w1 - w2 / w1)));
	return FIRN_OK;
}

enum firn_status firn_mandel_paule(size_t n, const struct firn_stated *values,
				   struct firn_consensus *ret)
{
	const double dof = (double)n - 1.0;
	double low = 0.0, high, squares = 0.0;

	if (!are_values(n, 2, values, true))
		return FIRN_E_DOMAIN;
	if (spread_with(n, values, 0.0) <= dof) {
		*ret = mean_with(n, values, 0.0);
		return FIRN_OK;
	}
	/* The spread falls with tau^2. At tau^2 = sum (x - x0)^2 it is below 1. */
	for (size_t i = 0; i < n; i++)
		squares += (values[i].x - values[0].x) * (values[i].x - values[0].x);
	high = squares;
	for (int i = 0; i < 200; i++) {
		const double middle = 0.5 * (low + high);

		if (middle <= low || middle >= high || high - low < 1e-15 * high)
			break;
		if (spread_with(n, values, middle) > dof)
			low = middle;
		else
			high = middle;
	}
	*ret = mean_with(n, values, 0.5 * (low + high));
	return FIRN_OK;
}

enum firn_status firn_equivalence(const struct firn_stated *value,
				  const struct firn_consensus *reference, bool took_part,
				  struct firn_stated *ret_d)
{
	const double sign = took_part ? -1.0 : 1.0;
	const double u2 = value->u * value->u + sign * reference->u * reference->u;

	if (!are_values(1, 1, value, true) || !isfinite(reference->x) || !(reference->u >= 0.0) ||
	    !isfinite(reference->u) || !(u2 >= 0.0))
		return FIRN_E_DOMAIN;
	*ret_d = (struct firn_stated){ value->x - reference->x, sqrt(u2) };
	return FIRN_OK;
}

enum firn_status firn_pair_equivalence(const struct firn_stated *a, const struct firn_stated *b,
				       struct firn_stated *ret_d)
{
	if (!are_values(1, 1, a, true) || !are_values(1, 1, b, true))
		return FIRN_E_DOMAIN;
	*ret_d = (struct firn_stated){ a->x - b->x, sqrt(a->u * a->u + b->u * b->u) };
	return FIRN_OK;
}

enum firn_status firn_e_n(double a, double U_a, double b, double U_b, double *ret)
{
	if (!isfinite(a) || !isfinite(b) || !(U_a >= 0.0) || !(U_b >= 0.0) || !(U_a + U_b > 0.0) ||
	    !isfinite(U_a + U_b))
		return FIRN_E_DOMAIN;
	*ret = (a - b) / sqrt(U_a * U_a + U_b * U_b);
	return FIRN_OK;
}
