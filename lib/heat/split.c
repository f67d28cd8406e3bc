/*
 * One step, split by direction (Douglas and Rachford's form): implicit along r with the flows along
 * z as they were, then corrected by the flows along z as they become. At rest it leaves a steady
 * state as it is, which a product of two one-dimensional steps does not.
 */
#include "lib/heat/transient.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Where element k of line l stands in arrays over cells, and which face lies below it. */
struct way {
	size_t n, lines;   /* cells of a line; how many lines */
	size_t step, next; /* from cell to cell, from line to line */
	size_t face_step, face_next;
	const double *g;
	const struct lines_constants *of; /* packed: eight lines after eight lines */
	enum firn_side low, high;
};

static size_t way_line(const struct way *w, size_t first, size_t l)
{
	return first + l < w->lines ? first + l : w->lines - 1;
}

static struct way along_r(const struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;

	return (struct way){ .n = m->nr,
			     .lines = m->nz,
			     .step = 1,
			     .next = m->nr,
			     .face_step = 1,
			     .face_next = m->nr + 1,
			     .g = t->field->g_r,
			     .of = &t->packed_r,
			     .low = FIRN_INNER,
			     .high = FIRN_OUTER };
}

static struct way along_z(const struct firn_transient *t)
{
	const struct mesh *m = t->field->mesh;

	return (struct way){ .n = m->nz,
			     .lines = m->nr,
			     .step = m->nr,
			     .next = 1,
			     .face_step = m->nr,
			     .face_next = 1,
			     .g = t->field->g_z,
			     .of = &t->packed_z,
			     .low = FIRN_BOTTOM,
			     .high = FIRN_TOP };
}

/* ---- constants in the order of lines ---- */

static bool pack_along(const struct firn_transient *t, const struct way *w,
		       struct lines_constants *ret)
{
	const size_t blocks = (w->lines + LINES - 1) / LINES, n = blocks * LINES * w->n;

	ret->c_solid = calloc(n, sizeof(double));
	ret->c_liquid = calloc(n, sizeof(double));
	ret->latent = calloc(n, sizeof(double));
	ret->melt = calloc(n, sizeof(double));
	if (ret->c_solid == NULL || ret->c_liquid == NULL || ret->latent == NULL ||
	    ret->melt == NULL)
		return false;
	for (size_t x = 0; x < n; x++) {
		const size_t k = x / LINES % w->n, first = x / LINES / w->n * LINES;
		const size_t cell = way_line(w, first, x % LINES) * w->next + k * w->step;

		ret->c_solid[x] = t->c_solid[cell];
		ret->c_liquid[x] = t->c_liquid[cell];
		ret->latent[x] = t->latent_J[cell];
		ret->melt[x] = t->melt_K[cell];
	}
	return true;
}

bool split_prepare(struct firn_transient *t)
{
	const struct way r = along_r(t), z = along_z(t);

	return pack_along(t, &r, &t->packed_r) && pack_along(t, &z, &t->packed_z);
}

static void release_packed(struct lines_constants *c)
{
	free(c->c_solid);
	free(c->c_liquid);
	free(c->latent);
	free(c->melt);
}

void split_release(struct firn_transient *t)
{
	release_packed(&t->packed_r);
	release_packed(&t->packed_z);
}

/* ---- one step ---- */

static double ambient(const struct mesh *m, enum firn_side side, size_t k)
{
	const size_t boundary = m->side[side][k];

	return boundary == 0 ? 0 : m->body.boundaries[boundary - 1].ambient_K;
}

/* Lines first to first + LINES - 1; those beyond the last are copies of it. */
static void gather(struct firn_transient *t, const struct way *w, size_t first, double tau_s)
{
	struct lines *s = &t->lines;
	const size_t packed = first * w->n;
	size_t cell[LINES], face[LINES];

	s->n = w->n;
	s->of = (struct lines_constants){ w->of->c_solid + packed, w->of->c_liquid + packed,
					  w->of->latent + packed, w->of->melt + packed };
	for (size_t l = 0; l < LINES; l++) {
		const size_t line = way_line(w, first, l);

		cell[l] = line * w->next;
		face[l] = line * w->face_next;
		s->first[l] = ambient(t->field->mesh, w->low, line);
		s->last[l] = ambient(t->field->mesh, w->high, line);
	}
	for (size_t k = 0; k <= w->n; k++)
		for (size_t l = 0; l < LINES; l++) {
			const size_t at = cell[l] + k * w->step, x = k * LINES + l;

			s->g[x] = tau_s * w->g[face[l] + k * w->face_step];
			if (k < w->n) {
				s->h[x] = s->b[x] = t->h_J[at];
				s->t[x] = t->field->t_K[at];
			}
		}
}

static void scatter(struct firn_transient *t, const struct way *w, size_t first)
{
	const struct lines *s = &t->lines;
	const size_t many = w->lines - first < LINES ? w->lines - first : LINES;

	for (size_t k = 0; k < w->n; k++)
		for (size_t l = 0; l < many; l++) {
			const size_t at = (first + l) * w->next + k * w->step, x = k * LINES + l;

			t->h_J[at] = s->h[x]; /* of what is held: never read */
			t->field->t_K[at] = s->t[x];
		}
}

static bool solve_along(struct firn_transient *t, const struct way *w, double tau_s)
{
	lines_solver *const solve = lines_best();

	for (size_t first = 0; first < w->lines; first += LINES) {
		gather(t, w, first, tau_s);
		if (!solve(&t->lines))
			return false;
		scatter(t, w, first);
	}
	return true;
}

/* J that flow into each cell along z at the temperatures as they are. */
static void flows_along_z(struct firn_transient *t, double tau_s)
{
	const struct field *f = t->field;
	const struct mesh *m = f->mesh;

	memset(t->along, 0, t->cells * sizeof *t->along);
	for (size_t cell = 0; cell + m->nr < t->cells; cell++) {
		const double flow =
		    tau_s * f->g_z[cell + m->nr] * (f->t_K[cell] - f->t_K[cell + m->nr]);

		t->along[cell] -= flow;
		t->along[cell + m->nr] += flow;
	}
	for (size_t i = 0; i < m->nr; i++) {
		t->along[i] += tau_s * field_flow_from_face(f, FIRN_BOTTOM, i);
		t->along[t->cells - m->nr + i] += tau_s * field_flow_from_face(f, FIRN_TOP, i);
	}
}

static double entered_by(const struct firn_transient *t, const struct gate *gates, size_t n,
			 const double *g, double tau_s, double *ret_all_J)
{
	const struct field *f = t->field;
	double sum_J = 0;

	for (size_t k = 0; k < n; k++) {
		const double from_K =
		    gates[k].held >= GATE_BOUNDARY
			? f->mesh->body.boundaries[gates[k].held - GATE_BOUNDARY].ambient_K
			: f->t_K[gates[k].held];
		const double flow_J = tau_s * g[gates[k].face] * (from_K - f->t_K[gates[k].cell]);

		sum_J += flow_J;
		*ret_all_J += fabs(flow_J);
	}
	return sum_J;
}

bool split_step(struct firn_transient *t, double tau_s)
{
	const struct field *f = t->field;
	const struct way r = along_r(t), z = along_z(t);

	flows_along_z(t, tau_s);
	for (size_t cell = 0; cell < t->cells; cell++)
		t->h_J[cell] += t->along[cell] + tau_s * t->heat_W[cell];
	if (!solve_along(t, &r, tau_s))
		return false;
	t->energy.entered +=
	    entered_by(t, t->gates_r, t->n_gates_r, f->g_r, tau_s, &t->energy.exchanged);
	for (size_t cell = 0; cell < t->cells; cell++)
		t->h_J[cell] -= t->along[cell];
	if (!solve_along(t, &z, tau_s))
		return false;
	t->energy.entered +=
	    entered_by(t, t->gates_z, t->n_gates_z, f->g_z, tau_s, &t->energy.exchanged);
	t->energy.generated += tau_s * field_generated(f);
	return true;
}
