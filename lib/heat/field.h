/* Temperatures on a mesh, the conductances between its cells, and what is read from them. */
#ifndef LIB_HEAT_FIELD_H
#define LIB_HEAT_FIELD_H

#include "lib/heat/mesh.h"

struct field {
	struct mesh *mesh; /* the field's own */
	double *t_K;
	/* K/W from where a cell's temperature stands to its faces, by enum firn_side; 0 in a region
	   that is held. */
	double *half[4];
	double *g_r, *g_z; /* W/K through the faces of the mesh; 0 between cells that are held */
};

/* Everything at its start_K, solids conducting. Takes the mesh, also when it fails. */
enum firn_status field_new(struct mesh *mesh, struct field **ret);
void field_free(struct field *field); /* NULL is accepted */

/* Of the solid, towards a side. */
double field_conductivity(const struct firn_conductor *c, enum firn_side side);

/* Resistance to a face by the middle of the cell, K/W, for a conductor of k. */
double field_half(const struct mesh *m, size_t i, size_t j, enum firn_side side, double k_W_per_mK);

/* Anew from half: the four faces of a cell. */
void field_join(struct field *f, size_t i, size_t j);

/* W into the body; through one face of a side, from what a boundary says. */
double field_flow_from_face(const struct field *f, enum firn_side side, size_t k);
double field_flow_from_boundary(const struct field *f, size_t boundary);
double field_flow_from_region(const struct field *f, size_t region);

/* Through all boundaries and regions that are held: net, and with all signs taken positive. */
void field_entering(const struct field *f, double *ret_net_W, double *ret_all_W);
double field_generated(const struct field *f);

/* Whether a probe asks for something that exists; and its answer (all but FIRN_LIQUID_PART). */
bool field_has(const struct field *f, const struct firn_probe *probe);
double field_read(const struct field *f, const struct firn_probe *probe);

#endif
