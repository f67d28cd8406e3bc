/* Distributions turned round, for correlated inputs that are not normal. */
#include "lib/tape/replay.h"

#include <gsl/gsl_cdf.h>

/* Each of the following: for a probability p <= 1/2 in the lower tail, how far below the middle. */

/* Trapezoid with half its base h and its top b of that: JCGM 101:2008, 6.4.4. */
static double below_trapezoid(double p, double h, double b)
{
	const double at_corner = (1.0 - b) / (2.0 * (1.0 + b));

	return p < at_corner ? h - h * sqrt(2.0 * p * (1.0 - b * b))
			     : b * h - (p - at_corner) * h * (1.0 + b);
}

/* Probability beyond x of a half-width that is rectangular from h - d to h + d (6.4.3). */
static double beyond_curvilinear(double x, double h, double d)
{
	const double from = fmax(h - d, x), to = h + d;

	return d == 0.0 ? fmax(0.0, 0.5 * (h - x) / h)
			: (to - from - x * log(to / from)) / (4.0 * d);
}

static double below_curvilinear(double p, double h, double d)
{
	double near = 0.0, far = h + d;

	if (far == 0.0)
		return 0.0;
	for (int i = 0; i < 60; i++) {
		const double middle = 0.5 * (near + far);

		*(beyond_curvilinear(middle, h, d) > p ? &near : &far) = middle;
	}
	return 0.5 * (near + far);
}

static double below_middle(const struct firn_input *x, double p)
{
	const double half = 0.5 * (x->high - x->low);

	switch (x->distribution) {
	case FIRN_RECTANGULAR:
		return half * (1.0 - 2.0 * p);
	case FIRN_TRIANGULAR:
		return below_trapezoid(p, half, 0.0);
	case FIRN_TRAPEZOIDAL:
		return below_trapezoid(p, half, x->shape);
	case FIRN_ARCSINE:
		return half * cos(3.14159265358979324 * p);
	default:
		return below_curvilinear(p, half, x->shape);
	}
}

/* Newton's method between bounds, because the library's own inverse may give up by aborting. */
static double gamma_quantile(double p, bool upper, double shape)
{
	double low = 0.0, high = shape + 60.0 + 12.0 * sqrt(shape), x = shape;

	for (int i = 0; i < 100; i++) {
		const double at =
		    upper ? gsl_cdf_gamma_Q(x, shape, 1.0) : gsl_cdf_gamma_P(x, shape, 1.0);
		const double density = exp((shape - 1.0) * log(x) - x - lgamma(shape));
		const double step = (upper ? p - at : at - p) / density;
		double next;

		*(step > 0.0 ? &high : &low) = x;
		next = x - step;
		if (!(next > low && next < high))
			next = 0.5 * (low + high);
		if (fabs(next - x) <= 1e-14 * x)
			return next;
		x = next;
	}
	return x;
}

double quantile_of_score(const struct firn_input *x, double z)
{
	const double p = gsl_cdf_ugaussian_P(-fabs(z)); /* of the nearer tail */

	switch (x->distribution) {
	case FIRN_NORMAL:
	case FIRN_STUDENT_T:
		if (x->dof > 0.0 && x->dof < 1e8)
			z = z < 0.0 ? gsl_cdf_tdist_Pinv(p, x->dof)
				    : -gsl_cdf_tdist_Pinv(p, x->dof);
		return x->value + x->u * z;
	case FIRN_EXPONENTIAL:
		return -x->value * (z < 0.0 ? log1p(-p) : log(p));
	case FIRN_GAMMA:
		return x->value / x->shape * gamma_quantile(p, z > 0.0, x->shape);
	default:
		return x->value + (z < 0.0 ? -below_middle(x, p) : below_middle(x, p));
	}
}
