/* When nothing changes any more. */
#include "lib/heat/field.h"
#include "lib/heat/refine.h"
#include "lib/heat/sparse.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* Cells without a temperature of their own have none of the unknowns. */
struct unknowns {
	size_t n;
	size_t *of_cell; /* FREE_NONE where it is held */
	size_t *cell;    /* of each unknown */
};
#define FREE_NONE SIZE_MAX

static void unknowns_release(struct unknowns *u)
{
	free(u->of_cell);
	free(u->cell);
}

static enum firn_status number_unknowns(const struct mesh *m, struct unknowns *ret)
{
	const size_t cells = m->nr * m->nz;

	ret->of_cell = calloc(cells, sizeof *ret->of_cell);
	ret->cell = calloc(cells, sizeof *ret->cell);
	if (ret->of_cell == NULL || ret->cell == NULL)
		return FIRN_E_MEMORY;
	for (size_t cell = 0; cell < cells; cell++) {
		ret->of_cell[cell] = FREE_NONE;
		if (!mesh_region(m, cell)->is_held) {
			ret->of_cell[cell] = ret->n;
			ret->cell[ret->n++] = cell;
		}
	}
	return FIRN_OK;
}

/* A neighbour through a face; side: a boundary instead, or nothing. */
struct neighbour {
	size_t cell;
	double g;
	bool is_cell;
};

/* In the order of cells: below in z, in r; then above in r, in z. */
static void neighbours(const struct field *f, size_t cell, struct neighbour ret[4])
{
	const struct mesh *m = f->mesh;
	const size_t i = cell % m->nr, j = cell / m->nr, face = j * (m->nr + 1) + i;

	ret[0] = (struct neighbour){ cell - m->nr, f->g_z[cell], j > 0 };
	ret[1] = (struct neighbour){ cell - 1, f->g_r[face], i > 0 };
	ret[2] = (struct neighbour){ cell + 1, f->g_r[face + 1], i + 1 < m->nr };
	ret[3] = (struct neighbour){ cell + m->nr, f->g_z[cell + m->nr], j + 1 < m->nz };
}

static enum firn_status assemble(const struct field *f, const struct unknowns *u,
				 struct sparse **ret)
{
	struct sparse *s;
	enum firn_status status = sparse_new(u->n, 3 * u->n, &s);

	if (status != FIRN_OK)
		return status;
	for (size_t k = 0; k < u->n; k++) {
		struct neighbour around[4];
		double diagonal = 0;

		neighbours(f, u->cell[k], around);
		sparse_column(s, k);
		for (int side = 0; side < 4; side++) {
			diagonal += around[side].g;
			if (side < 2 && around[side].is_cell &&
			    u->of_cell[around[side].cell] != FREE_NONE)
				sparse_entry(s, u->of_cell[around[side].cell], -around[side].g);
		}
		sparse_entry(s, k, diagonal);
	}
	*ret = s;
	return FIRN_OK;
}

/* What flows into each unknown at the temperatures of the field, W: nothing, when it is solved. */
static void imbalance(const struct field *f, const struct unknowns *u, double *ret)
{
	const struct mesh *m = f->mesh;

	for (size_t k = 0; k < u->n; k++) {
		const size_t cell = u->cell[k];
		struct neighbour around[4];

		neighbours(f, cell, around);
		ret[k] = mesh_cell_heat(m, cell % m->nr, cell / m->nr);
		for (int side = 0; side < 4; side++)
			if (around[side].is_cell)
				ret[k] +=
				    around[side].g * (f->t_K[around[side].cell] - f->t_K[cell]);
	}
	for (int side = 0; side < 4; side++)
		for (size_t k = 0; k < mesh_side_length(m, (enum firn_side)side); k++) {
			const size_t cell = mesh_side_cell(m, (enum firn_side)side, k);

			if (u->of_cell[cell] != FREE_NONE)
				ret[u->of_cell[cell]] +=
				    field_flow_from_face(f, (enum firn_side)side, k);
		}
}

/* Every unknown must be joined to something that holds a temperature. */
static enum firn_status is_anchored(const struct field *f, const struct unknowns *u, bool *ret)
{
	const size_t cells = f->mesh->nr * f->mesh->nz;
	size_t *queue = calloc(cells, sizeof *queue);
	bool *reached = calloc(cells, sizeof *reached);
	size_t head = 0, tail = 0;

	if (queue == NULL || reached == NULL) {
		free(queue);
		free(reached);
		return FIRN_E_MEMORY;
	}
	for (size_t cell = 0; cell < cells; cell++)
		if (u->of_cell[cell] == FREE_NONE) {
			reached[cell] = true;
			queue[tail++] = cell;
		}
	for (int side = 0; side < 4; side++)
		for (size_t k = 0; k < mesh_side_length(f->mesh, (enum firn_side)side); k++) {
			const size_t cell = mesh_side_cell(f->mesh, (enum firn_side)side, k);

			if (f->mesh->side[side][k] != 0 && !reached[cell]) {
				reached[cell] = true;
				queue[tail++] = cell;
			}
		}
	while (head < tail) {
		struct neighbour around[4];

		neighbours(f, queue[head++], around);
		for (int side = 0; side < 4; side++)
			if (around[side].is_cell && around[side].g > 0 &&
			    !reached[around[side].cell]) {
				reached[around[side].cell] = true;
				queue[tail++] = around[side].cell;
			}
	}
	free(queue);
	free(reached);
	*ret = tail == cells;
	return FIRN_OK;
}

/* Twice: what rounding left of the balance is solved for once more. */
static enum firn_status solve(struct field *f, const struct unknowns *u, struct sparse *s,
			      double *flows)
{
	enum firn_status status = sparse_factorise(s);

	for (int round = 0; round < 2 && status == FIRN_OK; round++) {
		imbalance(f, u, flows);
		status = sparse_solve(s, flows);
		for (size_t k = 0; k < u->n && status == FIRN_OK; k++)
			f->t_K[u->cell[k]] += flows[k];
	}
	return status;
}

static enum firn_status solve_field(struct field *f)
{
	struct unknowns u = { 0 };
	struct sparse *s = NULL;
	double *flows = NULL;
	bool anchored = true;
	enum firn_status status = number_unknowns(f->mesh, &u);

	if (status == FIRN_OK)
		status = is_anchored(f, &u, &anchored);
	if (status == FIRN_OK && !anchored)
		status = FIRN_E_SINGULAR;
	if (status == FIRN_OK && u.n > 0) {
		status = assemble(f, &u, &s);
		flows = calloc(u.n, sizeof(double));
		if (flows == NULL)
			status = FIRN_E_MEMORY;
		if (status == FIRN_OK)
			status = solve(f, &u, s, flows);
	}
	free(flows);
	sparse_free(s);
	unknowns_release(&u);
	return status;
}

/* Answers on one grid. */
static enum firn_status answer(const struct firn_body *body, int halvings, size_t n,
			       const struct firn_probe *probes, double *ret,
			       struct firn_energy *ret_energy)
{
	struct mesh *mesh;
	struct field *f;
	enum firn_status status = mesh_new(body, halvings, &mesh);

	if (status == FIRN_OK)
		status = field_new(mesh, &f);
	if (status != FIRN_OK)
		return status;
	for (size_t k = 0; k < n && status == FIRN_OK; k++)
		if (!field_has(f, &probes[k]) || probes[k].kind == FIRN_LIQUID_PART)
			status = FIRN_E_DOMAIN;
	if (status == FIRN_OK)
		status = solve_field(f);
	if (status == FIRN_OK) {
		for (size_t k = 0; k < n; k++)
			ret[k] = field_read(f, &probes[k]);
		*ret_energy = (struct firn_energy){ .generated = field_generated(f) };
		field_entering(f, &ret_energy->entered, &ret_energy->exchanged);
	}
	field_free(f);
	return status;
}

enum firn_status firn_conduction_steady(const struct firn_body *body, size_t n,
					const struct firn_probe *probes, struct firn_answer *ret,
					struct firn_energy *ret_energy)
{
	struct firn_energy energy;
	double *values;
	enum firn_status status = FIRN_OK;

	if (body->grid.halvings < 2)
		return FIRN_E_DOMAIN;
	values = calloc(3 * n + 1, sizeof(double));
	if (values == NULL)
		return FIRN_E_MEMORY;
	for (int level = 0; level < 3 && status == FIRN_OK; level++)
		status = answer(body, body->grid.halvings - 2 + level, n, probes,
				values + (size_t)level * n, &energy);
	if (status == FIRN_OK) {
		for (size_t k = 0; k < n; k++)
			ret[k] = refine_answer(values[k], values[n + k], values[2 * n + k]);
		if (ret_energy != NULL)
			*ret_energy = energy;
	}
	free(values);
	return status;
}
