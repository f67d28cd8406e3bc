/*
 * A plan: what a thermometer can reach with every realisation at hand, and what it takes. `kind:
 * plan` as a person states it, and what is found. Plain numbers, SI units.
 */
#ifndef LAB_PLAN_H
#define LAB_PLAN_H

#include "app/lab/cell_study.h"
#include "app/lab/model.h"

/* ---- what is stated ---- */

/* A term of a budget that no geometry tells: impurities, packing, reproducibility. */
struct lab_plan_term {
	const char *name, *source;
	struct lab_quantity u_K; /* its value is the standard uncertainty; u is not used */
	double dof;              /* infinite where none is stated */
};

struct lab_plan_realisation {
	const char *name;
	struct base_mark mark;
	lab_cell_study *study; /* cell, contact, surroundings; the plan's thermometer in it */
	double age_d;          /* of the mantle when it is used; NaN: no such term */
	GArray *terms;         /* struct lab_plan_term */
	const char *procedure; /* by which it is made ready; NULL: none is known */
	double hands_s;        /* that its steps take at least; NaN: not known */
	double wait_s;         /* that it then stands by itself */
};

struct lab_plan_bridge {
	const char *id;
	double u_linearity; /* of the ratio */
	double s_reading;   /* standard deviation of one reading, of the ratio */
	int64_t readings;   /* at each current */
	double reading_s;   /* one takes */
};

/* The steps between measurements matter; what the value itself is wrong by cancels in W, and takes
   part only where u_ohm is stated. */
struct lab_plan_resistor {
	const char *id;
	double ohm, u_ohm, per_K, u_bath_K; /* NaN: not stated */
};

struct lab_plan {
	const char *path, *sha256, *title;
	struct base_mark mark;
	double U_K;          /* wanted, k = 2 */
	lab_cell_study *own; /* holds the thermometer */
	struct lab_plan_bridge bridge;
	struct lab_plan_resistor resistor;
	bool goes_on; /* to a calibration, over these: */
	bool subranges[LAB_SUBRANGES];
	GPtrArray *realisations; /* struct lab_plan_realisation * */
	GStringChunk *text;
};
struct lab_plan *lab_plan_new(void);
void lab_plan_free(struct lab_plan *plan);
typedef struct lab_plan lab_plan;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_plan, lab_plan_free)
const char *lab_plan_text(struct lab_plan *plan, const char *text); /* NULL stays NULL */
struct lab_plan_realisation *lab_plan_add(struct lab_plan *plan, const char *name);

/* ---- what is found ---- */

enum lab_plan_size { LAB_PLAN_ICE_BATH, LAB_PLAN_SMALL, LAB_PLAN_LARGE, LAB_PLAN_OTHER };
const char *lab_plan_size_name(enum lab_plan_size size); /* "small cell" */

/* Something that could be changed, and U (k = 2) after it. */
struct lab_plan_option {
	const char *what;
	double U_K;
};

struct lab_plan_outcome {
	const char *name, *cell;
	enum lab_plan_size size;
	const char *why_not;   /* NULL: the thermometer can stand there */
	struct lab_estimate K; /* of the temperature that is found; value: what is corrected for */
	double U_K;            /* k = 2 */
	double practice_U_K;   /* what is usual, k = 2: common practice, no source; NaN: none */
	double depth_m;        /* middle of the element below the surface */
	bool enough;
	GArray
	    *causes; /* struct lab_budget_line in K, largest first; contribution is u of a cause */
	GArray *options;         /* struct lab_plan_option, the best first */
	double settle_s, read_s; /* after insertion, and readings */
	double hands_s, wait_s;  /* of making ready; NaN: not known */
	double days;             /* from the start to the result; NaN */
	double achieved_U_K;     /* k = 2, filled in when a result is compared; NaN: none */
	const char *achieved_by; /* visit */
};

/* A point of the calibration that it goes on to, in the order of the visits. */
struct lab_plan_point {
	enum lab_point point;
	const char *advice; /* before the visit; NULL: none */
	double hands_s,
	    wait_s; /* of making it ready, readings included; wait: it stands by itself */
	bool known; /* there is a procedure for the point */
};

/* A visit to a cell of water, as it was afterwards. */
struct lab_plan_achieved {
	const char *visit, *cell;
	double r_ohm, u_ohm; /* R(TPW) with its standard uncertainty */
};

struct lab_plan_result {
	GArray *achieved; /* struct lab_plan_achieved, in the order of the visits */
	GArray *points;   /* struct lab_plan_point; empty: it goes on to nothing */
	GArray *outcomes; /* struct lab_plan_outcome, in the order of the file */
	int best;         /* index of the one that reaches what is wanted with least days; -1 */
	GPtrArray *reservations; /* const char * */
	GStringChunk *text;
};
struct lab_plan_result *lab_plan_result_new(void);
void lab_plan_result_free(struct lab_plan_result *result);
typedef struct lab_plan_result lab_plan_result;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_plan_result, lab_plan_result_free)

#endif
