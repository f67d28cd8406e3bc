/* Checks of a body before anything is made of it. */
#include "lib/heat/body.h"

#include <math.h>
#include <stdint.h>

#define MOST_HALVINGS 4
#define MOST_GROWTH   2.0

static bool is_positive(double x)
{
	return isfinite(x) && x > 0;
}

static bool is_not_negative(double x)
{
	return isfinite(x) && x >= 0;
}

static bool conducts(const struct firn_conductor *c)
{
	if (!is_positive(c->k_W_per_mK) || !is_not_negative(c->k_axial_W_per_mK) ||
	    !is_not_negative(c->density_kg_per_m3) || !is_not_negative(c->cp_J_per_kgK) ||
	    !is_not_negative(c->latent_J_per_kg))
		return false;
	return c->latent_J_per_kg == 0 ||
	       (isfinite(c->freezing_K) && is_positive(c->k_liquid_W_per_mK) &&
		is_positive(c->cp_liquid_J_per_kgK));
}

/* What is held conducts nothing and stores nothing that matters. */
static bool is_region(const struct firn_region *x)
{
	return is_not_negative(x->r0_m) && isfinite(x->r1_m) && x->r1_m > x->r0_m &&
	       isfinite(x->z0_m) && isfinite(x->z1_m) && x->z1_m > x->z0_m &&
	       isfinite(x->start_K) && isfinite(x->heat_W) && x->liquid >= 0 && x->liquid <= 1 &&
	       (x->is_held || conducts(&x->of));
}

static void widen(struct body_extent *e, const struct firn_region *x)
{
	e->r0_m = fmin(e->r0_m, x->r0_m);
	e->r1_m = fmax(e->r1_m, x->r1_m);
	e->z0_m = fmin(e->z0_m, x->z0_m);
	e->z1_m = fmax(e->z1_m, x->z1_m);
}

static bool is_across_r(enum firn_side side)
{
	return side == FIRN_INNER || side == FIRN_OUTER;
}

void body_boundary_span(const struct firn_boundary *boundary, const struct body_extent *extent,
			double *ret_from_m, double *ret_to_m)
{
	const bool whole = boundary->from_m == 0 && boundary->to_m == 0;
	const bool along_z = is_across_r(boundary->side);

	*ret_from_m = !whole ? boundary->from_m : along_z ? extent->z0_m : extent->r0_m;
	*ret_to_m = !whole ? boundary->to_m : along_z ? extent->z1_m : extent->r1_m;
}

static bool is_boundary(const struct firn_boundary *x, const struct body_extent *e)
{
	const bool along_z = is_across_r(x->side);
	double from_m, to_m;

	if (!isfinite(x->from_m) || !isfinite(x->to_m) || !(x->h_W_per_m2K > 0) ||
	    !isfinite(x->ambient_K) || (x->side == FIRN_INNER && e->r0_m == 0))
		return false;
	body_boundary_span(x, e, &from_m, &to_m);
	return from_m < to_m && from_m >= (along_z ? e->z0_m : e->r0_m) &&
	       to_m <= (along_z ? e->z1_m : e->r1_m);
}

static bool is_contact(const struct firn_contact *x, const struct body_extent *e)
{
	const double low = x->across_z ? e->z0_m : e->r0_m, high = x->across_z ? e->z1_m : e->r1_m;
	const double from = x->across_z ? e->r0_m : e->z0_m, to = x->across_z ? e->r1_m : e->z1_m;

	return x->at_m > low && x->at_m < high && x->from_m >= from && x->from_m < x->to_m &&
	       x->to_m <= to && is_positive(x->h_W_per_m2K);
}

bool body_is_valid(const struct firn_body *body, struct body_extent *ret)
{
	const struct firn_grid *g = &body->grid;

	if (body->n_regions == 0 || body->n_regions > UINT16_MAX ||
	    body->n_boundaries >= UINT16_MAX || body->n_contacts > UINT16_MAX ||
	    !is_positive(g->finest_r_m) || !is_positive(g->finest_z_m) ||
	    !(g->growth >= 1 && g->growth <= MOST_GROWTH) || g->halvings < 0 ||
	    g->halvings > MOST_HALVINGS)
		return false;
	*ret = (struct body_extent){ INFINITY, -INFINITY, INFINITY, -INFINITY };
	for (size_t i = 0; i < body->n_regions; i++) {
		if (!is_region(&body->regions[i]))
			return false;
		widen(ret, &body->regions[i]);
	}
	for (size_t i = 0; i < body->n_boundaries; i++)
		if (!is_boundary(&body->boundaries[i], ret))
			return false;
	for (size_t i = 0; i < body->n_contacts; i++)
		if (!is_contact(&body->contacts[i], ret))
			return false;
	return true;
}
