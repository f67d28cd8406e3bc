/*
 * Comparisons of cells over years (`kind: cell comparison`), and what firn cell compare finds in
 * them. Plain numbers, SI units; dates as days (Julian day numbers of GLib).
 */
#ifndef LAB_CELL_COMPARE_H
#define LAB_CELL_COMPARE_H

#include "app/lab/cell_study.h"

/* ---- record ---- */

enum lab_glass { LAB_GLASS_NOT_SAID, LAB_GLASS_BOROSILICATE, LAB_GLASS_FUSED_SILICA };

struct lab_compared_cell {
	char *id;
	struct base_mark mark;
	bool drifts;
	enum lab_glass glass;                 /* its prior of drift is taken where it drifts */
	struct lab_quantity drift_K_per_year; /* known beforehand, in place of the prior */
	bool isotopes_unknown;
	struct lab_quantity dD, d18O;
	double u_budget_K; /* what the laboratory claims for it; NaN: not said */
	int replaces;      /* index of the cell that it took the place of; -1: none */
};

/* One reading of a design: which of the two cells, when, and what. */
struct lab_turn {
	bool of_a;
	double time_s, value; /* kelvin or ohm */
};

struct lab_cell_difference {
	struct base_mark mark;
	int a, b; /* indices; -1 after a message */
	int day;
	struct lab_quantity K; /* stated difference a - b; or the readings below */
	struct lab_quantity
	    depth_m[2];       /* middle of the element in a and in b; not stated: taken off */
	GArray *turns;        /* struct lab_turn, in order of time */
	double u_turn, order; /* u of one reading, in its unit; of the drift (0 to 3) */
	bool by_ohm;
};

/* What a draft of a certificate says beside the numbers; NULL: not stated. */
struct lab_cell_paper {
	bool given;
	struct base_mark mark;
	int cell; /* that it is of; -1 after a message */
	char *laboratory, *address, *place, *customer, *customer_address;
	char *item, *method, *conditions, *measured_by, *checked_by;
	const char *paper; /* "A4" or "Letter"; NULL: A4 */
};

struct lab_cell_comparison {
	char *path, *sha256, *title;
	enum lab_point point;
	GArray *cells;       /* struct lab_compared_cell */
	GArray *differences; /* struct lab_cell_difference */
	int datum;           /* index of the cell; -1: the mean of all */
	struct lab_quantity datum_K;
	char *datum_source;
	int at_day;       /* of the values; 0: that of the last comparison */
	double r_tpw_ohm; /* of readings in ohm */
	struct lab_cell_paper report;
	GStringChunk *text;
};
struct lab_cell_comparison *lab_cell_comparison_new(void);
void lab_cell_comparison_free(struct lab_cell_comparison *comparison);
typedef struct lab_cell_comparison lab_cell_comparison;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_comparison, lab_cell_comparison_free)

/* ---- result ---- */

struct lab_compared_value {
	struct lab_estimate K,
	    K_per_year; /* above the datum at the day; rate NaN: does not drift */
	double k, U_K;
	struct lab_estimate whole_K; /* with the effect of its own isotopes; NaN: not stated */
	double whole_k, whole_U_K;
	double budget_ratio; /* value over the u of budget and value together; NaN: none claimed */
};

struct lab_compared_difference {
	struct lab_estimate K; /* after isotopes and head */
	double residual_K;
	double deviation_K, u_deviation_K; /* against what the others say; NaN: the only tie */
	int moved;                         /* the cell that moves most without it; -1: none */
	double moves_K;
};

/* The most significant step of a cell, if there may be one. */
struct lab_compared_step {
	int cell, day; /* between the comparison of this day and the one before it */
	double step_K, u_K;
};

struct lab_cell_compare {
	int day;
	GArray *values;      /* struct lab_compared_value, as the cells */
	GArray *differences; /* struct lab_compared_difference, as the record's */
	GArray *steps;       /* struct lab_compared_step: the largest, if it is beyond chance */
	int n_steps_tried;
	double chi2, dof, limit, p, birge; /* NaN where dof is 0 */
	bool consistent;
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_compare *lab_cell_compare_new(void);
void lab_cell_compare_free(struct lab_cell_compare *compare);
typedef struct lab_cell_compare lab_cell_compare;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_compare, lab_cell_compare_free)

#endif
