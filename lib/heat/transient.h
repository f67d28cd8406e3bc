/* What happens in time: state, one split step, and how fronts lie within cells. */
#ifndef LIB_HEAT_TRANSIENT_H
#define LIB_HEAT_TRANSIENT_H

#include "lib/heat/field.h"
#include "lib/heat/lines.h"

/* A face through which heat enters: from a boundary, or from a cell that is held. */
struct gate {
	size_t face, cell; /* of g_r or g_z; the cell inside */
	size_t held;       /* the cell that is held; or GATE_BOUNDARY + boundary */
};
#define GATE_BOUNDARY ((size_t)1 << 32)

enum drawn { DRAWN_SOLID, DRAWN_LIQUID, DRAWN_FRONT };

struct firn_transient {
	struct field *field; /* t_K at the time reached; conductances of the last step */
	size_t cells;
	bool freezes;               /* something in it does */
	double *h_J;                /* of each cell; 0: solid at its freezing point, or t_K 0 */
	double *c_solid, *c_liquid; /* J/K; INFINITY: held */
	double *latent_J, *melt_K;
	double *heat_W;
	size_t n_gates_r, n_gates_z;
	struct gate *gates_r, *gates_z;
	struct lines lines;
	struct lines_constants packed_r, packed_z; /* the constants, in the order of lines */

	/* Of the step before: for where fronts will be. */
	double *h_rate; /* W into cells */
	/* Of the step that is tried. */
	double *t_old, *h_old, *along; /* along: J that flow in along z at the old temperatures */
	unsigned char *drawn;          /* enum drawn: as what each cell conducts */

	double time_s, pace_s; /* pace: the next step, if nothing is in its way */
	double fast_s;         /* of the quickest cell, by its slower direction */
	size_t steps;
	struct firn_energy energy;
	double *h_rate_now;      /* W into cells, of the step that is tried */
	double *t_once, *h_once; /* what it came to when made at once */
	double *h_start;         /* at 0 s, by cell: a difference of sums would be their rounding */
};

/* packed_r, packed_z; false: no memory. */
bool split_prepare(struct firn_transient *t);
void split_release(struct firn_transient *t);

/* One split step of tau: false, and the state is nonsense, when it was too long. */
bool split_step(struct firn_transient *t, double tau_s);

/* Conductances of the cells in which a front lies, for the middle of a step; h_rate: W into them.
 */
void front_place(struct firn_transient *t, const double *h_rate, double tau_s);

#endif
