#include "app/calc/cell_stem.h"

#include <math.h>

/* Where nothing is stated. A gas of the air's conductivity fills most sheaths (common practice, no
   source); the others are ours, with a u that covers what is built. */
static const char *const usual_filling = "air";
static const char *const usual_former = "fused silica";
#define USUAL_CIRCLE  0.5   /* of the sheath's bore; u a sixth of it */
#define USUAL_ELEMENT 0.8   /* the winding's diameter, of the sheath's bore */
#define FORMER_PART   0.5   /* of the circle within the winding that is solid; u 0.15 */
#define USUAL_FILM_W  300.0 /* sheath to packed ice and water, W/(m2 K) */
#define USUAL_FILM_U  100.0

static const double pi = 3.14159265358979323846;

/* What the radii and materials of a stem come to, on the way to resistances. */
struct parts {
	struct cell_tape *t;
	struct cell_stem *s;
	struct firn_node pi, r_out, r_in, k_sheath, k_filling;
	struct firn_node r_circle, r_element, wire_m2; /* wires: area of all */
	struct firn_node store_fluid; /* heat capacity of what lies between sheath and well */
	const char *filling, *former;
};

static void inner_radii(struct parts *p)
{
	const struct lab_stem *th = &p->t->study->thermometer;
	const struct firn_node r = p->r_in;

	if (lab_stated(&th->leads.circle_m)) {
		p->r_circle =
		    cell_tape_radius(p->t, "thermometer.leads.circle", &th->leads.circle_m);
	} else {
		const struct firn_node part =
		    cell_tape_assumed(p->t, "thermometer.leads.circle of bore", "1", USUAL_CIRCLE,
				      USUAL_CIRCLE / 6, "assumed: half of the sheath's bore");

		p->r_circle = firn_formula("r_circle = part*r", part, r);
		p->s->circle_assumed = true;
	}
	if (lab_stated(&th->element.diameter_m)) {
		p->r_element =
		    cell_tape_radius(p->t, "thermometer.element.diameter", &th->element.diameter_m);
	} else {
		const struct firn_node part = cell_tape_assumed(
		    p->t, "thermometer.element.diameter of bore", "1", USUAL_ELEMENT,
		    USUAL_ELEMENT / 12, "assumed: eight tenths of the sheath's bore");

		p->r_element = firn_formula("r_element = part*r", part, r);
		p->s->element_assumed = true;
	}
}

static void along_the_stem(struct parts *p)
{
	const struct lab_stem *th = &p->t->study->thermometer;
	struct cell_tape *t = p->t;
	const struct firn_node pi_ = p->pi, ro = p->r_out, ri = p->r_in, ks = p->k_sheath,
			       kf = p->k_filling;
	const struct firn_node d =
	    cell_tape_input(t, "thermometer.leads.diameter", "m", &th->leads.diameter_m);
	const struct firn_node n = cell_tape_number(t, th->leads.count);
	const struct firn_node kl = cell_tape_property(t, th->leads.material, FIRN_CONDUCTIVITY);

	p->wire_m2 = firn_formula("wires = n*pi_*d^2/4", n, pi_, d);
	const struct firn_node w = p->wire_m2;
	p->s->stem.sheath_Wm_per_K =
	    firn_formula("kA_sheath = pi_*(ro^2 - ri^2)*ks", pi_, ro, ri, ks);
	p->s->stem.inside_Wm_per_K =
	    firn_formula("kA_inside = w*kl + (pi_*ri^2 - w)*kf", w, kl, pi_, ri, kf);
}

/* Adds a shell; false: the radii leave no room for it. */
static bool add_shell(struct firn_node *sum, struct firn_node r1, struct firn_node r2,
		      struct firn_node k)
{
	struct firn_node shell;

	if (firn_shell_of(r1, r2, k, &shell) < 0)
		return false;
	*sum = sum->index == 0 ? shell : firn_add(*sum, shell);
	return true;
}

static struct firn_node store(struct parts *p, const char *material, struct firn_node r1,
			      struct firn_node r2)
{
	const struct firn_node rho = cell_tape_property(p->t, material, FIRN_DENSITY);
	const struct firn_node c = cell_tape_property(p->t, material, FIRN_HEAT_CAPACITY);
	const struct firn_node pi_ = p->pi;

	return firn_formula("C = rho*c*pi_*(r2^2 - r1^2)", rho, c, pi_, r1, r2);
}

/* Sheath to the ice of a bath: a film. */
static bool outward_in_ice(struct parts *p)
{
	const struct lab_quantity *film = &p->t->study->surroundings.film_W_per_m2K;
	struct firn_node h, sum;

	if (lab_stated(film)) {
		h = cell_tape_input(p->t, "surroundings.film", "W/(m2 K)", film);
	} else {
		h = cell_tape_assumed(p->t, "surroundings.film", "W/(m2 K)", USUAL_FILM_W,
				      USUAL_FILM_U, "assumed: packed ice and water, ours");
		p->s->film_assumed = true;
	}
	if (firn_film_of(p->r_out, h, &sum) < 0)
		return false;
	p->s->stem.outward_Km_per_W = sum;
	p->store_fluid = cell_tape_number(p->t, 0.0);
	return true;
}

/* The well's wall, and the film of water between it and the ice. */
static bool add_wall(struct parts *p, struct firn_node bore, struct firn_node *sum)
{
	const struct lab_cell_study *study = p->t->study;
	const struct firn_node kw =
	    cell_tape_property(p->t, study->cell.well.material, FIRN_CONDUCTIVITY);
	const struct firn_node wall =
	    cell_tape_input(p->t, "cell.well.wall", "m", &study->cell.well.wall_m);
	const struct firn_node r = firn_formula("r = bore + wall", bore, wall);

	if (!add_shell(sum, bore, r, kw))
		return false;
	if (!lab_stated(&study->contact.melted_m) || study->contact.melted_m.value <= 0.0 ||
	    study->cell.point != LAB_H2O)
		return true;
	const struct firn_node film =
	    cell_tape_input(p->t, "contact.melted", "m", &study->contact.melted_m);
	return add_shell(sum, r, firn_formula("r2 = r + film", r, film),
			 cell_tape_property(p->t, "water", FIRN_CONDUCTIVITY));
}

static bool outward_in_well(struct parts *p)
{
	const struct lab_cell_study *study = p->t->study;
	const struct lab_well_contact *c = &study->contact;
	struct cell_tape *t = p->t;
	const struct firn_node bore =
	    cell_tape_radius(t, "cell.well.bore", &study->cell.well.bore_m);
	const struct firn_node kf = cell_tape_property(t, c->fluid, FIRN_CONDUCTIVITY);
	struct firn_node sum = { 0 }, bushed = { 0 };

	p->s->why_not = "the sheath is as wide as the well, or wider";
	if (!add_shell(&sum, p->r_out, bore, kf) || !add_wall(p, bore, &sum))
		return false;
	p->s->why_not = NULL;
	p->s->stem.outward_Km_per_W = sum;
	p->s->in_bushing = p->s->stem;
	p->store_fluid = store(p, c->fluid, p->r_out, bore);
	if (!c->bushed)
		return true;

	const struct firn_node inner =
	    cell_tape_radius(t, "contact.bushing.inner", &c->bushing.inner_m);
	const struct firn_node outer =
	    cell_tape_radius(t, "contact.bushing.outer", &c->bushing.outer_m);
	const struct firn_node kb = cell_tape_property(t, c->bushing.material, FIRN_CONDUCTIVITY);
	p->s->why_not = "the bushing does not go between the sheath and the well";
	if (!add_shell(&bushed, p->r_out, inner, kf) || !add_shell(&bushed, inner, outer, kb) ||
	    !add_shell(&bushed, outer, bore, kf) || !add_wall(p, bore, &bushed))
		return false;
	p->s->why_not = NULL;
	p->s->bushed = true;
	p->s->in_bushing.outward_Km_per_W = bushed;
	p->store_fluid = store(p, c->bushing.material, inner, outer);
	return true;
}

static void at_the_element(struct parts *p)
{
	struct cell_tape *t = p->t;
	struct cell_stem *s = p->s;
	const struct lab_stem *th = &t->study->thermometer;
	const struct firn_node outward = s->in_bushing.outward_Km_per_W, l = s->length_m;
	const struct firn_node solid = cell_tape_assumed(
	    t, "solid part of the former", "1", FORMER_PART, 0.15, "assumed: half of the circle");
	const struct firn_node former = store(p, p->former, cell_tape_number(t, 0.0), p->r_element);
	const struct firn_node sheath = store(p, th->sheath.material, p->r_in, p->r_out);
	const struct firn_node fluid = p->store_fluid;
	const struct firn_node rest = store(p, p->filling, p->r_element, p->r_in);
	struct firn_node gap = { 0 }, wall = { 0 };

	/* what lies outside the sheath is warmed through, half of it on average */
	s->settling.inside_J_per_mK =
	    firn_formula("C_inside = solid*former + rest", solid, former, rest);
	s->settling.sheath_J_per_mK = firn_formula("C_sheath = sheath + fluid/2", sheath, fluid);
	s->settling.outward_Km_per_W = outward;
	if (!add_shell(&gap, p->r_element, p->r_in, p->k_filling)) {
		s->why_not = "the element is as wide as the bore of its sheath, or wider";
		return;
	}
	s->settling.gap_Km_per_W = gap;
	s->outside_K_per_W = firn_formula("R_outside = outward/l", outward, l);
	if (lab_stated(&th->inside_K_per_W)) {
		s->inside_K_per_W =
		    cell_tape_input(t, "thermometer.inside", "K/W", &th->inside_K_per_W);
	} else if (lab_stated(&th->element.diameter_m) &&
		   add_shell(&wall, p->r_in, p->r_out, p->k_sheath)) {
		s->inside_K_per_W = firn_formula("R_inside = (gap + wall)/l", gap, wall, l);
	}
}

static void heat_brought(struct parts *p)
{
	struct cell_tape *t = p->t;
	const struct lab_stem *th = &t->study->thermometer;
	const struct firn_node L = p->s->surface_m, l = p->s->length_m, w = p->wire_m2;

	if (lab_stated(&th->heat_capacity_J_per_K)) {
		p->s->heat_capacity_J_per_K = cell_tape_input(t, "thermometer.heat_capacity", "J/K",
							      &th->heat_capacity_J_per_K);
		return;
	}
	const struct firn_node sheath = store(p, th->sheath.material, p->r_in, p->r_out);
	const struct firn_node rho = cell_tape_property(t, th->leads.material, FIRN_DENSITY);
	const struct firn_node c = cell_tape_property(t, th->leads.material, FIRN_HEAT_CAPACITY);
	const struct firn_node inside = p->s->settling.inside_J_per_mK;
	const struct firn_node above =
	    store(p, p->filling, cell_tape_number(t, 0.0), p->r_in); /* the element */

	p->s->heat_capacity_J_per_K =
	    firn_formula("C = (sheath + w*rho*c)*L + inside*l + above*(L - l)", sheath, w, rho, c,
			 L, inside, l, above);
}

static const char *melting_material(enum lab_point point)
{
	switch (point) {
	case LAB_GA:
		return "gallium";
	case LAB_IN:
		return "indium";
	case LAB_SN:
		return "tin";
	case LAB_ZN:
		return "zinc";
	case LAB_AL:
		return "aluminium";
	case LAB_AG:
		return "silver";
	case LAB_HG:
		return "mercury liquid";
	default:
		return "ice";
	}
}

/* Where the tip stands, and what covers it. */
static bool depths(struct parts *p)
{
	const struct lab_cell_study *study = p->t->study;
	struct cell_tape *t = p->t;
	struct firn_node level = cell_tape_input(t, "cell.level", "m", &study->cell.level_m);
	const struct lab_stem *th = &study->thermometer;

	if (lab_stated(&study->contact.pad_m)) {
		const struct firn_node pad =
		    cell_tape_input(t, "contact.pad", "m", &study->contact.pad_m);

		level = firn_sub(level, pad);
	}
	p->s->surface_m = level;
	p->s->depth_m = level;
	if (lab_stated(&study->surroundings.cover_m))
		p->s->depth_m = firn_add(level, cell_tape_input(t, "surroundings.cover", "m",
								&study->surroundings.cover_m));
	p->s->length_m =
	    cell_tape_input(t, "thermometer.element.length", "m", &th->element.length_m);
	p->s->from_tip_m =
	    lab_stated(&th->element.from_tip_m)
		? cell_tape_input(t, "thermometer.element.from_tip", "m", &th->element.from_tip_m)
		: cell_tape_number(t, 0.0);
	if (firn_value(p->s->from_tip_m) + firn_value(p->s->length_m) >= firn_value(level)) {
		p->s->why_not = "the element is not wholly below the surface";
		return false;
	}
	return true;
}

static void complain_of_gaps(struct cell_tape *t)
{
	const struct lab_cell_study *study = t->study;
	const struct lab_stem *th = &study->thermometer;

	if (!th->given)
		cell_tape_lacks(t, (struct base_mark){ 1, 1 },
				"the file has no thermometer; add thermometer: {nominal_ohm, "
				"sheath, leads, element}");
	if (study->cell.medium != LAB_ICE_BATH && study->contact.fluid == NULL)
		cell_tape_lacks(t, study->cell.mark,
				"what fills the well is not said; add contact: {fluid: water}");
	if (!lab_stated(&study->surroundings.ambient_C))
		cell_tape_lacks(t, study->cell.mark,
				"the temperature at the top of the stem is not said; add "
				"surroundings: {ambient_C: 21}");
}

bool cell_stem_build(struct cell_tape *t, struct cell_stem *ret)
{
	const struct lab_stem *th = &t->study->thermometer;
	struct parts p = { .t = t, .s = ret };

	*ret = (struct cell_stem){ 0 };
	complain_of_gaps(t);
	if (t->failed)
		return false;
	p.filling = th->filling != NULL ? th->filling : usual_filling;
	p.former = th->element.material != NULL ? th->element.material : usual_former;
	ret->filling_assumed = th->filling == NULL;
	p.pi = cell_tape_number(t, pi);
	p.r_out = cell_tape_radius(t, "thermometer.sheath.outer", &th->sheath.outer_m);
	p.r_in = cell_tape_radius(t, "thermometer.sheath.inner", &th->sheath.inner_m);
	p.k_sheath = cell_tape_property(t, th->sheath.material, FIRN_CONDUCTIVITY);
	p.k_filling = cell_tape_property(t, p.filling, FIRN_CONDUCTIVITY);
	inner_radii(&p);
	if (!depths(&p))
		return !t->failed;
	along_the_stem(&p);
	if (!add_shell(&ret->stem.gap_Km_per_W, p.r_circle, p.r_in, p.k_filling)) {
		ret->why_not = "the wires stand on a circle as wide as the bore of their sheath";
		return !t->failed;
	}
	ret->in_bushing = ret->stem;
	if (!(t->study->cell.medium == LAB_ICE_BATH ? outward_in_ice(&p) : outward_in_well(&p)))
		return !t->failed;
	ret->in_bushing.inside_Wm_per_K = ret->stem.inside_Wm_per_K;
	if (t->study->cell.medium == LAB_ICE_BATH)
		ret->in_bushing = ret->stem;
	if (ret->bushed)
		ret->bushing_m = lab_stated(&t->study->contact.bushing.length_m)
				     ? cell_tape_input(t, "contact.bushing.length", "m",
						       &t->study->contact.bushing.length_m)
				     : ret->surface_m;
	at_the_element(&p);
	heat_brought(&p);
	ret->latent_J_per_kg =
	    cell_tape_property(t, melting_material(t->study->cell.point), FIRN_LATENT_HEAT);
	return !t->failed;
}

/*
 * A bushing that ends below the surface: down to its top the wires follow the slow part of the bare
 * well, and from there a fin begins at what is left. Both conductors begin it at the temperature of
 * the wires, so that the answer is above the true one.
 */
static struct firn_node in_two_parts(const struct cell_stem *s, struct firn_node depth,
				     struct firn_place *place, struct firn_stem_answer *ret)
{
	struct firn_stem_answer bare;

	if (firn_stem_error(&s->stem, place, &bare) < 0)
		return (struct firn_node){ 0 };
	place->depth_m = s->bushing_m;
	if (firn_stem_error(&s->in_bushing, place, ret) < 0)
		return (struct firn_node){ 0 };

	const struct firn_node slow = bare.slow_m, fast = bare.fast_m, b = s->bushing_m,
			       part = ret->error;
	const struct firn_node left = firn_formula(
	    "left = slow^2/(slow^2 - fast^2)*exp((b - depth)/slow)", slow, fast, b, depth);
	ret->flow_W_per_K = bare.flow_W_per_K;
	return firn_formula("error = left*part", left, part);
}

struct firn_node cell_stem_error(const struct cell_stem *s, double lift_m,
				 struct firn_stem_answer *ret_answer)
{
	const struct firn_node lift = firn_constant(s->depth_m.tape, lift_m);
	const struct firn_node depth = firn_sub(s->depth_m, lift);
	struct firn_place place = { depth, s->from_tip_m, s->length_m };
	const struct firn_node none = { 0 };

	if (firn_value(s->surface_m) - lift_m <=
	    firn_value(s->from_tip_m) + firn_value(s->length_m))
		return none;
	const double element = firn_value(s->from_tip_m) + firn_value(s->length_m);
	if (s->bushed && firn_value(s->bushing_m) < firn_value(depth) &&
	    firn_value(s->bushing_m) >= element)
		return in_two_parts(s, depth, &place, ret_answer);

	const bool covered = s->bushed && firn_value(s->bushing_m) >= element;
	if (firn_stem_error(covered ? &s->in_bushing : &s->stem, &place, ret_answer) < 0)
		return none;
	return ret_answer->error;
}
