/* Division of a body into cells. */
#include "lib/heat/mesh.h"

#include "lib/heat/axis.h"
#include "lib/heat/body.h"
#include "lib/num/elementary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;
#define NOBODY UINT16_MAX

void mesh_free(struct mesh *mesh)
{
	if (mesh == NULL)
		return;
	free((void *)mesh->body.regions);
	free((void *)mesh->body.boundaries);
	free((void *)mesh->body.contacts);
	free(mesh->r);
	free(mesh->z);
	free(mesh->r_mid);
	free(mesh->z_mid);
	free(mesh->ring_m2);
	free(mesh->half_in);
	free(mesh->half_out);
	free(mesh->owner);
	free(mesh->volume_m3);
	free(mesh->thin_r);
	free(mesh->thin_z);
	for (int side = 0; side < 4; side++)
		free(mesh->side[side]);
	free(mesh);
}

/* ---- the caller's lists ---- */

static void *copied(const void *list, size_t n, size_t size)
{
	void *copy = calloc(n > 0 ? n : 1, size);

	if (copy != NULL && n > 0)
		memcpy(copy, list, n * size);
	return copy;
}

static bool copy_body(const struct firn_body *body, struct firn_body *ret)
{
	*ret = *body;
	ret->regions = copied(body->regions, body->n_regions, sizeof *body->regions);
	ret->boundaries = copied(body->boundaries, body->n_boundaries, sizeof *body->boundaries);
	ret->contacts = copied(body->contacts, body->n_contacts, sizeof *body->contacts);
	return ret->regions != NULL && ret->boundaries != NULL && ret->contacts != NULL;
}

/* ---- edges ---- */

static size_t gather_marks(const struct firn_body *b, const struct body_extent *e, bool along_z,
			   double *ret)
{
	size_t n = 0;

	for (size_t i = 0; i < b->n_regions; i++) {
		ret[n++] = along_z ? b->regions[i].z0_m : b->regions[i].r0_m;
		ret[n++] = along_z ? b->regions[i].z1_m : b->regions[i].r1_m;
	}
	for (size_t i = 0; i < b->n_boundaries; i++) {
		const enum firn_side side = b->boundaries[i].side;

		if ((side == FIRN_INNER || side == FIRN_OUTER) == along_z) {
			body_boundary_span(&b->boundaries[i], e, &ret[n], &ret[n + 1]);
			n += 2;
		}
	}
	for (size_t i = 0; i < b->n_contacts; i++) {
		const struct firn_contact *x = &b->contacts[i];

		if (x->across_z == along_z) {
			ret[n++] = x->at_m;
		} else {
			ret[n++] = x->from_m;
			ret[n++] = x->to_m;
		}
	}
	return n;
}

static enum firn_status divide(struct mesh *m, const struct body_extent *e, int halvings)
{
	const struct firn_body *b = &m->body;
	double *marks =
	    calloc(2 * (b->n_regions + b->n_boundaries + b->n_contacts), sizeof(double));
	const struct axis_wish r = { b->grid.finest_r_m, b->grid.growth, halvings, true };
	const struct axis_wish z = { b->grid.finest_z_m, b->grid.growth, halvings, false };
	enum firn_status status;

	if (marks == NULL)
		return FIRN_E_MEMORY;
	status = axis_divide(gather_marks(b, e, false, marks), marks, &r, &m->nr, &m->r);
	if (status == FIRN_OK)
		status = axis_divide(gather_marks(b, e, true, marks), marks, &z, &m->nz, &m->z);
	if (status == FIRN_OK && m->nr > FIRN_MOST_CELLS / m->nz)
		status = FIRN_E_DOMAIN;
	free(marks);
	return status;
}

/* ---- arrays over cells and faces ---- */

static bool allocate(struct mesh *m)
{
	m->r_mid = calloc(m->nr, sizeof(double));
	m->z_mid = calloc(m->nz, sizeof(double));
	m->ring_m2 = calloc(m->nr, sizeof(double));
	m->half_in = calloc(m->nr, sizeof(double));
	m->half_out = calloc(m->nr, sizeof(double));
	m->owner = calloc(m->nr * m->nz, sizeof *m->owner);
	m->volume_m3 = calloc(m->body.n_regions, sizeof(double));
	m->thin_r = calloc((m->nr + 1) * m->nz, sizeof(double));
	m->thin_z = calloc(m->nr * (m->nz + 1), sizeof(double));
	for (int side = 0; side < 4; side++) {
		m->side[side] = calloc(mesh_side_length(m, (enum firn_side)side), sizeof(uint16_t));
		if (m->side[side] == NULL)
			return false;
	}
	return m->r_mid != NULL && m->z_mid != NULL && m->ring_m2 != NULL && m->half_in != NULL &&
	       m->half_out != NULL && m->owner != NULL && m->volume_m3 != NULL &&
	       m->thin_r != NULL && m->thin_z != NULL;
}

static void measure(struct mesh *m)
{
	for (size_t i = 0; i < m->nr; i++) {
		const double a = m->r[i], b = m->r[i + 1];

		/* With shells exact from middle to middle, this middle is exact for r^2 as well, up
		   to the fourth power of the cells' size over r: with any other, even heat would
		   leave an error of size^2 ln(size) at the axis. */
		m->r_mid[i] = sqrt((a * a + a * b + b * b) / 3);
		m->ring_m2[i] = pi * (b - a) * (b + a);
		m->half_in[i] = m->r[i] > 0 ? num_ln(m->r_mid[i] / m->r[i]) / (2 * pi) : INFINITY;
		m->half_out[i] = num_ln(m->r[i + 1] / m->r_mid[i]) / (2 * pi);
	}
	for (size_t j = 0; j < m->nz; j++)
		m->z_mid[j] = 0.5 * (m->z[j] + m->z[j + 1]);
}

/* The later lies above. False: something is left that belongs to nobody. */
static bool give_to_owners(struct mesh *m)
{
	bool all = true;

	for (size_t cell = 0; cell < m->nr * m->nz; cell++) {
		const double r = m->r_mid[cell % m->nr], z = m->z_mid[cell / m->nr];

		m->owner[cell] = NOBODY;
		for (size_t k = m->body.n_regions; k-- > 0 && m->owner[cell] == NOBODY;) {
			const struct firn_region *x = &m->body.regions[k];

			if (r > x->r0_m && r < x->r1_m && z > x->z0_m && z < x->z1_m)
				m->owner[cell] = (uint16_t)k;
		}
		if (m->owner[cell] == NOBODY)
			all = false;
		else
			m->volume_m3[m->owner[cell]] +=
			    mesh_cell_volume(m, cell % m->nr, cell / m->nr);
	}
	return all;
}

/* ---- sides ---- */

size_t mesh_side_length(const struct mesh *m, enum firn_side side)
{
	return side == FIRN_INNER || side == FIRN_OUTER ? m->nz : m->nr;
}

size_t mesh_side_cell(const struct mesh *m, enum firn_side side, size_t k)
{
	switch (side) {
	case FIRN_INNER:
		return k * m->nr;
	case FIRN_OUTER:
		return k * m->nr + m->nr - 1;
	case FIRN_BOTTOM:
		return k;
	case FIRN_TOP:
	default:
		return (m->nz - 1) * m->nr + k;
	}
}

/* Thin resistance and area of face k of a side. */
static double *side_face(struct mesh *m, enum firn_side side, size_t k, double *ret_area_m2)
{
	if (side == FIRN_BOTTOM || side == FIRN_TOP) {
		*ret_area_m2 = m->ring_m2[k];
		return &m->thin_z[side == FIRN_BOTTOM ? k : m->nz * m->nr + k];
	}
	*ret_area_m2 = 2 * pi * m->r[side == FIRN_INNER ? 0 : m->nr] * (m->z[k + 1] - m->z[k]);
	return &m->thin_r[k * (m->nr + 1) + (side == FIRN_INNER ? 0 : m->nr)];
}

static void insulate(struct mesh *m)
{
	double area_m2;

	for (int side = 0; side < 4; side++)
		for (size_t k = 0; k < mesh_side_length(m, (enum firn_side)side); k++)
			*side_face(m, (enum firn_side)side, k, &area_m2) = INFINITY;
}

static void lay_boundaries(struct mesh *m, const struct body_extent *e)
{
	for (size_t b = 0; b < m->body.n_boundaries; b++) {
		const struct firn_boundary *x = &m->body.boundaries[b];
		const bool along_z = x->side == FIRN_INNER || x->side == FIRN_OUTER;
		const double *middle = along_z ? m->z_mid : m->r_mid;
		double from_m, to_m, area_m2;

		body_boundary_span(x, e, &from_m, &to_m);
		for (size_t k = 0; k < mesh_side_length(m, x->side); k++)
			if (middle[k] > from_m && middle[k] < to_m) {
				double *thin = side_face(m, x->side, k, &area_m2);

				*thin = 1 / (x->h_W_per_m2K * area_m2);
				m->side[x->side][k] = (uint16_t)(b + 1);
			}
	}
}

/* ---- contacts ---- */

static size_t edge_nearest(const double *edges, size_t n, double at)
{
	size_t k = 0;

	while (k < n && fabs(edges[k + 1] - at) < fabs(edges[k] - at))
		k++;
	return k;
}

/* Several on one face are in series. */
static void lay_contacts(struct mesh *m)
{
	for (size_t c = 0; c < m->body.n_contacts; c++) {
		const struct firn_contact *x = &m->body.contacts[c];

		if (x->across_z) {
			const size_t j = edge_nearest(m->z, m->nz, x->at_m);

			for (size_t i = 0; i < m->nr; i++)
				if (m->r_mid[i] > x->from_m && m->r_mid[i] < x->to_m)
					m->thin_z[j * m->nr + i] +=
					    1 / (x->h_W_per_m2K * m->ring_m2[i]);
		} else {
			const size_t i = edge_nearest(m->r, m->nr, x->at_m);

			for (size_t j = 0; j < m->nz; j++)
				if (m->z_mid[j] > x->from_m && m->z_mid[j] < x->to_m)
					m->thin_r[j * (m->nr + 1) + i] +=
					    1 / (x->h_W_per_m2K * 2 * pi * m->r[i] *
						 (m->z[j + 1] - m->z[j]));
		}
	}
}

enum firn_status mesh_new(const struct firn_body *body, int halvings, struct mesh **ret)
{
	struct body_extent extent;
	struct mesh *m;
	enum firn_status status = FIRN_E_MEMORY;

	if (!body_is_valid(body, &extent))
		return FIRN_E_DOMAIN;
	m = calloc(1, sizeof *m);
	if (m != NULL && copy_body(body, &m->body))
		status = divide(m, &extent, halvings);
	if (status == FIRN_OK && !allocate(m))
		status = FIRN_E_MEMORY;
	if (status == FIRN_OK) {
		measure(m);
		if (!give_to_owners(m))
			status = FIRN_E_DOMAIN;
	}
	if (status != FIRN_OK) {
		mesh_free(m);
		return status;
	}
	insulate(m);
	lay_boundaries(m, &extent);
	lay_contacts(m);
	*ret = m;
	return FIRN_OK;
}

bool mesh_find(const struct mesh *m, double r_m, double z_m, size_t *ret_i, size_t *ret_j)
{
	size_t i = 0, j = 0;

	if (!(r_m >= m->r[0] && r_m <= m->r[m->nr] && z_m >= m->z[0] && z_m <= m->z[m->nz]))
		return false;
	while (i + 1 < m->nr && r_m > m->r[i + 1])
		i++;
	while (j + 1 < m->nz && z_m > m->z[j + 1])
		j++;
	*ret_i = i;
	*ret_j = j;
	return true;
}

double mesh_cell_heat(const struct mesh *m, size_t i, size_t j)
{
	const size_t owner = m->owner[j * m->nr + i];

	if (m->body.regions[owner].is_held)
		return 0;
	return m->body.regions[owner].heat_W * mesh_cell_volume(m, i, j) / m->volume_m3[owner];
}
