/* Richardson's extrapolation, for its error only. */
#include "lib/heat/refine.h"

#include "lib/num/elementary.h"

#include <math.h>

static const double ln_2 = 0.69314718055994531;

/* Differences of this part of a value are rounding. */
static const double rounding = 1e-13;

struct firn_answer refine_answer(double coarse, double middle, double fine)
{
	const double before = middle - coarse, last = fine - middle;
	struct firn_answer a = { fine, fabs(last), (double)NAN };

	if (fabs(last) > rounding * fabs(fine) && before / last > 1) {
		a.order = num_ln(before / last) / ln_2;
		a.error = fabs(last) / (num_exp(ln_2 * fmin(fmax(a.order, 1), 2)) - 1);
	}
	return a;
}
