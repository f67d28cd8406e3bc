/* The eleven subranges in plain numbers: ITS-90, equations (12) to (14), Table 5. */
#include "firn/scale.h"

#include "lib/num/elementary.h"
#include "lib/scale/range.h"
#include "scale_subranges.h"

#include <float.h>
#include <math.h>

const struct firn_subrange *firn_scale_subrange(enum firn_subrange_id id)
{
	return (unsigned)id < FIRN_SUBRANGES ? &subranges[id] : NULL;
}

/* x^n and its slope, n from 1 on. */
static double power(double x, int n, double *ret_slope)
{
	double below = 1.0; /* x^(n-1) */

	for (int i = 1; i < n; i++)
		below *= x;
	*ret_slope = n * below;
	return x * below;
}

/* ln_w: ln(w), the same for all terms. */
static double term_value(const struct firn_term *term, double w_al, double w, double ln_w,
			 double *ret_slope)
{
	double value = NAN;

	switch (term->kind) {
	case FIRN_TERM_POWER:
		return power(w - 1.0, term->power, ret_slope);
	case FIRN_TERM_LOGARITHM:
		value = power(ln_w, term->power, ret_slope);
		*ret_slope /= w;
		return value;
	case FIRN_TERM_PRODUCT:
		*ret_slope = ln_w + (w - 1.0) / w;
		return (w - 1.0) * ln_w;
	case FIRN_TERM_ABOVE_AL:
		return power(fmax(w - w_al, 0.0), 2, ret_slope);
	}
	*ret_slope = NAN;
	return value;
}

enum firn_status firn_subrange_deviation(const struct firn_subrange *subrange, const double *c,
					 double w_al, double w, double *ret_deviation,
					 double *ret_slope)
{
	double sum = 0.0, sum_slope = 0.0, slope;

	if (!(w > 0.0 && w <= 5.0))
		return FIRN_E_DOMAIN;
	/* fmax() below takes a missing W_Al for 0, and the last term would go unseen */
	if (subrange->terms[subrange->n_coefficients - 1].kind == FIRN_TERM_ABOVE_AL &&
	    !isfinite(w_al))
		return FIRN_E_DOMAIN;
	const double ln_w = num_ln(w);
	for (size_t k = 0; k < subrange->n_coefficients; k++) {
		sum += c[k] * term_value(&subrange->terms[k], w_al, w, ln_w, &slope);
		sum_slope += c[k] * slope;
	}
	if (!isfinite(sum) || !isfinite(sum_slope))
		return FIRN_E_DOMAIN;
	*ret_deviation = sum;
	*ret_slope = sum_slope;
	return FIRN_OK;
}

/* T90 of W with dT90/dW_r and the slope of the deviation. */
static enum firn_status find_t90(const struct firn_subrange *subrange, const double *c, double w_al,
				 double w, double *ret_t90_K, double *ret_dt90_dwr_K,
				 double *ret_deviation_slope)
{
	double deviation;
	enum firn_status status =
	    firn_subrange_deviation(subrange, c, w_al, w, &deviation, ret_deviation_slope);

	if (status < 0)
		return status;
	status = firn_scale_t90(w - deviation, subrange->from_zero, ret_t90_K, ret_dt90_dwr_K);
	if (status < 0)
		return status;
	return scale_range(*ret_t90_K, subrange->low_K, subrange->high_K, FIRN_SCALE_ROUNDING_K);
}

enum firn_status firn_subrange_t90(const struct firn_subrange *subrange, const double *c,
				   double w_al, double w, double *ret_t90_K, double *ret_dt90_dw_K)
{
	double t90_K, slope, deviation_slope;
	const enum firn_status status =
	    find_t90(subrange, c, w_al, w, &t90_K, &slope, &deviation_slope);

	if (status >= 0) {
		*ret_t90_K = t90_K;
		*ret_dt90_dw_K = slope * (1.0 - deviation_slope);
	}
	return status;
}

/* dW_r at constant W for each quantity of the covariance; returns how many there are. */
static size_t wr_gradient(const struct firn_subrange *subrange, const double *c, double w_al,
			  double w, double *ret_gradient)
{
	const double ln_w = num_ln(w);
	size_t n = subrange->n_coefficients;
	double unused;

	for (size_t k = 0; k < n; k++)
		ret_gradient[k] = -term_value(&subrange->terms[k], w_al, w, ln_w, &unused);
	if (subrange->terms[n - 1].kind == FIRN_TERM_ABOVE_AL) {
		ret_gradient[n] = 2.0 * c[n - 1] * fmax(w - w_al, 0.0);
		n++;
	}
	return n;
}

/* u of T90 from W's, dT90/dW_r given. */
static enum firn_status find_u(const struct firn_subrange *subrange, const double *c, double w_al,
			       const double *covariance, double w, double dt90_dwr_K,
			       double *ret_u_K)
{
	double gradient[FIRN_MOST_COEFFICIENTS + 1];
	double variance = 0.0, size = 0.0; /* of W_r; the sum of what cancels in it */
	const size_t n = wr_gradient(subrange, c, w_al, w, gradient);

	for (size_t i = 0; i < n; i++) {
		for (size_t j = 0; j < n; j++) {
			const double part = gradient[i] * covariance[i * n + j] * gradient[j];

			variance += part;
			size += fabs(part);
		}
	}
	if (!isfinite(size))
		return FIRN_E_DOMAIN;
	if (variance < 0.0 || 0.01 * variance < DBL_EPSILON * size)
		return FIRN_E_SINGULAR;
	*ret_u_K = sqrt(variance) * fabs(dt90_dwr_K);
	return FIRN_OK;
}

enum firn_status firn_subrange_u(const struct firn_subrange *subrange, const double *c, double w_al,
				 const double *covariance, double w, double *ret_u_K)
{
	double t90_K, slope, unused;
	const enum firn_status status = find_t90(subrange, c, w_al, w, &t90_K, &slope, &unused);

	if (status < 0)
		return status;
	const enum firn_status u_status = find_u(subrange, c, w_al, covariance, w, slope, ret_u_K);
	return u_status < 0 ? u_status : status;
}

enum firn_status firn_subrange_t90_u(const struct firn_subrange *subrange, const double *c,
				     double w_al, const double *covariance, double w,
				     double *ret_t90_K, double *ret_u_K)
{
	double t90_K, slope, unused;
	const enum firn_status status = find_t90(subrange, c, w_al, w, &t90_K, &slope, &unused);

	if (status < 0)
		return status;
	*ret_t90_K = t90_K;
	if (find_u(subrange, c, w_al, covariance, w, slope, ret_u_K) < 0)
		*ret_u_K = (double)NAN;
	return status;
}

enum firn_status firn_subrange_w(const struct firn_subrange *subrange, const double *c, double w_al,
				 double t90_K, double *ret_w, double *ret_dw_per_K)
{
	const enum firn_status status = scale_range(t90_K, subrange->low_K, subrange->high_K, 0.0);
	double wr, wr_slope, deviation, slope, step = INFINITY;

	if (status < 0 || firn_scale_wr(t90_K, subrange->from_zero, &wr, &wr_slope) < 0)
		return FIRN_E_DOMAIN;

	/* Newton on W - deltaW(W) = W_r; a deviation is small and nearly straight. */
	double w = wr;
	for (int i = 0; i < 20 && fabs(step) > 1e-9 * w; i++) {
		if (firn_subrange_deviation(subrange, c, w_al, w, &deviation, &slope) < 0 ||
		    !(slope < 1.0))
			return FIRN_E_SINGULAR;
		step = (wr - (w - deviation)) / (1.0 - slope);
		w += step;
	}
	if (!(w > 0.0) || !(fabs(step) <= 1e-9 * w))
		return FIRN_E_SINGULAR;
	*ret_w = w;
	*ret_dw_per_K = wr_slope / (1.0 - slope);
	return status;
}
