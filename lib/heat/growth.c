#include "firn/growth.h"

#include "firn/heat.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static bool is_positive(struct firn_node x)
{
	const double value = firn_value(x);

	return isfinite(value) && value > 0;
}

static bool is_growth(const struct firn_growth *g)
{
	return is_positive(g->r_cold_m) && is_positive(g->below_K) &&
	       firn_value(g->series_Km_per_W) >= 0 && is_positive(g->k_W_per_mK) &&
	       is_positive(g->density_kg_per_m3) && is_positive(g->latent_J_per_kg);
}

enum firn_status firn_growth_time(const struct firn_growth *growth, struct firn_node r_front_m,
				  struct firn_node *ret_s)
{
	if (!is_growth(growth) || !is_positive(r_front_m))
		return FIRN_E_DOMAIN;

	const struct firn_node r = r_front_m, r0 = growth->r_cold_m, dT = growth->below_K,
			       R = growth->series_Km_per_W, k = growth->k_W_per_mK,
			       rho = growth->density_kg_per_m3, L = growth->latent_J_per_kg;
	const struct firn_node t =
	    firn_formula("t = rho*L/dT*((2*r^2*ln(r/r0) - r^2 + r0^2)/(4*k) + "
			 "3.14159265358979323846*abs(r^2 - r0^2)*R)",
			 rho, L, dT, r, r0, k, R);
	const enum firn_status status = firn_tape_status(t.tape);

	if (status >= 0)
		*ret_s = t;
	return status;
}

/* A row as t = a + b/h, over t: the part of the time that the contact has to answer for. */
static bool row(const struct firn_growth *g, double contact_r_m, double t_s, double r,
		double *ret_a, double *ret_b)
{
	const struct firn_solid ice = { firn_value(g->k_W_per_mK), firn_value(g->density_kg_per_m3),
					1.0, firn_value(g->latent_J_per_kg) };
	struct firn_cylinder c = { firn_value(g->r_cold_m), r, firn_value(g->below_K),
				   firn_value(g->series_Km_per_W) };
	double without, with;

	if (!isfinite(t_s) || !(t_s > 0) || !(fabs(r - c.r_cold_m) > 0) ||
	    firn_cylinder_time(&ice, &c, &without) < 0)
		return false;
	c.series_Km_per_W += 1 / (2 * pi * contact_r_m);
	if (firn_cylinder_time(&ice, &c, &with) < 0)
		return false;
	*ret_a = without / t_s;
	*ret_b = (with - without) / t_s;
	return true;
}

enum firn_status firn_growth_contact(const struct firn_growth *growth, double contact_r_m, size_t n,
				     const double *time_s, const double *r_front_m,
				     struct firn_node *ret_h_W_per_m2K)
{
	double sum_b = 0, sum_bb = 0, residual = 0, a, b;

	if (!is_growth(growth) || !(isfinite(contact_r_m) && contact_r_m > 0) || n == 0)
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++) {
		if (!row(growth, contact_r_m, time_s[i], r_front_m[i], &a, &b))
			return FIRN_E_DOMAIN;
		sum_b += b * (1 - a);
		sum_bb += b * b;
	}
	const double x = sum_b / sum_bb;
	if (!(x > 0))
		return FIRN_E_SINGULAR;
	for (size_t i = 0; i < n; i++) {
		(void)row(growth, contact_r_m, time_s[i], r_front_m[i], &a, &b);
		residual += (1 - a - b * x) * (1 - a - b * x);
	}
	const struct firn_input input = {
		.name = "contact.resistance",
		.unit = "m2 K/W",
		.source = "fit to recorded thicknesses",
		.value = x,
		.u = n == 1 ? x / 2 : sqrt(residual / (double)(n - 1) / sum_bb),
		.dof = n == 1 ? 0 : (double)(n - 1),
	};
	const struct firn_node resistance = firn_tape_input(growth->below_K.tape, &input);
	const struct firn_node h = firn_formula("h = 1/resistance", resistance);
	const enum firn_status status = firn_tape_status(h.tape);

	if (status < 0)
		return status;
	*ret_h_W_per_m2K = h;
	return n == 1 ? FIRN_WARN_FEW : FIRN_OK;
}
