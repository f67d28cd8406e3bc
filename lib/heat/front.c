/*
 * Where the front lies within a cell that is partly frozen.
 *
 * The temperature of such a cell is that of the front. Its solid part conducts to neighbours that
 * are colder, its liquid part to those that are warmer, each over its own thickness: taken from
 * the middle of the cell the front would move in leaps of one.
 */
#include "lib/heat/transient.h"
#include "lib/num/elementary.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
/* A layer of no thickness next to something held would conduct without limit. */
static const double thinnest = 0.01; /* of a cell */

static double bounded(double x, double low, double high)
{
	return fmin(fmax(x, low), high);
}

/* -1: colder beyond this face, 1: warmer, 0: neither, or nothing there. */
static int beyond(const struct firn_transient *t, size_t cell, enum firn_side side)
{
	const struct field *f = t->field;
	const struct mesh *m = f->mesh;
	const size_t i = cell % m->nr, j = cell / m->nr;
	const bool along_z = side == FIRN_BOTTOM || side == FIRN_TOP;
	const bool at_side = side == FIRN_INNER   ? i == 0
			     : side == FIRN_OUTER ? i + 1 == m->nr
			     : side == FIRN_TOP   ? j + 1 == m->nz
						  : j == 0;
	const double melt_K = t->melt_K[cell];
	double t_K = melt_K;

	if (at_side) {
		const size_t boundary = m->side[side][along_z ? i : j];

		if (boundary > 0)
			t_K = m->body.boundaries[boundary - 1].ambient_K;
	} else {
		t_K = f->t_K[side == FIRN_INNER   ? cell - 1
			     : side == FIRN_OUTER ? cell + 1
			     : side == FIRN_TOP   ? cell + m->nr
						  : cell - m->nr];
	}
	return (t_K > melt_K) - (t_K < melt_K);
}

/* Part of the cell, by volume, that conducts from the front to a face: all of the phase that lies
   there, or half where it lies at both. */
static double layer(int here, int there, double liquid)
{
	const double part = here < 0    ? 1 - liquid
			    : here > 0  ? liquid
			    : there < 0 ? liquid
					: 1 - liquid;

	return bounded(here != 0 && here == there ? 0.5 * part : part, thinnest, 1);
}

static double shell(const struct mesh *m, size_t i, double part, bool inner)
{
	const double a2 = m->r[i] * m->r[i], b2 = m->r[i + 1] * m->r[i + 1];

	if (inner)
		return a2 > 0 ? 0.5 * num_ln(1 + part * (b2 - a2) / a2) : INFINITY;
	return -0.5 * num_ln(1 - part * (b2 - a2) / b2);
}

static void set_half(struct firn_transient *t, size_t cell, enum firn_side side, int here,
		     int there, double liquid)
{
	struct field *f = t->field;
	const struct mesh *m = f->mesh;
	const struct firn_conductor *c = &mesh_region(m, cell)->of;
	const size_t i = cell % m->nr, j = cell / m->nr;
	const bool along_z = side == FIRN_BOTTOM || side == FIRN_TOP;
	const bool is_solid = here < 0 || (here == 0 && there > 0);
	const double k = is_solid ? field_conductivity(c, side) : c->k_liquid_W_per_mK;
	const double part = layer(here, there, liquid), height_m = m->z[j + 1] - m->z[j];

	if (along_z)
		f->half[side][cell] = part * height_m / (k * m->ring_m2[i]);
	else /* the whole cell at the axis has no inner radius to end at */
		f->half[side][cell] =
		    shell(m, i, fmin(part, m->r[i] > 0 ? 1 : 0.999), side == FIRN_INNER) /
		    (2 * pi * k * height_m);
}

/* Middle of the cell, in the one phase it is in. */
static void set_whole(struct firn_transient *t, size_t cell, bool is_solid)
{
	struct field *f = t->field;
	const struct mesh *m = f->mesh;
	const struct firn_conductor *c = &mesh_region(m, cell)->of;

	for (int side = 0; side < 4; side++)
		f->half[side][cell] = field_half(
		    m, cell % m->nr, cell / m->nr, (enum firn_side)side,
		    is_solid ? field_conductivity(c, (enum firn_side)side) : c->k_liquid_W_per_mK);
}

/* Conductances of a cell when moved_J have flown into it; false: they are what they were. */
static bool place(struct firn_transient *t, size_t cell, double moved_J)
{
	const double h = t->h_J[cell], latent = t->latent_J[cell];
	const bool is_front = h >= 0 && h <= latent;
	const enum drawn as = is_front ? DRAWN_FRONT : h < 0 ? DRAWN_SOLID : DRAWN_LIQUID;
	const double liquid = bounded((h + moved_J) / latent, 0, 1);
	int side[4], any = 0;

	if (!is_front) {
		if (t->drawn[cell] == as)
			return false;
		set_whole(t, cell, as == DRAWN_SOLID);
		t->drawn[cell] = as;
		return true;
	}
	for (int s = 0; s < 4; s++) {
		side[s] = beyond(t, cell, (enum firn_side)s);
		any |= side[s];
	}
	if (any == 0)
		return false;       /* all around at the freezing point: nothing flows */
	for (int s = 0; s < 4; s++) /* sides are numbered in opposite pairs */
		set_half(t, cell, (enum firn_side)s, side[s], side[s ^ 1], liquid);
	t->drawn[cell] = as;
	return true;
}

void front_place(struct firn_transient *t, const double *h_rate, double tau_s)
{
	const size_t nr = t->field->mesh->nr;

	for (size_t cell = 0; cell < t->cells; cell++)
		if (t->latent_J[cell] > 0 && place(t, cell, 0.5 * tau_s * h_rate[cell]))
			field_join(t->field, cell % nr, cell / nr);
}
