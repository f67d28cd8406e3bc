/* Edges of cells along one direction. */
#ifndef LIB_HEAT_AXIS_H
#define LIB_HEAT_AXIS_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

struct axis_wish {
	double finest_m, growth;
	int halvings;
	bool is_radial; /* no cells need to be fine at r = 0 */
};

/*
 * axis_divide - edges from marks, which are sorted and thinned in place: marks nearer to one
 * another than 1e-9 of the whole are one.
 *
 * ret_edges: *ret_n + 1, to be freed. FIRN_E_DOMAIN: fewer than two marks, or more than
 * FIRN_MOST_CELLS cells.
 */
enum firn_status axis_divide(size_t n_marks, double *marks, const struct axis_wish *wish,
			     size_t *ret_n, double **ret_edges);

#endif
