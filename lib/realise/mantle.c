#include "firn/mantle.h"
#include "lib/num/elementary.h"
#include "lib/realise/realise.h"

#include <math.h>

enum firn_status firn_mantle_age_bound(enum firn_mantle_kind kind, double age_d, double *ret_K)
{
	if (!is_within(age_d, 0.0, 1e4) || (kind != FIRN_MANTLE_SLOW && kind != FIRN_MANTLE_FAST))
		return FIRN_E_DOMAIN;
	const double slow_K = 0.2e-3 * num_exp(-age_d / 3.74),
		     fast_K = 1e-3 * num_exp(-age_d / 1.1);

	*ret_K = fmax(10e-6, kind == FIRN_MANTLE_FAST ? fmax(slow_K, fast_K) : slow_K);
	return FIRN_OK;
}

enum firn_status firn_mantle_age(struct firn_tape *tape, const char *name,
				 enum firn_mantle_kind kind, double age_d,
				 struct firn_node *ret_dt_K)
{
	double bound_K;
	const enum firn_status status = firn_mantle_age_bound(kind, age_d, &bound_K);

	if (status < 0)
		return status;
	return realise_bounded(tape, name, bound_K, "CCT Guide, sec. 2.2 (2018), 6.2", ret_dt_K);
}
