#include "app/calc/cell_rings.h"

#include <math.h>

#define FINEST_R_M  0.4e-3 /* layers that are thinner have cells of their own */
#define FINEST_Z_M  2.4e-3
#define MOST_ACROSS 60.0
#define MOST_ALONG  200.0
#define BELOW_M     5e-3 /* of fluid under the tip, where no pad is stated */
#define NEAR_M      0.04 /* above the element, of a thermometer that enters */
#define SOLID       0.5  /* of the circle within a winding: as firn cell fit has it for two lumps */

static const double pi = 3.14159265358979323846;

static double property(struct cell_tape *t, const char *material, enum firn_property what)
{
	return firn_value(cell_tape_property(t, material, what));
}

static const char *filling(const struct cell_tape *t)
{
	const char *stated = t->study->thermometer.filling;

	return stated != NULL ? stated : "air";
}

/* A material from z0 to z1; the region, to be changed by who needs to. */
static struct firn_region *ring(struct cell_tape *t, struct cell_rings *d, const char *material,
				double r0, double r1, double z0, double z1)
{
	struct firn_region *part = &d->parts[d->n++];

	*part = (struct firn_region){
		.r0_m = r0,
		.r1_m = r1,
		.z0_m = z0,
		.z1_m = z1,
		.of = { .k_W_per_mK = property(t, material, FIRN_CONDUCTIVITY),
			.density_kg_per_m3 = property(t, material, FIRN_DENSITY),
			.cp_J_per_kgK = property(t, material, FIRN_HEAT_CAPACITY) },
	};
	return part;
}

/* Wires on their circle as a ring of their own thickness, with all that they conduct along it. */
static struct firn_region *wires(struct cell_tape *t, const struct cell_stem *s,
				 struct cell_rings *d, double z0, double z1)
{
	const struct lab_stem *th = &t->study->thermometer;
	const double ri = th->sheath.inner_m.value / 2, wire = th->leads.diameter_m.value;
	const double r = th->leads.circle_m.value / 2, at = lab_given(r) ? r : ri / 2;
	const double r0 = fmax(at - wire / 2, 0.0), r1 = fmin(at + wire / 2, 0.99 * ri);
	const double area = pi * (r1 * r1 - r0 * r0),
		     copper = th->leads.count * pi * wire * wire / 4;
	struct firn_region *part = ring(t, d, filling(t), r0, r1, z0, z1);
	const double stored = property(t, th->leads.material, FIRN_DENSITY) *
			      property(t, th->leads.material, FIRN_HEAT_CAPACITY);

	/* the gas outside the ring has its own part of what conducts inside */
	part->of.k_axial_W_per_mK =
	    (firn_value(s->stem.inside_Wm_per_K) - part->of.k_W_per_mK * (pi * ri * ri - area)) /
	    area;
	part->of.density_kg_per_m3 = stored * copper / area; /* the product is what counts */
	part->of.cp_J_per_kgK = 1.0;
	return part;
}

static void well(struct cell_tape *t, const struct cell_stem *s, struct cell_rings *d)
{
	const struct lab_cell_study *study = t->study;
	const struct lab_well_contact *c = &study->contact;
	const double bore = study->cell.well.bore_m.value / 2,
		     wall = bore + study->cell.well.wall_m.value,
		     film = study->cell.point == LAB_H2O ? lab_or(c->melted_m.value, 0.0) : 0.0;
	const double floor = -d->bottom_m, below = wall - bore;

	d->r_m = wall + film;
	if (film > 0.0)
		ring(t, d, "water", 0, d->r_m, floor - below - film, d->top_m);
	ring(t, d, study->cell.well.material, 0, wall, floor - below, d->top_m);
	ring(t, d, c->fluid, 0, bore, floor, d->top_m);
	if (s->bushed)
		ring(t, d, c->bushing.material, c->bushing.inner_m.value / 2,
		     c->bushing.outer_m.value / 2, 0, fmin(firn_value(s->bushing_m), d->top_m));
	d->bottom_m += below + film;
}

/* Everything but the element. */
static void draw(struct cell_tape *t, const struct cell_stem *s, double top_K, double from_K,
		 struct cell_rings *d)
{
	const struct lab_cell_study *study = t->study;
	const struct lab_stem *th = &study->thermometer;
	const double ro = th->sheath.outer_m.value / 2, ri = th->sheath.inner_m.value / 2;

	*d = (struct cell_rings){
		.r_m = ro,
		.top_m = firn_value(s->depth_m),
		.bottom_m = fmax(lab_or(study->contact.pad_m.value, 0.0), BELOW_M),
		.sides = { { .side = FIRN_TOP,
			     .to_m = ro,
			     .h_W_per_m2K = INFINITY,
			     .ambient_K = top_K },
			   { .side = FIRN_OUTER, .h_W_per_m2K = INFINITY },
			   { .side = FIRN_BOTTOM, .h_W_per_m2K = INFINITY } },
	};
	if (study->cell.medium == LAB_ICE_BATH) {
		const double film = 2 * pi * ro * firn_value(s->stem.outward_Km_per_W);

		d->bottom_m = 0.0;
		d->sides[1].h_W_per_m2K = d->sides[2].h_W_per_m2K = 1 / film;
	} else {
		well(t, s, d);
	}
	ring(t, d, th->sheath.material, 0, ro, 0, d->top_m)->start_K = from_K;
	ring(t, d, filling(t), 0, ri, ro - ri, d->top_m)->start_K = from_K;
	wires(t, s, d, ro - ri, d->top_m)->start_K = from_K;
}

static double element_bottom(const struct cell_tape *t, const struct cell_stem *s)
{
	const struct lab_tube *sheath = &t->study->thermometer.sheath;

	return fmax(firn_value(s->from_tip_m), (sheath->outer_m.value - sheath->inner_m.value) / 2);
}

void cell_rings_draw(struct cell_tape *t, const struct cell_stem *s, double top_K,
		     struct cell_rings *ret)
{
	draw(t, s, top_K, 0.0, ret);
	ret->element = ret->n;
	wires(t, s, ret, element_bottom(t, s), firn_value(s->from_tip_m) + firn_value(s->length_m));
}

void cell_rings_draw_entering(struct cell_tape *t, const struct cell_stem *s, double from_K,
			      struct cell_rings *ret)
{
	const struct lab_stem *th = &t->study->thermometer;
	const char *material = th->element.material != NULL ? th->element.material : "fused silica";
	const double ri = th->sheath.inner_m.value / 2, z0 = element_bottom(t, s),
		     z1 = firn_value(s->from_tip_m) + firn_value(s->length_m);
	const double r = lab_or(th->element.diameter_m.value / 2, 0.8 * ri), inner = 0.9 * r;
	struct firn_region *former;

	draw(t, s, 0.0, from_K, ret);
	/* what lies further up than a few lengths of decay has no part in it */
	ret->top_m = fmin(ret->top_m, z1 + NEAR_M);
	for (size_t i = 0; i < ret->n; i++)
		ret->parts[i].z1_m = fmin(ret->parts[i].z1_m, ret->top_m);
	former = ring(t, ret, material, 0, r, z0, z1);
	former->start_K = from_K;
	former->of.k_W_per_mK = SOLID * former->of.k_W_per_mK +
				(1 - SOLID) * property(t, filling(t), FIRN_CONDUCTIVITY);
	former->of.density_kg_per_m3 *= SOLID;
	ret->element = ret->n;
	ret->parts[ret->n++] = *former; /* the winding is its outermost tenth */
	ret->parts[ret->element].r0_m = inner;
}

struct firn_body cell_rings_body(const struct cell_rings *rings, int halvings)
{
	return (struct firn_body){
		.n_regions = rings->n,
		.n_boundaries = G_N_ELEMENTS(rings->sides),
		.regions = rings->parts,
		.boundaries = rings->sides,
		.grid = { fmax(FINEST_R_M, rings->r_m / MOST_ACROSS),
			  fmax(FINEST_Z_M, rings->top_m / MOST_ALONG), 1.0, halvings },
	};
}
