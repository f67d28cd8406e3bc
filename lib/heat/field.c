/* Conductances, flows and temperatures. */
#include "lib/heat/field.h"

#include <math.h>
#include <stdlib.h>

void field_free(struct field *field)
{
	if (field == NULL)
		return;
	mesh_free(field->mesh);
	free(field->t_K);
	for (int side = 0; side < 4; side++)
		free(field->half[side]);
	free(field->g_r);
	free(field->g_z);
	free(field);
}

double field_half(const struct mesh *m, size_t i, size_t j, enum firn_side side, double k_W_per_mK)
{
	const double height_m = m->z[j + 1] - m->z[j];

	switch (side) {
	case FIRN_INNER:
		return m->half_in[i] / (k_W_per_mK * height_m);
	case FIRN_OUTER:
		return m->half_out[i] / (k_W_per_mK * height_m);
	case FIRN_BOTTOM:
	case FIRN_TOP:
	default:
		return 0.5 * height_m / (k_W_per_mK * m->ring_m2[i]);
	}
}

double field_conductivity(const struct firn_conductor *c, enum firn_side side)
{
	const bool axial = side == FIRN_BOTTOM || side == FIRN_TOP;

	return axial && c->k_axial_W_per_mK > 0 ? c->k_axial_W_per_mK : c->k_W_per_mK;
}

static bool is_held(const struct mesh *m, size_t i, size_t j)
{
	return mesh_region(m, j * m->nr + i)->is_held;
}

/* Face i (0 to nr) of row j. */
static void join_r(struct field *f, size_t i, size_t j)
{
	const struct mesh *m = f->mesh;
	const size_t face = j * (m->nr + 1) + i, above = j * m->nr + i;
	const bool inside = i > 0, outside = i < m->nr;
	const bool held = (!inside || is_held(m, i - 1, j)) && (!outside || is_held(m, i, j));

	f->g_r[face] = held ? 0
			    : 1 / (m->thin_r[face] + (inside ? f->half[FIRN_OUTER][above - 1] : 0) +
				   (outside ? f->half[FIRN_INNER][above] : 0));
}

/* Face j (0 to nz) of column i. */
static void join_z(struct field *f, size_t i, size_t j)
{
	const struct mesh *m = f->mesh;
	const size_t face = j * m->nr + i;
	const bool below = j > 0, above = j < m->nz;
	const bool held = (!below || is_held(m, i, j - 1)) && (!above || is_held(m, i, j));

	f->g_z[face] = held ? 0
			    : 1 / (m->thin_z[face] + (below ? f->half[FIRN_TOP][face - m->nr] : 0) +
				   (above ? f->half[FIRN_BOTTOM][face] : 0));
}

void field_join(struct field *f, size_t i, size_t j)
{
	join_r(f, i, j);
	join_r(f, i + 1, j);
	join_z(f, i, j);
	join_z(f, i, j + 1);
}

static bool allocate(struct field *f)
{
	const struct mesh *m = f->mesh;
	const size_t n = m->nr * m->nz;

	f->t_K = calloc(n, sizeof(double));
	f->g_r = calloc((m->nr + 1) * m->nz, sizeof(double));
	f->g_z = calloc(m->nr * (m->nz + 1), sizeof(double));
	for (int side = 0; side < 4; side++) {
		f->half[side] = calloc(n, sizeof(double));
		if (f->half[side] == NULL)
			return false;
	}
	return f->t_K != NULL && f->g_r != NULL && f->g_z != NULL;
}

enum firn_status field_new(struct mesh *mesh, struct field **ret)
{
	struct field *f = calloc(1, sizeof *f);

	if (f == NULL) {
		mesh_free(mesh);
		return FIRN_E_MEMORY;
	}
	f->mesh = mesh;
	if (!allocate(f)) {
		field_free(f);
		return FIRN_E_MEMORY;
	}
	for (size_t cell = 0; cell < mesh->nr * mesh->nz; cell++) {
		const struct firn_region *x = mesh_region(mesh, cell);

		f->t_K[cell] = x->start_K;
		for (int side = 0; side < 4 && !x->is_held; side++)
			f->half[side][cell] =
			    field_half(mesh, cell % mesh->nr, cell / mesh->nr, (enum firn_side)side,
				       field_conductivity(&x->of, (enum firn_side)side));
	}
	for (size_t cell = 0; cell < mesh->nr * mesh->nz; cell++)
		field_join(f, cell % mesh->nr, cell / mesh->nr);
	*ret = f;
	return FIRN_OK;
}

/* ---- flows ---- */

static double side_conductance(const struct field *f, enum firn_side side, size_t k)
{
	const struct mesh *m = f->mesh;

	switch (side) {
	case FIRN_INNER:
		return f->g_r[k * (m->nr + 1)];
	case FIRN_OUTER:
		return f->g_r[k * (m->nr + 1) + m->nr];
	case FIRN_BOTTOM:
		return f->g_z[k];
	case FIRN_TOP:
	default:
		return f->g_z[m->nz * m->nr + k];
	}
}

double field_flow_from_face(const struct field *f, enum firn_side side, size_t k)
{
	const struct mesh *m = f->mesh;
	const size_t boundary = m->side[side][k];

	if (boundary == 0)
		return 0;
	return side_conductance(f, side, k) *
	       (m->body.boundaries[boundary - 1].ambient_K - f->t_K[mesh_side_cell(m, side, k)]);
}

double field_flow_from_boundary(const struct field *f, size_t boundary)
{
	const enum firn_side side = f->mesh->body.boundaries[boundary].side;
	double flow_W = 0;

	for (size_t k = 0; k < mesh_side_length(f->mesh, side); k++)
		if (f->mesh->side[side][k] == boundary + 1)
			flow_W += field_flow_from_face(f, side, k);
	return flow_W;
}

/* W into a cell through one of its faces: from its neighbour or from what a boundary says. */
static double inflow(const struct field *f, size_t i, size_t j, enum firn_side side)
{
	const struct mesh *m = f->mesh;
	const size_t cell = j * m->nr + i, face = j * (m->nr + 1) + i;
	const double t_K = f->t_K[cell];

	switch (side) {
	case FIRN_INNER:
		return i > 0 ? f->g_r[face] * (f->t_K[cell - 1] - t_K)
			     : field_flow_from_face(f, side, j);
	case FIRN_OUTER:
		return i + 1 < m->nr ? f->g_r[face + 1] * (f->t_K[cell + 1] - t_K)
				     : field_flow_from_face(f, side, j);
	case FIRN_BOTTOM:
		return j > 0 ? f->g_z[cell] * (f->t_K[cell - m->nr] - t_K)
			     : field_flow_from_face(f, side, i);
	case FIRN_TOP:
	default:
		return j + 1 < m->nz ? f->g_z[cell + m->nr] * (f->t_K[cell + m->nr] - t_K)
				     : field_flow_from_face(f, side, i);
	}
}

double field_flow_from_region(const struct field *f, size_t region)
{
	const struct mesh *m = f->mesh;
	double flow_W = 0;

	for (size_t cell = 0; cell < m->nr * m->nz; cell++)
		for (int side = 0; side < 4 && m->owner[cell] == region; side++)
			flow_W -= inflow(f, cell % m->nr, cell / m->nr, (enum firn_side)side);
	return flow_W;
}

void field_entering(const struct field *f, double *ret_net_W, double *ret_all_W)
{
	const struct firn_body *b = &f->mesh->body;

	*ret_net_W = *ret_all_W = 0;
	for (size_t i = 0; i < b->n_boundaries + b->n_regions; i++) {
		double flow_W;

		if (i < b->n_boundaries)
			flow_W = field_flow_from_boundary(f, i);
		else if (b->regions[i - b->n_boundaries].is_held)
			flow_W = field_flow_from_region(f, i - b->n_boundaries);
		else
			continue;
		*ret_net_W += flow_W;
		*ret_all_W += fabs(flow_W);
	}
}

double field_generated(const struct field *f)
{
	const struct firn_body *b = &f->mesh->body;
	double heat_W = 0;

	for (size_t i = 0; i < b->n_regions; i++)
		if (!b->regions[i].is_held && f->mesh->volume_m3[i] > 0)
			heat_W += b->regions[i].heat_W;
	return heat_W;
}

/* ---- temperatures ---- */

/*
 * What a point differs from the middle of its cell along one direction: straight to the face, whose
 * temperature follows from the flow through it, so that kinks at the edges of regions are kept.
 */
static double slope_to(const struct field *f, size_t i, size_t j, enum firn_side side, double part)
{
	const double half = f->half[side][j * f->mesh->nr + i];

	return isfinite(half) ? inflow(f, i, j, side) * half * part : 0; /* not so at the axis */
}

static double at_point(const struct field *f, double r_m, double z_m)
{
	const struct mesh *m = f->mesh;
	size_t i, j;
	double t_K;

	if (!mesh_find(m, r_m, z_m, &i, &j))
		return NAN;
	t_K = f->t_K[j * m->nr + i];
	if (r_m < m->r_mid[i])
		t_K += slope_to(f, i, j, FIRN_INNER, (m->r_mid[i] - r_m) / (m->r_mid[i] - m->r[i]));
	else
		t_K += slope_to(f, i, j, FIRN_OUTER,
				(r_m - m->r_mid[i]) / (m->r[i + 1] - m->r_mid[i]));
	if (z_m < m->z_mid[j])
		t_K +=
		    slope_to(f, i, j, FIRN_BOTTOM, (m->z_mid[j] - z_m) / (m->z_mid[j] - m->z[j]));
	else
		t_K +=
		    slope_to(f, i, j, FIRN_TOP, (z_m - m->z_mid[j]) / (m->z[j + 1] - m->z_mid[j]));
	return t_K;
}

static double mean_over(const struct field *f, size_t region)
{
	const struct mesh *m = f->mesh;
	double sum = 0;

	for (size_t cell = 0; cell < m->nr * m->nz; cell++)
		if (m->owner[cell] == region)
			sum += f->t_K[cell] * mesh_cell_volume(m, cell % m->nr, cell / m->nr);
	return sum / m->volume_m3[region];
}

bool field_has(const struct field *f, const struct firn_probe *probe)
{
	const struct firn_body *b = &f->mesh->body;
	size_t i, j;

	switch (probe->kind) {
	case FIRN_AT_POINT:
		return mesh_find(f->mesh, probe->r_m, probe->z_m, &i, &j);
	case FIRN_FLOW_FROM_BOUNDARY:
		return probe->index < b->n_boundaries;
	case FIRN_MEAN_OVER:
		return probe->index < b->n_regions && f->mesh->volume_m3[probe->index] > 0;
	case FIRN_FLOW_FROM_REGION:
		return probe->index < b->n_regions && b->regions[probe->index].is_held;
	case FIRN_LIQUID_PART:
		return probe->index < b->n_regions && f->mesh->volume_m3[probe->index] > 0 &&
		       b->regions[probe->index].of.latent_J_per_kg > 0;
	default:
		return false;
	}
}

double field_read(const struct field *f, const struct firn_probe *probe)
{
	switch (probe->kind) {
	case FIRN_AT_POINT:
		return at_point(f, probe->r_m, probe->z_m);
	case FIRN_MEAN_OVER:
		return mean_over(f, probe->index);
	case FIRN_FLOW_FROM_BOUNDARY:
		return field_flow_from_boundary(f, probe->index);
	case FIRN_FLOW_FROM_REGION:
		return field_flow_from_region(f, probe->index);
	case FIRN_LIQUID_PART:
	default:
		return NAN;
	}
}
