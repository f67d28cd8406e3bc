/* A measurement model stated in a file, `kind: measurement model`, and what comes of it. */
#ifndef LAB_MODEL_H
#define LAB_MODEL_H

#include "app/base/messages.h"
#include "app/lab/value.h"

#include <glib.h>
#include <stdint.h>

enum lab_distribution {
	LAB_NORMAL,
	LAB_RECTANGULAR,
	LAB_TRIANGULAR,
	LAB_TRAPEZOIDAL,
	LAB_ARCSINE,
	LAB_CURVILINEAR_TRAPEZOID,
	LAB_STUDENT_T,
	LAB_EXPONENTIAL,
	LAB_GAMMA,
	LAB_READINGS, /* mean, standard deviation of the mean, n - 1 */
	LAB_FORMULA,  /* of other inputs */
};
const char *lab_distribution_name(enum lab_distribution d); /* "rectangular"; the key in a file */

struct lab_model_input {
	char *name, *unit, *source;
	enum lab_distribution distribution;
	double value, u, dof; /* dof NaN: not stated, infinite */
	double low, high, beta, d, scale, mean, shape;
	GArray *readings; /* double */
	char *formula;
	struct base_mark mark, text_mark; /* of the name; of the formula's first character */
};

struct lab_model_pair {
	int a, b; /* indices of inputs */
	double r; /* of correlations */
	struct base_mark mark;
};

struct lab_model_output {
	char *name, *unit;
	char *formula;  /* either formula */
	char *equation; /* or equation, with near */
	double near;
	struct base_mark mark, text_mark;
};

struct lab_monte_carlo {
	bool given, adaptive;
	int64_t trials;
	int digits;
	uint64_t seed;
};

struct lab_model {
	char *path, *title, *sha256;
	GArray *inputs, *outputs; /* structs above, in the order of the file */
	GArray *correlations;     /* struct lab_model_pair */
	GArray *paired;           /* GArray* of int: groups of inputs with readings */
	GArray *paired_marks;     /* struct base_mark of each group */
	double coverage_probability, coverage_factor; /* one given; default probability 0.95 */
	struct lab_monte_carlo monte_carlo;
	GStringChunk *text;
};
struct lab_model *lab_model_new(void);
void lab_model_free(struct lab_model *model);
typedef struct lab_model lab_model;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_model, lab_model_free)

/* Appends an input with nothing given; the pointer is good until the next one is added. */
struct lab_model_input *lab_add_model_input(struct lab_model *model);
struct lab_model_output *lab_add_model_output(struct lab_model *model);

/* Keeps a copy of a text for as long as the record; NULL stays NULL. */
char *lab_model_text(struct lab_model *model, const char *text);

struct lab_budget_line {
	char *input, *unit;
	double value, u, dof, sensitivity, contribution;
};

#define LAB_MOST_BINS 64

/* Trials from from + i*width up to from + (i + 1)*width, and outside. */
struct lab_histogram {
	double from, width;
	int n; /* bins; 0: the trials don't spread, or have no value */
	int64_t below, above, counts[LAB_MOST_BINS];
};

/* By Monte Carlo: JCGM 101:2008. */
struct lab_trials {
	int64_t n;        /* 0: none were made */
	double value, u;  /* NaN where the distribution has none */
	double low, high; /* probabilistically symmetric interval; NaN where there is no result */
	double shortest_low, shortest_high; /* NaN where not sought */
	double low_noise, high_noise;       /* what the ends low and high scatter from run to run */
	double tolerance; /* that both ends of value +/- U are allowed (clause 8) */
	bool judged, linear_law_holds;
	struct lab_histogram histogram;
};

/* Several outputs at once, by trials: JCGM 102:2011. */
struct lab_joint {
	double *linear, *trials;         /* covariance by both, n x n; NULL: not sought */
	double k_ellipsoid, k_rectangle; /* NaN: there is none */
	double k_ellipsoid_normal, k_rectangle_normal; /* of jointly normal outputs */
};

/* Why the linear law fails: see firn/linear_law.h. */
enum lab_reason {
	LAB_ONE_SIDED,
	LAB_BENT,
	LAB_DIVISOR,
	LAB_PRODUCT,
	LAB_SHAPE,
	LAB_SKEW,
	LAB_FEW_DOF,
};
const char *lab_reason_name(enum lab_reason reason); /* "one-sided" */

struct lab_cause {
	enum lab_reason reason;
	char *a, *b; /* inputs; b NULL: only one */
	enum lab_distribution distribution;
	double dof; /* these two of a */
	double size, part;
};

struct lab_evaluated {
	char *name, *unit;
	double value, u, dof, k, U; /* dof infinite where all are */
	GArray *budget;             /* struct lab_budget_line */
	struct lab_trials trials;
	GArray
	    *causes; /* struct lab_cause, largest first; NULL: the linear law holds, or no trials */
};

struct lab_evaluation {
	GArray *outputs;             /* struct lab_evaluated */
	double *correlations;        /* n x n */
	double coverage_probability; /* NaN when a factor was asked for */
	double trials_probability;   /* of the intervals by trials */
	int trials_digits;           /* of u, for the comparison with the linear law */
	double *trial_correlations;  /* n x n, or NULL */
	struct lab_joint joint;
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_evaluation *lab_evaluation_new(void);
void lab_evaluation_free(struct lab_evaluation *evaluation);
typedef struct lab_evaluation lab_evaluation;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_evaluation, lab_evaluation_free)

#endif
