/* One reduction under way: shared by the files of this folder that carry out its steps, in the
   order in which they stand here. */
#ifndef CALC_REDUCTION_H
#define CALC_REDUCTION_H

#include "app/calc/reduce.h"

#include "firn/scale.h"
#include "firn/tape.h"

enum { REDUCTION_MOST_CURRENTS = 8 };

/* What a visit has come to so far. Nodes that do not apply have index 0. */
struct reduced_visit {
	bool in_ohm; /* as read; otherwise ratios */
	int n_currents;
	struct firn_node current_A[REDUCTION_MOST_CURRENTS]; /* rising */
	struct firn_node r_at_current_ohm[REDUCTION_MOST_CURRENTS];
	struct firn_node rs_ohm, bath_C;
	struct firn_node r0_ohm;      /* at zero current, or at the only current there is */
	struct firn_node heating_ohm; /* at the lowest current; index 0 with a single one */
	struct firn_node dt_K;        /* the cell's temperature minus the defined one */
	struct firn_node r_ohm;       /* at the defined temperature */
	struct firn_node r_tpw_ohm;   /* what it is divided by */
	struct firn_node w, wr;
	double t90_K;     /* defined */
	double dwr_per_K; /* slope of the reference function there */
	int tpw[2];       /* visits that r_tpw_ohm comes from; -1: none */
	/* change of the mean while it was read, relative, at each current; NaN: none that shows */
	double drift[REDUCTION_MOST_CURRENTS];
	double time_s; /* mean time of its readings; NaN: not given */
	struct lab_visit_result result;
};

/* A point that fixes coefficients: the mean of all visits to it. */
struct reduced_point {
	bool measured;
	struct firn_node w, wr;
	GArray *visits; /* int */
};

struct reduced_subrange {
	bool solved;
	size_t n; /* of coefficients */
	struct firn_node coefficients[FIRN_MOST_COEFFICIENTS], w_al;
	double values[FIRN_MOST_COEFFICIENTS], w_al_value;
	int points[FIRN_MOST_COEFFICIENTS]; /* places in reduction.points */
};

/* Fixed points of a reduction: the scale's own; the two vapour-pressure points stand apart. */
enum { POINT_VAPOUR_17 = LAB_POINTS, POINT_VAPOUR_20, REDUCTION_POINTS };

struct reduction {
	const struct lab_calibration *job;
	base_messages *messages;
	struct lab_calibration_result *result;
	struct firn_tape *tape;
	enum firn_status failed;      /* the first failure that the tape has not kept itself */
	bool failure_told;            /* of the tape or the above */
	struct reduced_visit *visits; /* one for each of the job's */
	GHashTable *shared;           /* path -> node of inputs that several visits share */
	struct reduced_point points[REDUCTION_POINTS];
	struct reduced_subrange subranges[LAB_SUBRANGES];
};

/* ---- inputs (inputs.c) ---- */

/* An input of one's own; u NaN counts as 0. dof infinite or NaN: infinite. */
struct firn_node reduction_input(struct reduction *r, const char *path, const char *unit,
				 double value, double u, double dof);
/* The same for a mean; rest: what rounding took from it. */
struct firn_node reduction_mean_input(struct reduction *r, const char *path, const char *unit,
				      double value, double rest, double u, double dof);
/* The same, made when first asked for and found again under its path. */
struct firn_node reduction_shared_input(struct reduction *r, const char *path, const char *unit,
					double value, double u, double dof);
/* Text kept with the result. */
char *reduction_text(struct reduction *r, const char *format, ...) G_GNUC_PRINTF(2, 3);
void reduction_reserve(struct reduction *r, const char *format, ...) G_GNUC_PRINTF(2, 3);
void reduction_wrong(struct reduction *r, struct base_mark mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);
/* Whether the engine has computed what the format names ("the head of visit 3"). The first failure
   that the tape does not keep itself makes a message and ends the reduction at its next check; a
   positive status becomes a reservation. */
bool reduction_computed(struct reduction *r, enum firn_status status, struct base_mark mark,
			const char *format, ...) G_GNUC_PRINTF(4, 5);
/* False when the tape or a computation has failed, with a message once. what: whose computation it
   was. */
bool reduction_is_good(struct reduction *r, struct base_mark mark, const char *what);
/* Fields are NaN where the node does not apply, or a failure is told. */
struct lab_estimate reduction_estimate(struct reduction *r, struct firn_node x);
GArray *reduction_budget(struct reduction *r, struct firn_node y);

const struct lab_visit *reduction_visit(const struct reduction *r, int i);
const struct lab_cell *reduction_cell(const struct reduction *r, const struct lab_visit *visit);
enum lab_point reduction_point(const struct reduction *r, int visit); /* LAB_NO_POINT: measured */

/* ---- a cell (cell_content.c, missing.c) ---- */

/* An input that all visits to the cell share. */
struct firn_node reduction_cell_input(struct reduction *r, const struct lab_cell *cell,
				      const char *key, const char *unit, double value, double u);
/* Effects on the cell's temperature; index 0 when the composition is not stated. False: told. */
bool reduction_isotopes(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt);
bool reduction_impurities(struct reduction *r, const struct lab_cell *cell,
			  struct firn_node *ret_dt);
/* Notes the terms that a visit lacks; says once for all visits what was noted. */
struct firn_effects;
void reduction_note_missing(struct reduction *r, int visit, const struct firn_effects *effects);
void reduction_reserve_missing(struct reduction *r);

/* ---- a temperature in one subrange (temperatures.c) ---- */

/* T90 of a W as a node, with everything that the coefficients stand on. */
struct firn_node reduction_t90(const struct reduction *r, enum lab_subrange name,
			       struct firn_node w);
/* T90 of a measured visit as it is used, the place of measurement included. */
struct firn_node reduction_t90_in_use(struct reduction *r, int visit, enum lab_subrange name);
/* The same as plain numbers; false outside what the scale defines. */
bool reduction_t90_value(const struct reduction *r, enum lab_subrange name, double w,
			 double *ret_t90_K, double *ret_dt_dw_K);
/* Standard uncertainties between the fixed points, in kelvin; NaN where none is published. */
double reduction_non_uniqueness(enum lab_subrange name, double t90_K);
double reduction_inconsistency(const struct reduction *r, enum lab_subrange name, double w,
			       double t90_K);

/* ---- the steps ---- */

/* readings.c: readings of every visit to resistances at each current and at zero current. */
bool reduction_read(struct reduction *r);
/* cells.c: what makes each cell differ from the definition, and its temperature. */
bool reduction_correct(struct reduction *r);
/* ratios.c: R(TPW) by the scheme, W at every visit, the sequence of R(TPW). */
bool reduction_divide(struct reduction *r);
/* plausible.c: known mistakes, looked for in the numbers; false when they can't be right. */
bool reduction_is_plausible(struct reduction *r);
/* subranges.c: coefficients of all subranges, residuals, covariances. */
bool reduction_solve(struct reduction *r);
/* temperatures.c: T90 at the measured visits, in every subrange that holds them. */
bool reduction_measure(struct reduction *r);
/* curves.c: tables of u(t), differences where subranges overlap. */
bool reduction_tabulate(struct reduction *r);
/* explain.c: the tree of one number; see calc_explain. */
bool reduction_explain(struct reduction *r, const char *what, GString *to);
/* Something done with a reduction before its tape goes. */
typedef bool reduction_look(struct reduction *r, void *context);
/* acceptance.c: what the scale and the named limits ask. */
bool reduction_judge(struct reduction *r);

#endif
