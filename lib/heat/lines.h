/*
 * Enthalpy along lines of cells, implicit in time: what one direction of a split step solves.
 *
 * Eight lines at once, element k of line l at [k*LINES + l], so that loops over lines vectorise.
 */
#ifndef LIB_HEAT_LINES_H
#define LIB_HEAT_LINES_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

#define LINES 8

/*
 * For each cell: H = b + G_k (T_(k-1) - T_k) + G_(k+1) (T_(k+1) - T_k), G the conductances times
 * the step, and T follows from H: below 0 solid, to `latent` at `melt`, above liquid. What is held
 * has its T whatever H. Ends: `first` and `last` stand in place of neighbours.
 */
struct lines {
	size_t n; /* cells of a line */
	/* given */
	double *b, *g;              /* J; J/K, n + 1 of each line */
	double *c_solid, *c_liquid; /* J/K; INFINITY: held */
	double *latent, *melt;      /* J, K; of what does not freeze 0 and the zero of H */
	double first[LINES], last[LINES];
	/* given as the state to begin from, and returned */
	double *h, *t;
	/* of the solution */
	double *live, *c, *shift, *ratio, *part;
	unsigned char *phase;
};

bool lines_allocate(struct lines *lines, size_t most);
void lines_release(struct lines *lines);

/* False: no set of phases was found that fits; the step was too long. */
bool lines_solve(struct lines *lines);

#endif
