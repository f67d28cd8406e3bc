/* The same arrangement on a grid of rings: what two fins leave out of the shape. */
#include "app/calc/cell_fit_parts.h"

#include "firn/conduction.h"

#include <math.h>

#define FINEST_R_M                                                                                 \
	0.4e-3 /* before it is halved twice; layers that are thinner have cells of their own */
#define FINEST_Z_M  2.4e-3
#define MOST_ACROSS 60.0 /* steps before halving, so that no arrangement takes long */
#define MOST_ALONG  200.0
#define BELOW_M     5e-3 /* of fluid under the tip, where no pad is stated */
#define MOST_PARTS  16

static const double pi = 3.14159265358979323846;

/* Regions as they come; z upwards from the tip. */
struct drawing {
	struct firn_region parts[MOST_PARTS];
	size_t n;
	double top_m, bottom_m;
};

static void ring(struct drawing *d, double r0, double r1, double z0, double z1, double k,
		 double k_axial)
{
	d->parts[d->n++] = (struct firn_region){
		.r0_m = r0,
		.r1_m = r1,
		.z0_m = z0,
		.z1_m = z1,
		.of = { .k_W_per_mK = k, .k_axial_W_per_mK = k_axial },
	};
}

static double property(struct cell_tape *t, const char *material)
{
	return firn_value(cell_tape_property(t, material, FIRN_CONDUCTIVITY));
}

static double filling_k(struct cell_tape *t)
{
	const char *filling = t->study->thermometer.filling;

	return property(t, filling != NULL ? filling : "air");
}

/* Wires on their circle as a ring of their own thickness, with all that they conduct along it. */
static void thermometer(struct cell_tape *t, const struct cell_stem *s, struct drawing *d)
{
	const struct lab_stem *th = &t->study->thermometer;
	const double ro = th->sheath.outer_m.value / 2, ri = th->sheath.inner_m.value / 2;
	const double wire = th->leads.diameter_m.value, k = filling_k(t);
	const double r = th->leads.circle_m.value / 2, at = lab_given(r) ? r : ri / 2;
	const double r0 = fmax(at - wire / 2, 0.0), r1 = fmin(at + wire / 2, 0.99 * ri);
	const double area = pi * (r1 * r1 - r0 * r0);
	const double along = firn_value(s->stem.inside_Wm_per_K) -
			     k * (pi * ri * ri - area); /* the gas has its own */
	const double tip = firn_value(s->from_tip_m), top = tip + firn_value(s->length_m);

	ring(d, 0, ro, 0, d->top_m, property(t, th->sheath.material), 0);
	ring(d, 0, ri, ro - ri, d->top_m, k, 0);
	ring(d, r0, r1, ro - ri, d->top_m, k, along / area);
	ring(d, r0, r1, fmax(tip, ro - ri), top, k, along / area); /* the element: probe of it */
}

static void well(struct cell_tape *t, const struct cell_stem *s, struct drawing *d, double *ret_r)
{
	const struct lab_cell_study *study = t->study;
	const struct lab_well_contact *c = &study->contact;
	const double bore = study->cell.well.bore_m.value / 2,
		     wall = bore + study->cell.well.wall_m.value,
		     film = study->cell.point == LAB_H2O ? lab_or(c->melted_m.value, 0.0) : 0.0;
	const double floor = -d->bottom_m;

	*ret_r = wall + film;
	if (film > 0.0)
		ring(d, 0, *ret_r, floor - (wall - bore) - film, d->top_m, property(t, "water"), 0);
	ring(d, 0, wall, floor - (wall - bore), d->top_m, property(t, study->cell.well.material),
	     0);
	ring(d, 0, bore, floor, d->top_m, property(t, c->fluid), 0);
	if (s->bushed)
		ring(d, c->bushing.inner_m.value / 2, c->bushing.outer_m.value / 2, 0,
		     fmin(firn_value(s->bushing_m), d->top_m), property(t, c->bushing.material), 0);
	d->bottom_m += wall - bore + film;
}

void cell_fit_grid(struct cell_tape *t, const struct cell_stem *s, struct lab_fit_case *c)
{
	const struct lab_cell_study *study = t->study;
	const double warm_K = study->surroundings.ambient_C.value - t->t_C;
	struct drawing d = { .top_m = firn_value(s->depth_m),
			     .bottom_m = fmax(lab_or(study->contact.pad_m.value, 0.0), BELOW_M) };
	const double sheath = study->thermometer.sheath.outer_m.value / 2;
	struct firn_boundary sides[3] = {
		{ .side = FIRN_TOP, .to_m = sheath, .h_W_per_m2K = INFINITY, .ambient_K = warm_K },
		{ .side = FIRN_OUTER, .h_W_per_m2K = INFINITY },
		{ .side = FIRN_BOTTOM, .h_W_per_m2K = INFINITY }
	};
	struct firn_answer answer;
	double r = sheath;

	if (study->cell.medium == LAB_ICE_BATH) {
		const double film = 2 * pi * sheath * firn_value(s->stem.outward_Km_per_W);

		d.bottom_m = 0.0;
		sides[1].h_W_per_m2K = sides[2].h_W_per_m2K = 1 / film;
	} else {
		well(t, s, &d, &r);
	}
	thermometer(t, s, &d);

	const struct firn_probe element = { .kind = FIRN_MEAN_OVER, .index = d.n - 1 };
	const struct firn_body body = { .n_regions = d.n,
					.n_boundaries = 3,
					.regions = d.parts,
					.boundaries = sides,
					.grid = { fmax(FINEST_R_M, r / MOST_ACROSS),
						  fmax(FINEST_Z_M, d.top_m / MOST_ALONG), 1.0,
						  2 } };
	if (firn_conduction_steady(&body, 1, &element, &answer, NULL) < 0)
		return;
	c->grid_K = (struct lab_grid_answer){ answer.value, answer.error };
}
