/*
 * A body divided into rings: edges of cells, who owns each cell, and what lies thin on faces.
 *
 * Cell (i, j) is number j*nr + i, i along r, j along z. Faces across r: (nr + 1) for each j, face
 * j*(nr + 1) + i below cell (i, j) in r. Faces across z: nr for each of nz + 1, face j*nr + i below
 * cell (i, j) in z.
 */
#ifndef LIB_HEAT_MESH_H
#define LIB_HEAT_MESH_H

#include "firn/conduction.h"

#include <stdint.h>

struct mesh {
	struct firn_body body; /* a copy of the caller's, with its lists */
	size_t nr, nz;
	double *r, *z;              /* edges, nr + 1 and nz + 1 */
	double *r_mid, *z_mid;      /* where the temperature of a cell stands */
	double *ring_m2;            /* area of a cell seen along z; nr */
	double *half_in, *half_out; /* of a ring, from its middle: ln(ratio of radii)/(2 pi); nr */
	uint16_t *owner;            /* region of each cell */
	double *volume_m3;          /* of what is to be seen of each region */
	double *thin_r, *thin_z;    /* K/W, of a contact or film on a face; INFINITY: insulated */
	uint16_t *side[4];          /* boundary + 1 of each face of a side (enum firn_side), or 0 */
};

/* halvings stand in place of the body's. Whatever is negative leaves *ret as it is. */
enum firn_status mesh_new(const struct firn_body *body, int halvings, struct mesh **ret);
void mesh_free(struct mesh *mesh); /* NULL is accepted */

static inline const struct firn_region *mesh_region(const struct mesh *m, size_t cell)
{
	return &m->body.regions[m->owner[cell]];
}

/* Cells of a side, and the number of cell k along it. */
size_t mesh_side_length(const struct mesh *m, enum firn_side side);
size_t mesh_side_cell(const struct mesh *m, enum firn_side side, size_t k);

/* The cell that holds a point of the body; false: it lies outside. */
bool mesh_find(const struct mesh *m, double r_m, double z_m, size_t *ret_i, size_t *ret_j);

/* heat_W of its region that falls to a cell. */
double mesh_cell_heat(const struct mesh *m, size_t i, size_t j);

static inline double mesh_cell_volume(const struct mesh *m, size_t i, size_t j)
{
	return m->ring_m2[i] * (m->z[j + 1] - m->z[j]);
}

#endif
