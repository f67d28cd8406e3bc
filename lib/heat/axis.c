/* Division of an axis: fine at the marks, coarser between them. */
#include "lib/heat/axis.h"

#include "firn/conduction.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static const double same_mark = 1e-9; /* of the whole length */

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static size_t thinned(size_t n, double *marks)
{
	const double least = same_mark * (marks[n - 1] - marks[0]);
	size_t kept = 1;

	for (size_t i = 1; i < n; i++)
		if (marks[i] - marks[kept - 1] > least)
			marks[kept++] = marks[i];
	return kept;
}

/* Products, not pow(): the same on every processor. */
static double power(double x, size_t n)
{
	double product = 1;

	for (; n > 0; n >>= 1, x *= x)
		if ((n & 1) != 0)
			product *= x;
	return product;
}

/* Cell k of n between two marks, as a multiple of the finest: they grow from both ends, or, at the
   axis, from the outer one alone. */
static double multiple(size_t k, size_t n, double growth, bool at_axis)
{
	const size_t from_above = n - 1 - k;
	const size_t steps = at_axis || from_above < k ? from_above : k;

	return power(growth, steps);
}

static double sum_of_multiples(size_t n, double growth, bool at_axis)
{
	double sum = 0;

	for (size_t k = 0; k < n; k++)
		sum += multiple(k, n, growth, at_axis);
	return sum;
}

/* The fewest cells, their finest not above what is wished; FIRN_MOST_CELLS + 1: too many. */
static size_t cells_between(double length_m, const struct axis_wish *wish, bool at_axis)
{
	size_t low = 0, high = 1;

	if (length_m > wish->finest_m * FIRN_MOST_CELLS && wish->growth < 1 + 1e-6)
		return FIRN_MOST_CELLS + 1;
	while (sum_of_multiples(high, wish->growth, at_axis) * wish->finest_m < length_m) {
		low = high;
		high *= 2;
		if (high > FIRN_MOST_CELLS)
			return FIRN_MOST_CELLS + 1;
	}
	while (high - low > 1) {
		const size_t middle = low + (high - low) / 2;

		if (sum_of_multiples(middle, wish->growth, at_axis) * wish->finest_m < length_m)
			low = middle;
		else
			high = middle;
	}
	return high;
}

/* Writes the edges of an interval after its first, each cell divided into `parts`. */
static double *fill(double *edge, double from, double to, size_t n, size_t parts,
		    const struct axis_wish *wish, bool at_axis)
{
	const double whole = sum_of_multiples(n, wish->growth, at_axis);
	double begun = 0;

	for (size_t k = 0; k < n; k++) {
		const double size = multiple(k, n, wish->growth, at_axis);

		for (size_t part = 1; part <= parts; part++)
			*edge++ = from + (to - from) *
					     (begun + size * (double)part / (double)parts) / whole;
		begun += size;
	}
	edge[-1] = to; /* without rounding */
	return edge;
}

enum firn_status axis_divide(size_t n_marks, double *marks, const struct axis_wish *wish,
			     size_t *ret_n, double **ret_edges)
{
	const size_t parts = (size_t)1 << wish->halvings;
	size_t total = 0;
	double *edges, *edge;

	if (n_marks < 2)
		return FIRN_E_DOMAIN;
	qsort(marks, n_marks, sizeof(double), by_size);
	n_marks = thinned(n_marks, marks);
	for (size_t k = 0; k + 1 < n_marks; k++)
		total += parts * cells_between(marks[k + 1] - marks[k], wish,
					       wish->is_radial && marks[k] == 0);
	if (n_marks < 2 || total > FIRN_MOST_CELLS)
		return FIRN_E_DOMAIN;
	edges = calloc(total + 1, sizeof(double));
	if (edges == NULL)
		return FIRN_E_MEMORY;
	edges[0] = marks[0];
	edge = edges + 1;
	for (size_t k = 0; k + 1 < n_marks; k++) {
		const bool at_axis = wish->is_radial && marks[k] == 0;

		edge = fill(edge, marks[k], marks[k + 1],
			    cells_between(marks[k + 1] - marks[k], wish, at_axis), parts, wish,
			    at_axis);
	}
	*ret_n = total;
	*ret_edges = edges;
	return FIRN_OK;
}
