/* A thermometer in its well as the engine wants it: one arrangement, on one tape. */
#ifndef CALC_CELL_STEM_H
#define CALC_CELL_STEM_H

#include "app/calc/cell_tape.h"

#include "firn/stem.h"

struct cell_stem {
	const char *why_not; /* static text: it can't be put there, and nothing else is set */

	struct firn_node depth_m;   /* of the tip below what is at the medium's temperature */
	struct firn_node surface_m; /* of the tip below the surface of the liquid */
	struct firn_node from_tip_m, length_m;

	struct firn_stem stem;            /* with the well as it is above a bushing */
	bool bushed;                      /* the element stands in a bushing */
	struct firn_stem in_bushing;      /* there */
	struct firn_node bushing_m;       /* of its top above the tip */
	struct firn_settling settling;    /* where the element is */
	struct firn_node inside_K_per_W;  /* self-heating, element to sheath; index 0: not known */
	struct firn_node outside_K_per_W; /* and from there to the medium */
	struct firn_node heat_capacity_J_per_K;
	struct firn_node latent_J_per_kg;
	bool circle_assumed, filling_assumed, element_assumed, film_assumed;
};

/* False when something needed is not stated: t->messages say so. */
bool cell_stem_build(struct cell_tape *t, struct cell_stem *ret);

/* The error of the element as part of (surroundings - medium), lifted so far from where it stands;
   index 0 when it is then no longer covered. */
struct firn_node cell_stem_error(const struct cell_stem *s, double lift_m,
				 struct firn_stem_answer *ret_answer);

#endif
