/* Whether a thermometer fits a cell: what `firn cell fit` finds. Plain numbers, SI units. */
#ifndef LAB_CELL_FIT_H
#define LAB_CELL_FIT_H

#include "app/lab/cell_study.h"
#include "app/lab/model.h"

enum lab_fit_verdict {
	LAB_FIT_NOT_ASKED, /* no uncertainty is wanted */
	LAB_FIT_NONE,      /* conduction alone is too little to judge by: indium and upwards */
	LAB_FITS,          /* the term of immersion is at most a third of what is wanted */
	LAB_FIT_LIMITS,    /* more, but within what is wanted */
	LAB_FIT_UNFIT,     /* beyond it, or the thermometer can't be put there */
};
const char *lab_fit_verdict_name(enum lab_fit_verdict verdict); /* "fits" */

/* A number that is there in two ways; error: the grid's own estimate of its error. */
struct lab_grid_answer {
	double value, error; /* NaN: not computed */
};

/* One arrangement of thermometer, well and surroundings. A member that can't be told is NaN. */
struct lab_fit_case {
	char *name;                    /* "as stated", "with water in the well" */
	char *why_not;                 /* NULL: it can be put there */
	struct lab_estimate depth_m;   /* of the middle of the element below the surface */
	struct lab_estimate decay_m;   /* length over which the error falls by e */
	struct lab_estimate error_K;   /* element minus medium, by conduction along the stem */
	struct lab_grid_answer grid_K; /* the same by the grid */
	double term_K;                 /* standard uncertainty, if no correction is made */
	struct lab_estimate inside_K_per_W, outside_K_per_W; /* self-heating resistances */
	double heating_K[2];                                 /* at the currents stated */
	struct lab_estimate constant_s;                      /* slow time constant */
	struct lab_estimate settled_s;                       /* until within what is wanted */
	struct lab_grid_answer grid_settled_s;
	struct lab_estimate brought_J; /* by the thermometer that enters */
	struct lab_estimate melted_kg; /* by that */
	struct lab_estimate flow_W;    /* along the stem, for as long as it stands there */
	enum lab_fit_verdict verdict;
};

struct lab_fit_depth {
	double depth_m; /* of the middle of the element */
	struct lab_estimate error_K;
};

struct lab_cell_fit {
	double from_K, within_K; /* of the times: where it comes from, above the medium */
	double wanted_K;         /* NaN: not said */
	double needed_m;         /* depth of the middle of the element at which it would fit; NaN */
	bool settling_fitted;    /* times are from the laboratory's own insertions */
	struct lab_fit_case stated;
	GArray *alternatives;    /* struct lab_fit_case, the most useful first */
	GArray *depths;          /* struct lab_fit_depth, from the lowest up */
	GArray *budget;          /* struct lab_budget_line of the error as stated */
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_fit *lab_cell_fit_new(void);
void lab_cell_fit_free(struct lab_cell_fit *fit);
typedef struct lab_cell_fit lab_cell_fit;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_fit, lab_cell_fit_free)

#endif
