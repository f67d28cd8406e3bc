#include "lib/tape/tape.h"

#include <stdlib.h>

static uint32_t input_place(struct firn_node x)
{
	return x.tape->records[x.index].a;
}

static bool is_input(struct firn_node x)
{
	return x.index != 0 && x.index < x.tape->n_records &&
	       x.tape->records[x.index].operation == OP_INPUT;
}

/* The groups of both become one, named by the earlier of their first inputs. */
static void join(struct firn_tape *tape, uint32_t a, uint32_t b)
{
	const uint32_t x = tape->inputs[a].group, y = tape->inputs[b].group;
	const uint32_t kept = x < y ? x : y, gone = x < y ? y : x;

	for (uint32_t i = 0; i < tape->n_inputs; i++)
		if (tape->inputs[i].group == gone)
			tape->inputs[i].group = kept;
}

static void pair(struct firn_tape *tape, uint32_t a, uint32_t b)
{
	const uint32_t x = tape->inputs[a].paired, y = tape->inputs[b].paired;
	const uint32_t kept = x < y ? x : y, gone = x < y ? y : x;

	for (uint32_t i = 0; i < tape->n_inputs; i++)
		if (tape->inputs[i].paired == gone)
			tape->inputs[i].paired = kept;
}

static enum firn_status both_are_inputs(struct firn_node a, struct firn_node b)
{
	if (!tape_agree(a, b))
		return a.tape->status;
	if (!is_input(a) || !is_input(b) || a.index == b.index) {
		tape_fail(a.tape, FIRN_E_CORRELATION, 0,
			  "a correlation is between two different inputs");
		return FIRN_E_CORRELATION;
	}
	return FIRN_OK;
}

enum firn_status firn_tape_pair(struct firn_node a, struct firn_node b)
{
	const enum firn_status status = both_are_inputs(a, b);

	if (status >= 0) {
		join(a.tape, input_place(a), input_place(b));
		pair(a.tape, input_place(a), input_place(b));
	}
	return status;
}

enum firn_status firn_tape_correlate(struct firn_node a, struct firn_node b, double r)
{
	struct firn_tape *tape = a.tape;
	const enum firn_status status = both_are_inputs(a, b);
	void *grown;

	if (status < 0)
		return status;
	if (!(r >= -1.0 && r <= 1.0)) {
		tape_fail(tape, FIRN_E_CORRELATION, 0, "a correlation of %g is outside -1 to 1", r);
		return FIRN_E_CORRELATION;
	}
	for (uint32_t i = 0; i < tape->n_correlations; i++) {
		const struct correlation *k = &tape->correlations[i];

		if ((k->a == input_place(a) && k->b == input_place(b)) ||
		    (k->a == input_place(b) && k->b == input_place(a))) {
			tape_fail(tape, FIRN_E_CORRELATION, 0,
				  "the correlation of %s and %s is stated twice",
				  tape->inputs[k->a].said.name, tape->inputs[k->b].said.name);
			return FIRN_E_CORRELATION;
		}
	}
	grown = tape_grow(tape, tape->correlations, tape->n_correlations, &tape->room_correlations,
			  sizeof(*tape->correlations));
	if (grown == NULL)
		return FIRN_E_MEMORY;
	tape->correlations = grown;
	tape->correlations[tape->n_correlations++] =
	    (struct correlation){ input_place(a), input_place(b), r };
	join(tape, input_place(a), input_place(b));
	return FIRN_OK;
}

/*
 * Cholesky's factor of a positive semidefinite matrix; r = 1 and r = -1 are legal, so a pivot may
 * be zero, and its column must then be, too. 1e-12 allows for correlations given with the digits of
 * a double.
 */
bool tape_cholesky(size_t n, double *m)
{
	for (size_t k = 0; k < n; k++) {
		double pivot = m[k * n + k];

		for (size_t j = 0; j < k; j++)
			pivot -= m[k * n + j] * m[k * n + j];
		if (pivot < -1e-12)
			return false;
		const double diagonal = pivot > 1e-12 ? sqrt(pivot) : 0.0;
		m[k * n + k] = diagonal;
		for (size_t i = k + 1; i < n; i++) {
			double x = m[i * n + k];

			for (size_t j = 0; j < k; j++)
				x -= m[i * n + j] * m[k * n + j];
			if (diagonal == 0.0 && fabs(x) > 1e-6)
				return false;
			m[i * n + k] = diagonal == 0.0 ? 0.0 : x / diagonal;
		}
	}
	return true;
}

static enum firn_status check_group(struct firn_tape *tape, uint32_t group)
{
	size_t n = 0;
	double *m;
	uint32_t *rank;
	bool good;

	rank = calloc(tape->n_inputs, sizeof(*rank));
	if (rank == NULL)
		return FIRN_E_MEMORY;
	for (uint32_t i = 0; i < tape->n_inputs; i++)
		if (tape->inputs[i].group == group)
			rank[i] = (uint32_t)n++;
	m = calloc(n * n, sizeof(*m));
	if (m == NULL) {
		free(rank);
		return FIRN_E_MEMORY;
	}
	for (size_t i = 0; i < n; i++)
		m[i * n + i] = 1.0;
	for (uint32_t i = 0; i < tape->n_correlations; i++) {
		const struct correlation *k = &tape->correlations[i];

		if (tape->inputs[k->a].group == group)
			m[rank[k->a] * n + rank[k->b]] = m[rank[k->b] * n + rank[k->a]] = k->r;
	}
	good = tape_cholesky(n, m);
	free(m);
	free(rank);
	if (!good)
		tape_fail(
		    tape, FIRN_E_CORRELATION, 0,
		    "the correlations of %s with others can't all hold together; look at their "
		    "signs, and lower one of them",
		    tape->inputs[group].said.name);
	return good ? FIRN_OK : FIRN_E_CORRELATION;
}

enum firn_status tape_check_correlations(struct firn_tape *tape)
{
	enum firn_status status = FIRN_OK;

	/* One or two inputs hold together whatever r is. */
	for (uint32_t i = 0; tape->n_correlations > 1 && i < tape->n_correlations && status >= 0;
	     i++) {
		const uint32_t group = tape->inputs[tape->correlations[i].a].group;
		bool first = true;

		for (uint32_t j = 0; j < i; j++)
			first &= tape->inputs[tape->correlations[j].a].group != group;
		if (first)
			status = check_group(tape, group);
	}
	return status;
}
