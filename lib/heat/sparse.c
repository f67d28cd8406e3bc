/*
 * Sparse Cholesky by CHOLMOD, everything of it in an object of ours.
 *
 * Simplicial LDL', ordered by AMD alone: no BLAS and no threads, so numbers are the same on every
 * processor and with any BLAS installed. CHOLMOD is told to print nothing; a failure is its status.
 */
#include "lib/heat/sparse.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/cholmod.h>

struct sparse {
	cholmod_common common;
	cholmod_sparse *a;
	cholmod_factor *factor;
	size_t column, filled; /* the one that is being filled; entries so far */
};

static enum firn_status status_of(const struct sparse *s)
{
	switch (s->common.status) {
	case CHOLMOD_OK:
		return FIRN_OK;
	case CHOLMOD_NOT_POSDEF:
	case CHOLMOD_DSMALL:
		return FIRN_E_SINGULAR;
	default:
		return FIRN_E_MEMORY; /* of what can happen to a valid matrix the only one left */
	}
}

enum firn_status sparse_new(size_t n, size_t most_entries, struct sparse **ret)
{
	struct sparse *s;

	if (n == 0 || n >= INT_MAX || most_entries >= INT_MAX)
		return FIRN_E_DOMAIN;
	s = calloc(1, sizeof *s);
	if (s == NULL)
		return FIRN_E_MEMORY;
	cholmod_start(&s->common);
	s->common.print = 0;
	s->common.error_handler = NULL;
	s->common.supernodal = CHOLMOD_SIMPLICIAL;
	s->common.nmethods = 1;
	s->common.method[0].ordering = CHOLMOD_AMD;
	s->a = cholmod_allocate_sparse(n, n, most_entries, 1, 1, 1, CHOLMOD_REAL, &s->common);
	if (s->a == NULL) {
		sparse_free(s);
		return FIRN_E_MEMORY;
	}
	*ret = s;
	return FIRN_OK;
}

void sparse_free(struct sparse *s)
{
	if (s == NULL)
		return;
	cholmod_free_factor(&s->factor, &s->common);
	cholmod_free_sparse(&s->a, &s->common);
	cholmod_finish(&s->common);
	free(s);
}

void sparse_column(struct sparse *s, size_t column)
{
	s->column = column;
	((int *)s->a->p)[column] = ((int *)s->a->p)[column + 1] = (int)s->filled;
}

void sparse_entry(struct sparse *s, size_t row, double value)
{
	((int *)s->a->i)[s->filled] = (int)row;
	((double *)s->a->x)[s->filled] = value;
	s->filled++;
	((int *)s->a->p)[s->column + 1] = (int)s->filled;
}

enum firn_status sparse_factorise(struct sparse *s)
{
	s->factor = cholmod_analyze(s->a, &s->common);
	if (s->factor != NULL)
		cholmod_factorize(s->a, s->factor, &s->common);
	return status_of(s);
}

enum firn_status sparse_solve(struct sparse *s, double *b)
{
	cholmod_dense in = {
		.nrow = s->a->nrow,
		.ncol = 1,
		.nzmax = s->a->nrow,
		.d = s->a->nrow,
		.x = b,
		.xtype = CHOLMOD_REAL,
		.dtype = CHOLMOD_DOUBLE,
	};
	cholmod_dense *x = cholmod_solve(CHOLMOD_A, s->factor, &in, &s->common);

	if (x == NULL)
		return status_of(s);
	memcpy(b, x->x, s->a->nrow * sizeof(double));
	cholmod_free_dense(&x, &s->common);
	return FIRN_OK;
}
