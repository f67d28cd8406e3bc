/* A thermometer in its well as a body of rings, for the grid (firn/conduction.h). */
#ifndef CALC_CELL_RINGS_H
#define CALC_CELL_RINGS_H

#include "app/calc/cell_stem.h"

#include "firn/conduction.h"

#define CELL_RINGS_MOST 16

/* z upwards from the tip; temperatures from the medium's. */
struct cell_rings {
	struct firn_region parts[CELL_RINGS_MOST];
	size_t n, element; /* its region */
	struct firn_boundary sides[3];
	double r_m, top_m, bottom_m; /* of what is drawn; bottom: below the tip */
};

/*
 * The arrangement as stated: sheath, filling, wires as a ring on their circle, well with fluid and
 * bushing, the film of water; all that it touches held at the medium's temperature, the top of the
 * sheath at top_K.
 */
void cell_rings_draw(struct cell_tape *t, const struct cell_stem *s, double top_K,
		     struct cell_rings *ret);

/*
 * The same for a thermometer that enters at from_K: everything has its heat capacity, the element
 * is a winding on its former, and the top is at the medium's temperature, so that the element's own
 * is how far it is from its end.
 */
void cell_rings_draw_entering(struct cell_tape *t, const struct cell_stem *s, double from_K,
			      struct cell_rings *ret);

/* As a body; steps before halving are bounded, so that no arrangement takes long. */
struct firn_body cell_rings_body(const struct cell_rings *rings, int halvings);

#endif
