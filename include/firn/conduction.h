/*
 * Conduction of heat in a body of revolution (thermometer, well, fluid, ice, water, glass), by
 * finite volumes: steady, and in time with freezing and melting.
 *
 * SI units throughout. Temperatures (t_K) are counted from any zero of the caller's, one for the
 * whole body. The freezing point is a good one: then microkelvin have all their digits.
 *
 * z runs along the axis, in a direction of the caller's; r from the axis. Everything here is plain
 * numbers; firn/differences.h makes a quantity with uncertainty of an answer.
 */
#ifndef FIRN_CONDUCTION_H
#define FIRN_CONDUCTION_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

/* ---- The body ---- */

/* What conducts; with latent_J_per_kg it freezes, in time only: a steady answer takes k as given.
 */
struct firn_conductor {
	double k_W_per_mK;                      /* above 0; of the solid where it freezes */
	double k_axial_W_per_mK;                /* along the axis; 0: the same (else e.g. wires) */
	double density_kg_per_m3, cp_J_per_kgK; /* above 0; 0 will do for a steady answer */
	double latent_J_per_kg;                 /* 0: does not freeze, and the rest is not read */
	double freezing_K;
	double k_liquid_W_per_mK, cp_liquid_J_per_kgK; /* density: that of the solid */
};

/* A ring r0..r1 (0 <= r0 < r1), z0..z1 (z0 < z1). */
struct firn_region {
	double r0_m, r1_m, z0_m, z1_m;
	struct firn_conductor of;
	bool is_held; /* held at start_K whatever flows: ice and water at 0.01 degC, a bath, air */
	double start_K; /* where it begins (in time), or is held */
	double liquid;  /* 0 to 1: part that is liquid where it begins at its freezing point */
	double heat_W;  /* generated in what is to be seen of it, evenly; may be negative */
};

enum firn_side { FIRN_INNER, FIRN_OUTER, FIRN_BOTTOM, FIRN_TOP }; /* lowest r, r, lowest z, z */

/* Part of a side that exchanges heat with what is outside. What no boundary names is insulated. */
struct firn_boundary {
	enum firn_side side;
	double from_m, to_m; /* along the side; both 0: all of it */
	double h_W_per_m2K;  /* above 0; INFINITY: the surface is held at ambient_K */
	double ambient_K;
};

/*
 * A thin layer or gap on a line inside the body, in place of a region too thin to divide: its heat
 * capacity is neglected. Beside a region that is held it is a film: so a stem in air is a region of
 * air, held, and a contact with the film's coefficient.
 */
struct firn_contact {
	bool across_z; /* false: on r = at_m, z from..to; true: on z = at_m, r from..to */
	double at_m, from_m, to_m;
	double h_W_per_m2K; /* conductance per area, above 0 */
};

/*
 * How finely it is divided. Every edge of a region, boundary and contact is an edge of cells.
 * Beginning with `finest` at each edge, cells grow by `growth` away from it. Then all cells are
 * halved in both directions, `halvings` times.
 */
struct firn_grid {
	double finest_r_m, finest_z_m; /* above 0 */
	double growth;                 /* 1 (even) to 2 */
	int halvings;                  /* 0 to 4 */
};

/*
 * Regions lie over one another in their order, the later above. Together they must cover the
 * rectangle around them all (one large region first will do).
 */
struct firn_body {
	size_t n_regions, n_boundaries, n_contacts;
	const struct firn_region *regions;
	const struct firn_boundary *boundaries;
	const struct firn_contact *contacts;
	struct firn_grid grid;
};

/* ---- What is asked ---- */

enum firn_probe_kind {
	FIRN_AT_POINT,           /* K, at r_m, z_m: interpolated between cells */
	FIRN_MEAN_OVER,          /* K, mean by volume over what is to be seen of region `index` */
	FIRN_FLOW_FROM_BOUNDARY, /* W into the body through boundary `index` */
	FIRN_FLOW_FROM_REGION,   /* W out of region `index`, which is held, into the rest */
	FIRN_LIQUID_PART,        /* in time only: part of region `index` that is liquid, 0 to 1 */
};
struct firn_probe {
	enum firn_probe_kind kind;
	size_t index;
	double r_m, z_m;
};

/* On the finest grid; error: estimated, 0 and more, by refinement (Richardson). */
struct firn_answer {
	double value, error;
	double order; /* at which the answer was seen to converge; NaN where it can't be told */
};

/* First law, over the whole body: stored = entered + generated, up to rounding. In W for a steady
   answer (stored is 0), in J in time. */
struct firn_energy {
	double entered;   /* through boundaries and from regions that are held, net */
	double generated; /* by heat_W outside them */
	double stored;
	double exchanged; /* what has moved in and out, as a measure for the balance */
};

/* ---- Steady ---- */

/*
 * firn_conduction_steady - temperatures and flows when nothing changes any more.
 *
 * Given:
 *   body      grid.halvings at least 2: the answer is that of the finest grid; once and twice
 *             halved less give its error and order
 *   n, probes what is asked
 * Returned (untouched when the status is negative):
 *   ret       n answers
 *   ret_energy  of the finest grid; NULL is accepted
 * Status:
 *   FIRN_OK
 *   FIRN_E_DOMAIN    a number is not finite or out of its range; not all is covered; more than
 *                    FIRN_MOST_CELLS; a probe lies outside or names nothing
 *   FIRN_E_SINGULAR  something takes part that nothing holds: its temperature is arbitrary
 *   FIRN_E_MEMORY
 *
 * Method: conductances of shells and layers in series, exact for each alone; sparse Cholesky
 * (CHOLMOD). Of second order in the size of cells away from corners. docs/methods/heat.md.
 */
#define FIRN_MOST_CELLS 1000000
enum firn_status firn_conduction_steady(const struct firn_body *body, size_t n,
					const struct firn_probe *probes, struct firn_answer *ret,
					struct firn_energy *ret_energy);

/* ---- In time ---- */

/*
 * What happens to a body in time. It allocates; one thread at a time; the body is copied.
 * Begins at 0 s with every region at its start_K.
 */
struct firn_transient;

/* Status: as of firn_conduction_steady; halvings from 0 on will do, density and heat capacity of
   what is not held must be above 0. */
enum firn_status firn_transient_new(const struct firn_body *body, struct firn_transient **ret);
void firn_transient_free(struct firn_transient *transient); /* NULL is accepted */

/*
 * firn_transient_run - go on until until_s.
 *
 * Every step is made once and in two halves. It is short enough when temperatures of both differ by
 * accuracy_K at most, fronts by 5 % of a cell, and when no front moves by more than half a cell.
 * Where nothing freezes Richardson's rule makes the answer one of second order in time; accuracy_K
 * of 0.1 % of the largest difference of temperature is a good one.
 *
 * Status:
 *   FIRN_E_DOMAIN     until_s lies before the time reached, or accuracy_K is not above 0
 *   FIRN_E_SINGULAR   no step was short enough (numbers beyond what doubles can hold)
 */
enum firn_status firn_transient_run(struct firn_transient *transient, double until_s,
				    double accuracy_K);

double firn_transient_time_s(const struct firn_transient *transient);
size_t firn_transient_steps(const struct firn_transient *transient);
struct firn_energy firn_transient_energy(const struct firn_transient *transient);
enum firn_status firn_transient_read(const struct firn_transient *transient, size_t n,
				     const struct firn_probe *probes, double *ret);

/* What changes between two runs: ambience of a boundary, heat or held temperature of a region.
   FIRN_E_DOMAIN: not finite, no such boundary or region, or it is not held. */
enum firn_status firn_transient_ambient(struct firn_transient *transient, size_t boundary,
					double ambient_K);
enum firn_status firn_transient_heat(struct firn_transient *transient, size_t region,
				     double heat_W);
enum firn_status firn_transient_hold(struct firn_transient *transient, size_t region, double t_K);

/*
 * firn_conduction_in_time - answers at several times, with their error.
 *
 * The course is computed twice: on the body's grid, and on one halved once less with steps twice as
 * long. halvings must be 1 at least; times ascend from 0. ret[i*n + j]: probe j at time i.
 * The error is the largest difference between the two so far: that of the coarser one, of which the
 * finer has half or less where the course is smooth. With freezing the order moves between 1 and 2
 * with the place of the front in its cell, so nothing is taken off (docs/methods/heat.md), and it
 * is an estimate, no bound; `order` is NaN. Status: as above.
 */
enum firn_status firn_conduction_in_time(const struct firn_body *body, double accuracy_K,
					 size_t n_times, const double *times_s, size_t n,
					 const struct firn_probe *probes, struct firn_answer *ret,
					 struct firn_energy *ret_energy);

/* ---- What is left out ---- */

/*
 * firn_conduction_left_out - effect number i (from 0) that is not in these answers, to be said with
 * each of them: a static text; NULL beyond the last. t90_K: about which temperature it is, above 0.
 */
const char *firn_conduction_left_out(double t90_K, size_t i);

#endif
