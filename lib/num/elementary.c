#include "lib/num/elementary.h"
#include "lib/num/elementary_core.h"

#include <float.h>

double num_exp(double x)
{
	if (!(x > -746.0 && x < 710.0))
		return x <= -746.0 ? 0.0 : x * INFINITY; /* NaN stays NaN */
	return exp_core(x);
}

double num_ln(double x)
{
	if (!(x > 0.0) || x > DBL_MAX)
		return x == 0.0 ? -INFINITY : (x > 0.0 ? x : NAN);
	return x < DBL_MIN ? ln_core(x * 0x1p54, -54.0) : ln_core(x, 0.0);
}
