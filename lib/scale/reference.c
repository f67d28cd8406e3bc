/* W_r of T90 and back: ITS-90, section 3.3, equations (9a) to (10b). */
#include "firn/scale.h"

#include "lib/num/elementary.h"
#include "lib/num/polynomial.h"
#include "lib/scale/range.h"
#include "scale_reference.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static const double tpw_K = 273.16, zero_K = 273.15;

/* The equations at 273.16 K, computed at 50 digits: between the two lies no T90. */
static const double wr_below_ends = 0.99999999000000005, wr_above_starts = 0.99999999534585539;

typedef void reference_function(double t90_K, double *ret_wr, double *ret_slope);

/* ln W_r = sum A_i ((ln(T90/273.16 K) + 1.5)/1.5)^i */
static void equation_9a(double t90_K, double *ret_wr, double *ret_slope)
{
	double ln_wr, slope;

	num_polynomial(its90_a, COUNT(its90_a), (num_ln(t90_K / tpw_K) + 1.5) / 1.5, &ln_wr,
		       &slope);
	*ret_wr = num_exp(ln_wr);
	*ret_slope = *ret_wr * slope / (1.5 * t90_K);
}

/* W_r = sum C_i ((T90/K - 754.15)/481)^i */
static void equation_10a(double t90_K, double *ret_wr, double *ret_slope)
{
	num_polynomial(its90_c, COUNT(its90_c), (t90_K - 754.15) / 481.0, ret_wr, ret_slope);
	*ret_slope /= 481.0;
}

/* T90/273.16 K = sum B_i ((W_r^(1/6) - 0.65)/0.35)^i */
static double equation_9b(double wr)
{
	double ratio, unused;

	num_polynomial(its90_b, COUNT(its90_b), (num_exp(num_ln(wr) / 6.0) - 0.65) / 0.35, &ratio,
		       &unused);
	return tpw_K * ratio;
}

/* T90/K - 273.15 = sum D_i ((W_r - 2.64)/1.64)^i */
static double equation_10b(double wr)
{
	double t90_C, unused;

	num_polynomial(its90_d, COUNT(its90_d), (wr - 2.64) / 1.64, &t90_C, &unused);
	return t90_C + 273.15;
}

/*
 * Newton's method from the published approximation, which lies within 0.14 mK: two or three steps.
 * The step that is found below 1e-10 of T90 is still made; what remains is its square.
 */
static double root(reference_function *equation, double wr, double t90_K, double *ret_dt90_dwr_K)
{
	double found, slope = NAN, step = INFINITY;

	for (int i = 0; i < 10 && fabs(step) > 1e-10 * t90_K; i++) {
		equation(t90_K, &found, &slope);
		step = (wr - found) / slope;
		t90_K += step;
	}
	*ret_dt90_dwr_K = 1.0 / slope;
	return t90_K;
}

static enum firn_status forward(reference_function *equation, double low_K, double high_K,
				double t90_K, double *ret_wr, double *ret_slope)
{
	const enum firn_status status = scale_range(t90_K, low_K, high_K, 0.0);

	if (status >= 0)
		equation(t90_K, ret_wr, ret_slope);
	return status;
}

enum firn_status firn_scale_wr_below(double t90_K, double *ret_wr, double *ret_dwr_per_K)
{
	return forward(equation_9a, SCALE_LOW_K, tpw_K, t90_K, ret_wr, ret_dwr_per_K);
}

enum firn_status firn_scale_wr_above(double t90_K, double *ret_wr, double *ret_dwr_per_K)
{
	return forward(equation_10a, zero_K, SCALE_HIGH_K, t90_K, ret_wr, ret_dwr_per_K);
}

enum firn_status firn_scale_wr(double t90_K, bool from_zero, double *ret_wr, double *ret_dwr_per_K)
{
	return from_zero || t90_K >= tpw_K ? firn_scale_wr_above(t90_K, ret_wr, ret_dwr_per_K)
					   : firn_scale_wr_below(t90_K, ret_wr, ret_dwr_per_K);
}

/* Far enough from the scale's own values that the margins lie within, near enough for the
   approximations to be some. */
static bool wr_is_possible(double wr, bool from_zero)
{
	return wr >= (from_zero ? 0.999 : 0.001) && wr <= 4.3;
}

enum firn_status firn_scale_t90(double wr, bool from_zero, double *ret_t90_K,
				double *ret_dt90_dwr_K)
{
	const double low_K = from_zero ? zero_K : SCALE_LOW_K;
	double t90_K, slope;

	if (!wr_is_possible(wr, from_zero))
		return FIRN_E_DOMAIN;
	if (!from_zero && wr <= wr_below_ends)
		t90_K = root(equation_9a, wr, equation_9b(wr), &slope);
	else
		t90_K = root(equation_10a, wr, equation_10b(wr), &slope);
	if (!from_zero && wr > wr_below_ends && wr < wr_above_starts)
		t90_K = tpw_K;

	const enum firn_status status =
	    scale_range(t90_K, low_K, SCALE_HIGH_K, FIRN_SCALE_ROUNDING_K);
	if (status >= 0) {
		*ret_t90_K = t90_K;
		*ret_dt90_dwr_K = slope;
	}
	return status;
}

enum firn_status firn_scale_t90_approximate(double wr, bool from_zero, double *ret_t90_K)
{
	double exact_K, unused;
	const enum firn_status status = firn_scale_t90(wr, from_zero, &exact_K, &unused);

	if (status >= 0)
		*ret_t90_K = !from_zero && wr <= wr_below_ends ? equation_9b(wr) : equation_10b(wr);
	return status;
}
