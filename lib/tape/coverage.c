#include "lib/tape/tape.h"

#include <gsl/gsl_cdf.h>

double firn_coverage_factor(double p, double dof)
{
	const double above = 0.5 + 0.5 * p;

	if (!(p > 0.0 && p < 1.0) || !(dof >= 0.0) || (dof > 0.0 && dof < 0.1))
		return (double)NAN;
	if (dof == 0.0 || isinf(dof) || dof > 1e8)
		return gsl_cdf_ugaussian_Pinv(above);
	return gsl_cdf_tdist_Pinv(above, dof > 1.0 ? floor(dof) : dof);
}
