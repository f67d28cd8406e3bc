/* A water cell in numbers: radii, masses, properties of its ice. */
#include "app/calc/cell_prepare_parts.h"

#include "firn/stem.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

/* From the geometry: round the well, and below it. */
static struct firn_node mass_of_water(struct cell_tape *t, const struct cell_ice *ice)
{
	const struct lab_cell_body *c = &t->study->cell;
	const struct firn_node rho = cell_tape_property(t, "water", FIRN_DENSITY);
	const struct firn_node pi_ = ice->pi, rw = ice->r_well, h = ice->level_m;

	if (lab_stated(&c->water_kg))
		return cell_tape_input(t, "cell.water", "kg", &c->water_kg);

	const struct firn_node R = cell_tape_radius(t, "cell.envelope.bore", &c->envelope.bore_m);
	const struct firn_node below = lab_stated(&c->below_m)
					   ? cell_tape_input(t, "cell.below", "m", &c->below_m)
					   : cell_tape_number(t, 0.0);
	return firn_formula("m = rho*pi_*((R^2 - rw^2)*h + R^2*below)", rho, pi_, R, rw, h, below);
}

bool cell_ice_build(struct cell_tape *t, double k_C, struct cell_ice *ret)
{
	const struct lab_cell_body *c = &t->study->cell;
	struct firn_node wall;

	if (c->medium != LAB_TRIPLE_POINT_CELL)
		cell_tape_lacks(t, c->mark,
				"a mantle of ice is frozen in a water cell only; point: H2O");
	if (!lab_stated(&c->water_kg) && !lab_stated(&c->envelope.bore_m))
		cell_tape_lacks(
		    t, c->mark,
		    "how much water there is can't be told; give envelope: {bore_mm} or "
		    "water_g");
	if (t->failed)
		return false;
	ret->pi = cell_tape_number(t, pi);
	ret->r_bore = cell_tape_radius(t, "cell.well.bore", &c->well.bore_m);
	wall = cell_tape_input(t, "cell.well.wall", "m", &c->well.wall_m);

	const struct firn_node r = ret->r_bore;
	const struct firn_node k = cell_tape_property(t, c->well.material, FIRN_CONDUCTIVITY);
	ret->r_well = firn_formula("r_well = r + wall", r, wall);
	ret->level_m = cell_tape_input(t, "cell.level", "m", &c->level_m);
	ret->water_kg = mass_of_water(t, ret);
	ret->k = cell_tape_property_at(t, "ice", FIRN_CONDUCTIVITY, fmax(k_C, -30.0));
	ret->density = cell_tape_property(t, "ice", FIRN_DENSITY);
	ret->latent = cell_tape_property(t, "ice", FIRN_LATENT_HEAT);
	ret->r_envelope_m = c->envelope.bore_m.value / 2;
	if (firn_shell_of(ret->r_bore, ret->r_well, k, &ret->wall_Km_per_W) < 0)
		cell_tape_lacks(t, c->mark, "the well's bore and wall make no tube");
	return !t->failed;
}

struct firn_node cell_ice_mass(const struct cell_ice *ice, struct firn_node thickness_m)
{
	const struct firn_node rho = ice->density, pi_ = ice->pi, rw = ice->r_well,
			       h = ice->level_m, s = thickness_m;

	return firn_formula("m = rho*pi_*h*((rw + s)^2 - rw^2)", rho, pi_, h, rw, s);
}
