/* Which inputs are drawn together, and how: JCGM 101:2008, 6.4 and Table 1. */
#include "lib/tape/replay.h"

#include <stdlib.h>

static bool has_finite_dof(const struct firn_input *x)
{
	return x->dof > 0.0 && isfinite(x->dof);
}

static bool is_normal(const struct firn_input *x)
{
	return x->distribution == FIRN_NORMAL || x->distribution == FIRN_STUDENT_T;
}

/* Without spread a quantity takes no part in what is said of the others. */
static bool is_exact(const struct firn_input *x)
{
	return x->u == 0.0;
}

/* Of inputs with the same name the second has another stream, and so on. */
static uint64_t stream_of(const struct firn_tape *tape, uint32_t input, const uint64_t *streams)
{
	uint64_t stream = num_stream(tape->inputs[input].said.name);

	for (uint32_t i = 0; i < input;) {
		if (streams[i++] == stream) {
			stream = num_next_stream(stream);
			i = 0;
		}
	}
	return stream;
}

static enum draw_kind kind_of(const struct draw *draw, double *ret_dof)
{
	bool normal = true, finite = true, infinite = true;
	double dof = 0.0;

	for (size_t i = 0; i < draw->n; i++) {
		const struct firn_input *x = draw->members[i].said;

		if (is_exact(x))
			continue;
		normal &= is_normal(x);
		infinite &= !has_finite_dof(x);
		finite &= has_finite_dof(x) && (dof == 0.0 || dof == x->dof);
		dof = x->dof;
	}
	*ret_dof = dof;
	if (!normal || (!finite && !infinite))
		return DRAW_COPULA;
	return infinite ? DRAW_NORMALS : DRAW_STUDENT_T;
}

/* Cholesky's factor of the group's correlations; the tape has been checked to have one. */
static enum firn_status factor(const struct firn_tape *tape, struct draw *draw)
{
	const size_t n = draw->n;
	double *m = calloc(n * n, sizeof(*m));

	if (m == NULL)
		return FIRN_E_MEMORY;
	draw->factor = m;
	for (size_t i = 0; i < n; i++)
		m[i * n + i] = 1.0;
	for (uint32_t i = 0; i < tape->n_correlations; i++) {
		const struct correlation *k = &tape->correlations[i];
		size_t a = n, b = n;

		for (size_t j = 0; j < n; j++) {
			a = draw->members[j].input == k->a ? j : a;
			b = draw->members[j].input == k->b ? j : b;
		}
		if (a < n && b < n)
			m[a * n + b] = m[b * n + a] = k->r;
	}
	return tape_cholesky(n, m) ? FIRN_OK : FIRN_E_CORRELATION;
}

static enum firn_status fill(const struct firn_tape *tape, uint32_t group, const uint64_t *streams,
			     uint32_t place, struct draw *draw, uint32_t *draw_of)
{
	size_t n = 0;

	for (uint32_t i = group; i < tape->n_inputs; i++)
		n += tape->inputs[i].group == group;
	draw->members = calloc(n, sizeof(*draw->members));
	if (draw->members == NULL)
		return FIRN_E_MEMORY;
	for (uint32_t i = group; i < tape->n_inputs; i++) {
		if (tape->inputs[i].group != group)
			continue;
		draw->members[draw->n++] = (struct draw_member){ .input = i,
								 .to = REPLAY_NO_BUFFER,
								 .stream = streams[i],
								 .said = &tape->inputs[i].said };
		draw_of[i] = place;
	}
	draw->kind = DRAW_ALONE;
	if (n == 1)
		return FIRN_OK;
	draw->kind = kind_of(draw, &draw->dof);
	return factor(tape, draw);
}

enum firn_status draws_new(const struct firn_tape *tape, struct draw **ret, size_t *ret_n,
			   uint32_t *ret_draw_of)
{
	uint64_t *streams = calloc(tape->n_inputs + 1, sizeof(*streams));
	struct draw *draws = calloc(tape->n_inputs + 1, sizeof(*draws));
	enum firn_status status = streams == NULL || draws == NULL ? FIRN_E_MEMORY : FIRN_OK;
	size_t n = 0;

	for (uint32_t i = 0; i < tape->n_inputs && status >= 0; i++)
		streams[i] = stream_of(tape, i, streams);
	for (uint32_t i = 0; i < tape->n_inputs && status >= 0; i++) {
		if (tape->inputs[i].group != i)
			continue;
		status = fill(tape, i, streams, (uint32_t)n, &draws[n], ret_draw_of);
		n++;
	}
	free(streams);
	if (status < 0) {
		draws_free(draws, n);
		return status;
	}
	*ret = draws;
	*ret_n = n;
	return FIRN_OK;
}

void draws_free(struct draw *draws, size_t n)
{
	for (size_t i = 0; draws != NULL && i < n; i++) {
		free(draws[i].members);
		free(draws[i].factor);
	}
	free(draws);
}

size_t draw_scratch(const struct draw *draw, size_t block)
{
	return (draw->n + 3) * block;
}
