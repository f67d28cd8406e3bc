/* Shells, films and fins. */
#include "firn/heat.h"

#include "lib/num/elementary.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static bool is_positive(double x)
{
	return isfinite(x) && x > 0;
}

enum firn_status firn_shell_resistance(double r_in_m, double r_out_m, double k_W_per_mK,
				       double *ret_Km_per_W)
{
	if (!is_positive(r_in_m) || !isfinite(r_out_m) || !(r_out_m > r_in_m) ||
	    !is_positive(k_W_per_mK))
		return FIRN_E_DOMAIN;
	*ret_Km_per_W = num_ln(r_out_m / r_in_m) / (2 * pi * k_W_per_mK);
	return FIRN_OK;
}

enum firn_status firn_film_resistance(double r_m, double h_W_per_m2K, double *ret_Km_per_W)
{
	if (!is_positive(r_m) || !is_positive(h_W_per_m2K))
		return FIRN_E_DOMAIN;
	*ret_Km_per_W = 1 / (2 * pi * r_m * h_W_per_m2K);
	return FIRN_OK;
}

enum firn_status firn_fin_length(double radial_Km_per_W, double axial_Wm_per_K, double *ret_m)
{
	if (!is_positive(radial_Km_per_W) || !is_positive(axial_Wm_per_K))
		return FIRN_E_DOMAIN;
	*ret_m = sqrt(radial_Km_per_W * axial_Wm_per_K);
	return FIRN_OK;
}

enum firn_status firn_fin_tip_error(double depth_m, double fin_length_m, double *ret)
{
	double e;

	if (!isfinite(depth_m) || depth_m < 0 || !is_positive(fin_length_m))
		return FIRN_E_DOMAIN;
	e = num_exp(-depth_m / fin_length_m); /* never overflows, as cosh would */
	*ret = 2 * e / (1 + e * e);
	return FIRN_OK;
}
