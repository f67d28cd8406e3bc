/*
 * One step, split by direction (Douglas and Rachford's form): implicit along r with the flows along
 * z as they were, then corrected by the flows along z as they become. At rest it leaves a steady
 * state as it is, which a product of two one-dimensional steps does not.
 */
#include "lib/heat/transient.h"

#include <math.h>
#include <string.h>

/* Where element k of line l stands in arrays over cells, and which face lies below it. */
struct way {
	size_t n, lines;   /* cells of a line; how many lines */
	size_t step, next; /* from cell to cell, from line to line */
	size_t face_step, face_next;
	const double *g;
	enum firn_side low, high;
};

static struct way along_r(const struct field *f)
{
	const struct mesh *m = f->mesh;

	return (struct way){ m->nr, m->nz, 1, m->nr, 1, m->nr + 1, f->g_r, FIRN_INNER, FIRN_OUTER };
}

static struct way along_z(const struct field *f)
{
	const struct mesh *m = f->mesh;

	return (struct way){ m->nz, m->nr, m->nr, 1, m->nr, 1, f->g_z, FIRN_BOTTOM, FIRN_TOP };
}

static double ambient(const struct mesh *m, enum firn_side side, size_t k)
{
	const size_t boundary = m->side[side][k];

	return boundary == 0 ? 0 : m->body.boundaries[boundary - 1].ambient_K;
}

/* Lines first to first + LINES - 1; those beyond the last are copies of it. */
static void gather(struct firn_transient *t, const struct way *w, size_t first, double tau_s)
{
	struct lines *s = &t->lines;

	s->n = w->n;
	for (size_t l = 0; l < LINES; l++) {
		const size_t line = first + l < w->lines ? first + l : w->lines - 1;
		const size_t cell0 = line * w->next, face0 = line * w->face_next;

		for (size_t k = 0; k < w->n; k++) {
			const size_t cell = cell0 + k * w->step, x = k * LINES + l;

			s->c_solid[x] = t->c_solid[cell];
			s->c_liquid[x] = t->c_liquid[cell];
			s->latent[x] = t->latent_J[cell];
			s->melt[x] = t->melt_K[cell];
			s->h[x] = s->b[x] = t->h_J[cell];
			s->t[x] = t->field->t_K[cell];
			s->g[x] = tau_s * w->g[face0 + k * w->face_step];
		}
		s->g[w->n * LINES + l] = tau_s * w->g[face0 + w->n * w->face_step];
		s->first[l] = ambient(t->field->mesh, w->low, line);
		s->last[l] = ambient(t->field->mesh, w->high, line);
	}
}

static void scatter(struct firn_transient *t, const struct way *w, size_t first)
{
	const struct lines *s = &t->lines;

	for (size_t l = 0; l < LINES && first + l < w->lines; l++)
		for (size_t k = 0; k < w->n; k++) {
			const size_t cell = (first + l) * w->next + k * w->step, x = k * LINES + l;

			if (t->c_solid[cell] < INFINITY) {
				t->h_J[cell] = s->h[x];
				t->field->t_K[cell] = s->t[x];
			}
		}
}

static bool solve_along(struct firn_transient *t, const struct way *w, double tau_s)
{
	for (size_t first = 0; first < w->lines; first += LINES) {
		gather(t, w, first, tau_s);
		if (!lines_solve(&t->lines))
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
	const struct way r = along_r(f), z = along_z(f);

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
