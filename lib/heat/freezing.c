/* Slabs and cylinders that freeze, and water that freezes at once. */
#include "firn/heat.h"

#include "lib/num/elementary.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
#define MOST_STEFAN  100.0
#define MOST_BELOW_K 40.0

static bool is_positive(double x)
{
	return isfinite(x) && x > 0;
}

static bool is_solid(const struct firn_solid *s)
{
	return is_positive(s->k_W_per_mK) && is_positive(s->density_kg_per_m3) &&
	       is_positive(s->cp_J_per_kgK) && is_positive(s->latent_J_per_kg);
}

/* sqrt(pi) x exp(x^2) erf(x), and its slope. It rises, and is convex for x above 0. */
static double stefan_of(double x, double *ret_slope)
{
	const double root_pi = sqrt(pi), e = num_exp(x * x), f = erf(x);

	*ret_slope = root_pi * e * f * (1 + 2 * x * x) + 2 * x;
	return root_pi * x * e * f;
}

enum firn_status firn_neumann_lambda(double ste, double *ret_lambda)
{
	double x;

	if (!is_positive(ste) || ste > MOST_STEFAN)
		return FIRN_E_DOMAIN;
	/* Newton from above: sqrt(Ste/2) is too large, and a convex function then comes down to its
	   root without passing it. */
	x = fmin(sqrt(ste / 2), 2.0);
	for (int i = 0; i < 60; i++) {
		double slope;
		const double step = (stefan_of(x, &slope) - ste) / slope;

		x -= step;
		if (fabs(step) <= 1e-16 * x)
			break;
	}
	*ret_lambda = x;
	return FIRN_OK;
}

enum firn_status firn_neumann_thickness(const struct firn_solid *s, double below_K, double t_s,
					double *ret_m)
{
	double lambda, alpha;
	enum firn_status status;

	if (!is_solid(s) || !is_positive(below_K) || !isfinite(t_s) || t_s < 0)
		return FIRN_E_DOMAIN;
	status = firn_neumann_lambda(s->cp_J_per_kgK * below_K / s->latent_J_per_kg, &lambda);
	if (status != FIRN_OK)
		return status;
	alpha = s->k_W_per_mK / (s->density_kg_per_m3 * s->cp_J_per_kgK);
	*ret_m = 2 * lambda * sqrt(alpha * t_s);
	return FIRN_OK;
}

enum firn_status firn_stefan_thickness(const struct firn_solid *s, double below_K, double t_s,
				       double *ret_m)
{
	if (!is_solid(s) || !is_positive(below_K) || !isfinite(t_s) || t_s < 0)
		return FIRN_E_DOMAIN;
	*ret_m =
	    sqrt(2 * s->k_W_per_mK * below_K * t_s / (s->density_kg_per_m3 * s->latent_J_per_kg));
	return FIRN_OK;
}

/* ---- cylinders ---- */

static bool is_cylinder(const struct firn_cylinder *c)
{
	return is_positive(c->r_cold_m) && is_positive(c->below_K) &&
	       isfinite(c->series_Km_per_W) && c->series_Km_per_W >= 0;
}

/* rho L/(4 k dT) times the area swept, weighted by the logarithm of the way that the heat takes;
   one form for both directions. */
static double time_to(const struct firn_solid *s, const struct firn_cylinder *c, double r)
{
	const double r0 = c->r_cold_m, heat = s->density_kg_per_m3 * s->latent_J_per_kg;
	const double own = 2 * r * r * num_ln(r / r0) - r * r + r0 * r0;

	return heat / c->below_K *
	       (own / (4 * s->k_W_per_mK) + pi * fabs(r * r - r0 * r0) * c->series_Km_per_W);
}

enum firn_status firn_cylinder_time(const struct firn_solid *s, const struct firn_cylinder *c,
				    double *ret_s)
{
	if (!is_solid(s) || !is_cylinder(c) || !is_positive(c->r_front_m))
		return FIRN_E_DOMAIN;
	*ret_s = time_to(s, c, c->r_front_m);
	return FIRN_OK;
}

/* The time rises with the distance from the cold surface, so halving finds the front for certain.
 */
static double front_between(const struct firn_solid *s, const struct firn_cylinder *c, double near,
			    double far, double t_s)
{
	while (fabs(far - near) > 1e-10 * c->r_cold_m) {
		const double middle = 0.5 * (near + far);

		if (time_to(s, c, middle) < t_s)
			near = middle;
		else
			far = middle;
	}
	return 0.5 * (near + far);
}

enum firn_status firn_cylinder_front(const struct firn_solid *s, const struct firn_cylinder *c,
				     bool inward, double t_s, double *ret_r_m)
{
	double far = inward ? 1e-9 * c->r_cold_m : 2 * c->r_cold_m;

	if (!is_solid(s) || !is_cylinder(c) || !isfinite(t_s) || t_s < 0)
		return FIRN_E_DOMAIN;
	if (inward && time_to(s, c, far) < t_s)
		return FIRN_E_SINGULAR;
	while (!inward && time_to(s, c, far) < t_s)
		far *= 2;
	*ret_r_m = front_between(s, c, c->r_cold_m, far, t_s);
	return FIRN_OK;
}

/* ---- melting from outside ---- */

static bool is_mantle(const struct firn_mantle *m)
{
	return is_positive(m->r_inner_m) && m->r_outer_m > m->r_inner_m &&
	       m->r_glass_m > m->r_outer_m && isfinite(m->r_cell_m) && m->r_cell_m > m->r_glass_m &&
	       is_positive(m->k_water_W_per_mK) && is_positive(m->k_glass_W_per_mK) &&
	       is_positive(m->above_K);
}

static double glass_resistance(const struct firn_mantle *m)
{
	return num_ln(m->r_cell_m / m->r_glass_m) / (2 * pi * m->k_glass_W_per_mK);
}

enum firn_status firn_mantle_heat(const struct firn_mantle *m, double *ret_W_per_m)
{
	if (!is_mantle(m))
		return FIRN_E_DOMAIN;
	*ret_W_per_m =
	    m->above_K / (num_ln(m->r_glass_m / m->r_outer_m) / (2 * pi * m->k_water_W_per_mK) +
			  glass_resistance(m));
	return FIRN_OK;
}

/* Integral of r ln(R/r) dr. */
static double moment(double r, double glass)
{
	return 0.25 * r * r * (2 * num_ln(glass / r) + 1);
}

enum firn_status firn_mantle_life(const struct firn_solid *s, const struct firn_mantle *m,
				  double *ret_s)
{
	const double a = m->r_inner_m, b = m->r_outer_m;

	if (!is_mantle(m) || !is_solid(s))
		return FIRN_E_DOMAIN;
	*ret_s = s->density_kg_per_m3 * s->latent_J_per_kg / m->above_K *
		 ((moment(b, m->r_glass_m) - moment(a, m->r_glass_m)) / m->k_water_W_per_mK +
		  pi * (b * b - a * a) * glass_resistance(m));
	return FIRN_OK;
}

/* ---- nucleation ---- */

enum firn_status firn_nucleation_fraction(const struct firn_supercooled *s, double *ret)
{
	if (!isfinite(s->below_K) || s->below_K < 0 || s->below_K > MOST_BELOW_K ||
	    !is_positive(s->water_kg) || !is_positive(s->water_J_per_kgK) || !(s->glass_kg >= 0) ||
	    !isfinite(s->glass_kg) || !(s->glass_J_per_kgK >= 0) || !isfinite(s->glass_J_per_kgK) ||
	    !is_positive(s->latent_J_per_kg))
		return FIRN_E_DOMAIN;
	*ret = (s->water_kg * s->water_J_per_kgK + s->glass_kg * s->glass_J_per_kgK) * s->below_K /
	       (s->water_kg * s->latent_J_per_kg);
	return FIRN_OK;
}
