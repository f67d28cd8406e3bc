/* The steps of `firn cell prepare`. */
#ifndef CALC_CELL_PREPARE_PARTS_H
#define CALC_CELL_PREPARE_PARTS_H

#include "app/calc/cell_tape.h"
#include "app/lab/cell_prepare.h"

/* A water cell in numbers, on the tape. */
struct cell_ice {
	struct firn_node pi, r_bore, r_well, wall_Km_per_W; /* r_well: outside of the well */
	struct firn_node level_m;
	struct firn_node water_kg;           /* stated, or from the geometry */
	struct firn_node k, density, latent; /* of the ice */
	double r_envelope_m;                 /* inside; NaN: not stated */
};

/* False when something is missing. k of the ice is taken at k_C. */
bool cell_ice_build(struct cell_tape *t, double k_C, struct cell_ice *ret);

/* Mass of a mantle of this thickness on the well, up to the surface. */
struct firn_node cell_ice_mass(const struct cell_ice *ice, struct firn_node thickness_m);

/* Both ways of making one: they fill what belongs to them. */
void cell_prepare_growth(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret);
void cell_prepare_supercooled(struct cell_tape *t, const struct cell_ice *ice,
			      lab_cell_prepare *ret);

void cell_prepare_warn(lab_cell_prepare *p, const char *format, ...) G_GNUC_PRINTF(2, 3);
void cell_prepare_reserve(lab_cell_prepare *p, const char *format, ...) G_GNUC_PRINTF(2, 3);

#endif
