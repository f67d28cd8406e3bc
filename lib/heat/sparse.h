/* Symmetric positive definite systems: the one place that calls CHOLMOD. */
#ifndef LIB_HEAT_SPARSE_H
#define LIB_HEAT_SPARSE_H

#include "firn/status.h"

#include <stddef.h>

struct sparse;

/*
 * sparse_new - room for a matrix of n rows, its upper triangle to be filled column by column,
 * of most_entries.
 */
enum firn_status sparse_new(size_t n, size_t most_entries, struct sparse **ret);
void sparse_free(struct sparse *s); /* NULL is accepted */

/* Next column; then its entries, rows ascending, the diagonal last. Column and row from 0. */
void sparse_column(struct sparse *s, size_t column);
void sparse_entry(struct sparse *s, size_t row, double value);

/* FIRN_E_SINGULAR: not positive definite. FIRN_E_MEMORY. */
enum firn_status sparse_factorise(struct sparse *s);

/* b[n] in, x[n] out, in place; the matrix must be factorised. */
enum firn_status sparse_solve(struct sparse *s, double *b);

#endif
