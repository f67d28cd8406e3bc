/* Non-uniqueness and subrange inconsistency: CCT Guide, ch. 5 (2018), section 6.3. */
#include "firn/scale.h"

#include "lib/num/elementary.h"
#include "lib/num/polynomial.h"
#include "lib/scale/range.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* u/mK = factor (T - low)^p (high - T)^q */
struct non_uniqueness {
	bool above; /* Table 7, for subranges above 0 degC */
	double low_K, high_K, factor, p, q;
};

/* u/mK = sum c[j] (T - low)^j */
struct inconsistency {
	enum firn_subrange_id subrange;
	double low_K, high_K, c[6];
};

#include "scale_uncertainty.h"

static const double tpw_K = 273.16, zn_K = 692.677;

static double power(double x, double exponent)
{
	return x > 0.0 ? num_exp(exponent * num_ln(x)) : 0.0;
}

enum firn_status firn_scale_non_uniqueness(double t90_K, bool from_zero, double *ret_u_K)
{
	const bool above = from_zero || t90_K >= tpw_K;

	if (!isfinite(t90_K))
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < COUNT(non_uniqueness); i++) {
		const struct non_uniqueness *u = &non_uniqueness[i];

		if (u->above != above || t90_K < u->low_K || t90_K > u->high_K)
			continue;
		*ret_u_K = 1e-3 * u->factor * power(t90_K - u->low_K, u->p) *
			   power(u->high_K - t90_K, u->q);
		return FIRN_OK;
	}
	return FIRN_E_UNKNOWN;
}

/* Equation (54). */
static enum firn_status inconsistency_above(double t90_K, double w, double w_sn, double w_zn,
					    double *ret_u_K)
{
	double wr, slope;
	const double u_wr = 8.0e-6 * fabs((w - 1.0) * (w - w_sn) * (w - w_zn));

	if (!isfinite(u_wr))
		return FIRN_E_DOMAIN;
	if (t90_K > zn_K + FIRN_SCALE_ROUNDING_K || firn_scale_wr_above(t90_K, &wr, &slope) < 0)
		return FIRN_E_UNKNOWN;
	*ret_u_K = u_wr / slope;
	return FIRN_OK;
}

/* Equation (55). */
static enum firn_status inconsistency_below(enum firn_subrange_id id, double t90_K, double *ret_u_K)
{
	for (size_t i = 0; i < COUNT(inconsistency); i++) {
		const struct inconsistency *u = &inconsistency[i];
		double u_mK, unused;

		if (u->subrange != id || t90_K < u->low_K || t90_K > u->high_K)
			continue;
		num_polynomial(u->c, COUNT(u->c), t90_K - u->low_K, &u_mK, &unused);
		*ret_u_K = 1e-3 * fmax(u_mK, 0.0);
		return FIRN_OK;
	}
	return FIRN_E_UNKNOWN;
}

enum firn_status firn_scale_inconsistency(enum firn_subrange_id id, double t90_K, double w,
					  double w_sn, double w_zn, double *ret_u_K)
{
	if (!isfinite(t90_K))
		return FIRN_E_DOMAIN;
	if (id == FIRN_H2O_ZN || id == FIRN_H2O_AL || id == FIRN_H2O_AG)
		return inconsistency_above(t90_K, w, w_sn, w_zn, ret_u_K);
	return inconsistency_below(id, t90_K, ret_u_K);
}
