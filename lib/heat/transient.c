/* A body in time: how it begins, what is told it and read from it. */
#include "lib/heat/transient.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void firn_transient_free(struct firn_transient *t)
{
	if (t == NULL)
		return;
	field_free(t->field);
	free(t->h_J);
	free(t->c_solid);
	free(t->c_liquid);
	free(t->latent_J);
	free(t->melt_K);
	free(t->heat_W);
	free(t->gates_r);
	free(t->gates_z);
	lines_release(&t->lines);
	split_release(t);
	free(t->h_rate);
	free(t->t_old);
	free(t->h_old);
	free(t->along);
	free(t->h_start);
	free(t->t_once);
	free(t->h_once);
	free(t->h_rate_now);
	free(t->drawn);
	free(t);
}

static bool allocate(struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;
	double **const arrays[] = { &t->h_J,    &t->c_solid,   &t->c_liquid, &t->latent_J,
				    &t->melt_K, &t->heat_W,    &t->h_rate,   &t->t_old,
				    &t->h_old,  &t->along,     &t->h_start,  &t->t_once,
				    &t->h_once, &t->h_rate_now };

	t->cells = m->nr * m->nz;
	for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++) {
		*arrays[i] = calloc(t->cells, sizeof(double));
		if (*arrays[i] == NULL)
			return false;
	}
	t->drawn = calloc(t->cells, sizeof *t->drawn);
	t->gates_r = calloc(2 * (t->cells + m->nz), sizeof *t->gates_r);
	t->gates_z = calloc(2 * (t->cells + m->nr), sizeof *t->gates_z);
	return t->drawn != NULL && t->gates_r != NULL && t->gates_z != NULL &&
	       lines_allocate(&t->lines, m->nr > m->nz ? m->nr : m->nz);
}

static double enthalpy_at(const struct firn_region *x, double mass_kg)
{
	const struct firn_conductor *c = &x->of;
	const double above_K = x->start_K - c->freezing_K;

	if (c->latent_J_per_kg == 0)
		return mass_kg * c->cp_J_per_kgK * x->start_K;
	if (above_K < 0)
		return mass_kg * c->cp_J_per_kgK * above_K;
	if (above_K > 0)
		return mass_kg * (c->latent_J_per_kg + c->cp_liquid_J_per_kgK * above_K);
	return mass_kg * c->latent_J_per_kg * x->liquid;
}

static enum firn_status fill(struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;

	for (size_t cell = 0; cell < t->cells; cell++) {
		const size_t i = cell % m->nr, j = cell / m->nr;
		const struct firn_region *x = mesh_region(m, cell);
		const struct firn_conductor *c = &x->of;
		const double mass_kg = c->density_kg_per_m3 * mesh_cell_volume(m, i, j);

		t->heat_W[cell] = mesh_cell_heat(m, i, j);
		if (x->is_held) {
			t->c_solid[cell] = t->c_liquid[cell] = INFINITY;
			continue;
		}
		if (!(c->density_kg_per_m3 > 0 && c->cp_J_per_kgK > 0))
			return FIRN_E_DOMAIN;
		t->c_solid[cell] = t->c_liquid[cell] = mass_kg * c->cp_J_per_kgK;
		if (c->latent_J_per_kg > 0) {
			t->c_liquid[cell] = mass_kg * c->cp_liquid_J_per_kgK;
			t->latent_J[cell] = mass_kg * c->latent_J_per_kg;
			t->melt_K[cell] = c->freezing_K;
			t->freezes = true;
		}
		t->h_J[cell] = enthalpy_at(x, mass_kg);
		t->h_start[cell] = t->h_J[cell];
	}
	return FIRN_OK;
}

/* ---- gates ---- */

static void add_gate(struct gate *gates, size_t *n, size_t face, size_t cell, size_t held)
{
	gates[(*n)++] = (struct gate){ face, cell, held };
}

/* Between two cells, of which one is held. */
static void gate_between(const struct firn_transient *t, struct gate *gates, size_t *n, size_t face,
			 size_t a, size_t b)
{
	const bool a_held = !(t->c_solid[a] < INFINITY), b_held = !(t->c_solid[b] < INFINITY);

	if (a_held != b_held)
		add_gate(gates, n, face, a_held ? b : a, a_held ? a : b);
}

static void gates_at_sides(struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;

	for (int s = 0; s < 4; s++) {
		const enum firn_side side = (enum firn_side)s;
		const bool along_z = side == FIRN_BOTTOM || side == FIRN_TOP;

		for (size_t k = 0; k < mesh_side_length(m, side); k++) {
			const size_t cell = mesh_side_cell(m, side, k);
			const size_t face = side == FIRN_INNER    ? k * (m->nr + 1)
					    : side == FIRN_OUTER  ? k * (m->nr + 1) + m->nr
					    : side == FIRN_BOTTOM ? k
								  : m->nz * m->nr + k;

			if (m->side[side][k] != 0 && t->c_solid[cell] < INFINITY)
				add_gate(along_z ? t->gates_z : t->gates_r,
					 along_z ? &t->n_gates_z : &t->n_gates_r, face, cell,
					 GATE_BOUNDARY + m->side[side][k] - 1);
		}
	}
}

static void find_gates(struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;

	for (size_t cell = 0; cell < t->cells; cell++) {
		if (cell % m->nr > 0)
			gate_between(t, t->gates_r, &t->n_gates_r,
				     cell / m->nr * (m->nr + 1) + cell % m->nr, cell - 1, cell);
		if (cell >= m->nr)
			gate_between(t, t->gates_z, &t->n_gates_z, cell, cell - m->nr, cell);
	}
	gates_at_sides(t);
}

/* ---- times of cells ---- */

/* Those of the quickest cell, to follow in both directions and in the slower of them. */
static void find_times(struct firn_transient *t)
{
	const struct field *f = t->field;
	const size_t nr = f->mesh->nr;
	double quickest = INFINITY, slower = INFINITY;

	for (size_t cell = 0; cell < t->cells; cell++) {
		const size_t face = cell / nr * (nr + 1) + cell % nr;
		const double g_r = f->g_r[face] + f->g_r[face + 1];
		const double g_z = f->g_z[cell] + f->g_z[cell + nr];

		if (!(t->c_solid[cell] < INFINITY))
			continue;
		if (g_r + g_z > 0)
			quickest = fmin(quickest, t->c_solid[cell] / (g_r + g_z));
		if (g_r > 0 && g_z > 0)
			slower = fmin(slower, t->c_solid[cell] / fmin(g_r, g_z));
	}
	t->pace_s = 0.1 * quickest;
	t->fast_s = slower;
}

enum firn_status firn_transient_new(const struct firn_body *body, struct firn_transient **ret)
{
	struct firn_transient *t = calloc(1, sizeof *t);
	struct mesh *mesh;
	enum firn_status status;

	if (t == NULL)
		return FIRN_E_MEMORY;
	status = mesh_new(body, body->grid.halvings, &mesh);
	if (status == FIRN_OK)
		status = field_new(mesh, &t->field);
	if (status == FIRN_OK && !allocate(t))
		status = FIRN_E_MEMORY;
	if (status == FIRN_OK)
		status = fill(t);
	if (status == FIRN_OK && !split_prepare(t))
		status = FIRN_E_MEMORY;
	if (status != FIRN_OK) {
		firn_transient_free(t);
		return status;
	}
	find_gates(t);
	find_times(t);
	*ret = t;
	return FIRN_OK;
}

/* ---- changes from outside ---- */

/* The past says nothing of what comes. */
static void begin_anew(struct firn_transient *t)
{
	memset(t->h_rate, 0, t->cells * sizeof(double));
	find_times(t);
}

enum firn_status firn_transient_ambient(struct firn_transient *t, size_t boundary, double ambient_K)
{
	struct firn_body *b = &t->field->mesh->body;

	if (boundary >= b->n_boundaries || !isfinite(ambient_K))
		return FIRN_E_DOMAIN;
	((struct firn_boundary *)b->boundaries)[boundary].ambient_K = ambient_K;
	begin_anew(t);
	return FIRN_OK;
}

enum firn_status firn_transient_heat(struct firn_transient *t, size_t region, double heat_W)
{
	struct mesh *m = t->field->mesh;

	if (region >= m->body.n_regions || !isfinite(heat_W))
		return FIRN_E_DOMAIN;
	((struct firn_region *)m->body.regions)[region].heat_W = heat_W;
	for (size_t cell = 0; cell < t->cells; cell++)
		t->heat_W[cell] = mesh_cell_heat(m, cell % m->nr, cell / m->nr);
	begin_anew(t);
	return FIRN_OK;
}

enum firn_status firn_transient_hold(struct firn_transient *t, size_t region, double t_K)
{
	struct mesh *m = t->field->mesh;

	if (region >= m->body.n_regions || !m->body.regions[region].is_held || !isfinite(t_K))
		return FIRN_E_DOMAIN;
	((struct firn_region *)m->body.regions)[region].start_K = t_K;
	for (size_t cell = 0; cell < t->cells; cell++)
		if (m->owner[cell] == region)
			t->field->t_K[cell] = t_K;
	begin_anew(t);
	return FIRN_OK;
}

/* ---- what is read ---- */

double firn_transient_time_s(const struct firn_transient *t)
{
	return t->time_s;
}

size_t firn_transient_steps(const struct firn_transient *t)
{
	return t->steps;
}

struct firn_energy firn_transient_energy(const struct firn_transient *t)
{
	struct firn_energy energy = t->energy;

	energy.stored = 0;
	for (size_t cell = 0; cell < t->cells; cell++)
		if (t->c_solid[cell] < INFINITY)
			energy.stored += t->h_J[cell] - t->h_start[cell];
	return energy;
}

static double liquid_part(const struct firn_transient *t, size_t region)
{
	double liquid_J = 0, all_J = 0;

	for (size_t cell = 0; cell < t->cells; cell++)
		if (t->field->mesh->owner[cell] == region) {
			liquid_J += fmin(fmax(t->h_J[cell], 0), t->latent_J[cell]);
			all_J += t->latent_J[cell];
		}
	return liquid_J / all_J;
}

enum firn_status firn_transient_read(const struct firn_transient *t, size_t n,
				     const struct firn_probe *probes, double *ret)
{
	for (size_t k = 0; k < n; k++)
		if (!field_has(t->field, &probes[k]))
			return FIRN_E_DOMAIN;
	for (size_t k = 0; k < n; k++)
		ret[k] = probes[k].kind == FIRN_LIQUID_PART ? liquid_part(t, probes[k].index)
							    : field_read(t->field, &probes[k]);
	return FIRN_OK;
}
