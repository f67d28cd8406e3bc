#include "lib/tape/tape.h"

static bool limits_are_valid(const struct firn_input *x)
{
	return isfinite(x->low) && isfinite(x->high) && x->low <= x->high;
}

/* JCGM 101:2008, Table 1 and 6.4: expectation and variance of each distribution. */
enum firn_status firn_distribution_moments(const struct firn_input *x, double *ret_value,
					   double *ret_u)
{
	const double middle = x->low + 0.5 * (x->high - x->low), width = x->high - x->low;
	double value = middle, variance;

	switch (x->distribution) {
	case FIRN_NORMAL:
	case FIRN_STUDENT_T:
		if (!isfinite(x->value) || !(x->u >= 0.0))
			return FIRN_E_DOMAIN;
		*ret_value = x->value;
		*ret_u = x->u; /* of a t its scale, as the law of propagation takes it */
		return FIRN_OK;
	case FIRN_EXPONENTIAL:
		if (!(x->value > 0.0) || !isfinite(x->value))
			return FIRN_E_DOMAIN;
		*ret_value = *ret_u = x->value;
		return FIRN_OK;
	case FIRN_GAMMA:
		if (!(x->shape > 0.0) || !(x->u > 0.0))
			return FIRN_E_DOMAIN;
		*ret_value = x->shape * x->u;
		*ret_u = sqrt(x->shape) * x->u;
		return FIRN_OK;
	case FIRN_RECTANGULAR:
		variance = width * width / 12.0;
		break;
	case FIRN_TRIANGULAR:
		variance = width * width / 24.0;
		break;
	case FIRN_TRAPEZOIDAL:
		if (!(x->shape >= 0.0 && x->shape <= 1.0))
			return FIRN_E_DOMAIN;
		variance = width * width * (1.0 + x->shape * x->shape) / 24.0;
		break;
	case FIRN_ARCSINE:
		variance = width * width / 8.0;
		break;
	case FIRN_CURVILINEAR_TRAPEZOID:
		if (!(x->shape >= 0.0) || !(2.0 * x->shape <= width))
			return FIRN_E_DOMAIN;
		variance = width * width / 12.0 + x->shape * x->shape / 9.0;
		break;
	default:
		return FIRN_E_DOMAIN;
	}
	if (!limits_are_valid(x))
		return FIRN_E_DOMAIN;
	*ret_value = value;
	*ret_u = sqrt(variance);
	return FIRN_OK;
}
