/* A mantle in its surroundings: how it melts from outside, or how ice grows in from the envelope.
 */
#include "app/calc/cell_keep_parts.h"

#include "firn/stem.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

/* Where no film is stated, W/(m2 K): a stirred bath, a block with a gap of air, packed ice, air.
   All ours, with a u that covers most of what is built. */
static const struct {
	double h, u;
} usual_film[] = {
	[LAB_CRUSHED_ICE] = { 1000, 400 },
	[LAB_BATH] = { 500, 200 },
	[LAB_BLOCK] = { 50, 25 },
	[LAB_ROOM_AIR] = { 8, 3 },
};
#define LEAST_M     3e-3 /* of a mantle that counts as whole: it is uneven; ours */
#define WET_ICE_U_C 1e-3 /* of ice and water at 0 degC */

/* Temperature of what the cell stands in, above its own. */
static struct firn_node offset_of(struct cell_tape *t)
{
	const struct lab_surroundings *s = &t->study->surroundings;
	const struct firn_node own = cell_tape_number(t, t->t_C);
	struct firn_node air;

	if (s->keeping == LAB_CRUSHED_ICE) {
		const struct firn_node ice = cell_tape_assumed(t, "wet ice", "°C", 0.0, WET_ICE_U_C,
							       "packed ice and water, full of air");

		return firn_formula("offset = ice - own", ice, own);
	}
	if (s->keeping == LAB_ROOM_AIR) {
		air = cell_tape_input(t, "surroundings.ambient", "°C", &s->ambient_C);
		return firn_formula("offset = air - own", air, own);
	}
	const struct firn_node bath = cell_tape_input(t, "surroundings.offset", "K", &s->offset_K);
	if (!lab_stated(&s->spread_K))
		return bath;
	/* anywhere between the warmest and the coldest place */
	const struct firn_node place =
	    cell_tape_assumed(t, "surroundings.spread", "K", 0.0, s->spread_K.value / sqrt(12.0),
			      "spread of the bath, rectangular");
	return firn_formula("offset = bath + place", bath, place);
}

static bool is_complete(struct cell_tape *t)
{
	const struct lab_cell_study *study = t->study;
	const struct lab_surroundings *s = &study->surroundings;
	const struct lab_cell_body *c = &study->cell;

	if (!study->mantle.given)
		cell_tape_lacks(t, (struct base_mark){ 1, 1 },
				"the file has no mantle; add mantle: {way, frozen, ice_mm}");
	else if (!lab_stated(&study->mantle.ice_m))
		cell_tape_lacks(
		    t, study->mantle.mark,
		    "the mantle has no ice_mm; say how thick it was when it was frozen");
	if (s->keeping == LAB_KEPT_NOT_SAID)
		cell_tape_lacks(t, s->mark.line > 0 ? s->mark : c->mark,
				"what the cell stands in is not said; add surroundings: {kept_in: "
				"crushed ice, bath, block or air}");
	else if (s->keeping == LAB_ROOM_AIR && !lab_stated(&s->ambient_C))
		cell_tape_lacks(t, s->mark,
				"surroundings have no ambient_C; say how warm the air is");
	else if ((s->keeping == LAB_BATH || s->keeping == LAB_BLOCK) && !lab_stated(&s->offset_K))
		cell_tape_lacks(
		    t, s->mark,
		    "surroundings have no offset_mK; say how far the %s is above 0.01 °C "
		    "(below: negative)",
		    lab_keeping_name(s->keeping));
	if (!lab_stated(&c->envelope.bore_m) || !lab_stated(&c->envelope.wall_m) ||
	    c->envelope.material == NULL)
		cell_tape_lacks(
		    t, c->mark,
		    "heat comes through the envelope; give envelope: {material, bore_mm, "
		    "wall_mm}");
	return !t->failed;
}

static struct firn_node film_of(struct cell_tape *t, lab_cell_keep *keep)
{
	const struct lab_surroundings *s = &t->study->surroundings;

	if (lab_stated(&s->film_W_per_m2K))
		return cell_tape_input(t, "surroundings.film", "W/(m2 K)", &s->film_W_per_m2K);
	cell_keep_say(
	    keep->reservations, keep,
	    "The film between envelope and %s is not stated (film_W_per_m2K): %.0f W/(m2 K) "
	    "with a u of %.0f is assumed; it is ours.",
	    lab_keeping_name(s->keeping), usual_film[s->keeping].h, usual_film[s->keeping].u);
	return cell_tape_assumed(t, "surroundings.film", "W/(m2 K)", usual_film[s->keeping].h,
				 usual_film[s->keeping].u, "assumed, ours");
}

/* u of the heat flow, as part of it: everything but the state itself. */
static double u_of_flow(struct cell_tape *t, const struct cell_course *c, struct firn_node offset,
			struct firn_node k_layer, struct firn_node series)
{
	const double width = c->course == LAB_MANTLE_GROWS
				 ? log(c->r_glass_m / (c->r_glass_m - 0.5 * c->first_m))
				 : log(c->r_glass_m / (c->r_well_m + c->first_m));
	const struct firn_node layer = cell_tape_number(t, width / (2 * pi));
	const struct firn_node q =
	    firn_formula("q = offset/(layer/k_layer + series)", offset, layer, k_layer, series);

	return firn_u(q) / fabs(firn_value(q));
}

bool cell_course_build(struct cell_tape *t, const struct cell_ice *ice, lab_cell_keep *keep,
		       struct cell_course *ret)
{
	const struct lab_cell_body *c = &t->study->cell;
	struct firn_node glass, film, h;

	if (!is_complete(t))
		return false;

	const struct firn_node offset = offset_of(t);
	const struct firn_node kw = cell_tape_property(t, "water", FIRN_CONDUCTIVITY);
	const struct firn_node kg = cell_tape_property(t, c->envelope.material, FIRN_CONDUCTIVITY);
	const struct firn_node R = cell_tape_radius(t, "cell.envelope", &c->envelope.bore_m);
	const struct firn_node wall =
	    cell_tape_input(t, "cell.envelope.wall", "m", &c->envelope.wall_m);
	const struct firn_node outer = firn_formula("outer = R + wall", R, wall);
	h = film_of(t, keep);
	if (firn_shell_of(R, outer, kg, &glass) < 0 || firn_film_of(outer, h, &film) < 0)
		return false;
	const struct firn_node series = firn_add(glass, film);

	*ret = (struct cell_course){
		.ice = { firn_value(ice->k), firn_value(ice->density),
			 firn_value(cell_tape_property(t, "ice", FIRN_HEAT_CAPACITY)),
			 firn_value(ice->latent) },
		.r_well_m = firn_value(ice->r_well),
		.r_glass_m = firn_value(R),
		.r_cell_m = firn_value(outer),
		.level_m = firn_value(ice->level_m),
		.k_water_W_per_mK = firn_value(kw),
		.series_Km_per_W = firn_value(series),
		.offset_K = firn_value(offset),
		.u_offset_K = firn_u(offset),
		.first_m = t->study->mantle.ice_m.value,
		.u_first_m = lab_or(t->study->mantle.ice_m.u, 0.0),
		.least_m = LEAST_M,
	};
	ret->course = ret->offset_K > 0.0   ? LAB_MANTLE_MELTS
		      : ret->offset_K < 0.0 ? LAB_MANTLE_GROWS
					    : LAB_MANTLE_STAYS;
	keep->offset_K = cell_tape_estimate(offset);
	if (ret->r_well_m + ret->first_m >= ret->r_glass_m) {
		cell_tape_lacks(t, t->study->mantle.ice_m.mark,
				"a mantle of %.4g mm does not fit between well and envelope; check "
				"ice_mm",
				1e3 * ret->first_m);
		return false;
	}
	if (ret->course != LAB_MANTLE_STAYS)
		ret->u_rate = u_of_flow(t, ret, offset,
					ret->course == LAB_MANTLE_GROWS ? ice->k : kw, series);
	return !t->failed;
}

/* Glass and film as one wall of glass, for the forms that know one only. */
static struct firn_mantle melting(const struct cell_course *c, double ice_m)
{
	return (struct firn_mantle){
		.r_inner_m = c->r_well_m,
		.r_outer_m = c->r_well_m + ice_m,
		.r_glass_m = c->r_glass_m,
		.r_cell_m = c->r_cell_m,
		.k_water_W_per_mK = c->k_water_W_per_mK,
		.k_glass_W_per_mK = log(c->r_cell_m / c->r_glass_m) / (2 * pi * c->series_Km_per_W),
		.above_K = c->offset_K,
	};
}

/* Of a shell that grows in from the envelope. */
static double growth_s(const struct cell_course *c, double shell_m)
{
	const struct firn_cylinder shell = { c->r_glass_m, c->r_glass_m - shell_m, -c->offset_K,
					     c->series_Km_per_W };
	double s = 0.0;

	return shell_m > 0.0 && firn_cylinder_time(&c->ice, &shell, &s) >= 0 ? s : 0.0;
}

static double life_s(const struct cell_course *c, double ice_m)
{
	const struct firn_mantle m = melting(c, ice_m);
	double s = 0.0;

	return ice_m > 0.0 && firn_mantle_life(&c->ice, &m, &s) >= 0 ? s : 0.0;
}

double cell_course_left(const struct cell_course *c, double ice_m)
{
	if (c->course == LAB_MANTLE_MELTS)
		return life_s(c, ice_m) - life_s(c, c->least_m);

	const double room = c->r_glass_m - c->r_well_m - c->first_m;
	const double shell = fmin(fmax(ice_m - c->first_m, 0.0), room);
	return growth_s(c, room) - growth_s(c, shell);
}

/* `left` falls with the thickness while ice grows, and rises with it while it melts. */
double cell_course_ice(const struct cell_course *c, double left_s)
{
	const bool melts = c->course == LAB_MANTLE_MELTS;
	const double most = c->r_glass_m - c->r_well_m;
	double low = melts ? 0.0 : c->first_m, high = melts ? 0.999 * most : most;

	for (int i = 0; i < 60; i++) {
		const double middle = (low + high) / 2;

		if ((cell_course_left(c, middle) < left_s) == melts)
			low = middle;
		else
			high = middle;
	}
	return (low + high) / 2;
}

double cell_course_power(const struct cell_course *c, double ice_m)
{
	const struct firn_mantle m = melting(c, fmax(ice_m, 1e-6));
	double q = 0.0;

	if (c->course == LAB_MANTLE_MELTS)
		return firn_mantle_heat(&m, &q) >= 0 ? q * c->level_m : 0.0;
	if (c->course == LAB_MANTLE_STAYS)
		return 0.0;
	/* through the shell that has grown */
	const double shell = fmax(ice_m - c->first_m, 0.0);
	return c->offset_K * c->level_m /
	       (log(c->r_glass_m / (c->r_glass_m - shell)) / (2 * pi * c->ice.k_W_per_mK) +
		c->series_Km_per_W);
}

double cell_course_cost(const struct cell_course *c, double ice_m, double mass_kg)
{
	if (c->course != LAB_MANTLE_MELTS)
		return LAB_NOT_GIVEN;

	const double r = c->r_well_m + ice_m,
		     a = mass_kg / (pi * c->level_m * c->ice.density_kg_per_m3);
	const double thinner = sqrt(fmax(r * r - a, c->r_well_m * c->r_well_m)) - c->r_well_m;
	return life_s(c, ice_m) - life_s(c, thinner);
}
