/*
 * Enthalpy along lines of cells, implicit in time: what one direction of a split step solves.
 *
 * Eight lines at once, element k of line l at [k*LINES + l], so that loops over lines vectorise.
 */
#ifndef LIB_HEAT_LINES_H
#define LIB_HEAT_LINES_H

#include <stdbool.h>
#include <stddef.h>

#define LINES 8

/* What cells are made of. */
struct lines_constants {
	double *c_solid, *c_liquid; /* J/K; INFINITY: held */
	double *latent, *melt;      /* J, K; of what does not freeze 0 and the zero of H */
};

/*
 * For each cell: H = b + G_k (T_(k-1) - T_k) + G_(k+1) (T_(k+1) - T_k), G the conductances times
 * the step, and T follows from H: below 0 solid, to `latent` at `melt`, above liquid. What is held
 * has its T whatever H. Ends: `first` and `last` stand in place of neighbours.
 */
struct lines {
	size_t n; /* cells of a line */
	/* given */
	struct lines_constants of;
	double *b, *g; /* J; J/K, n + 1 of each line */
	double first[LINES], last[LINES];
	/* given as the state to begin from, and returned */
	double *h, *t;
	/* of the solution: H = c T - shift where T is unknown (live 1), else T stands in shift and
	   c is 1; H from low to high leaves the phase as it is */
	double *live, *c, *shift, *low, *high, *ratio, *part;
};

bool lines_allocate(struct lines *lines, size_t most);
void lines_release(struct lines *lines);

/* False: no set of phases was found that fits; the step was too long. */
typedef bool lines_solver(struct lines *lines);
lines_solver lines_solve_plain, lines_solve_v3, lines_solve_v4;

/* The best that this processor can; all give the same bits. */
lines_solver *lines_best(void);

#endif
