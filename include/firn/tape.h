/*
 * A measurement model, recorded while it is computed. Played backwards it tells how a result
 * changes with every input at once, and so its uncertainty (JCGM 100:2008, 5.1 and 5.2).
 *
 * Recording allocates; all of it belongs to the tape. One thread at a time while recording; what
 * takes a const tape, or only reads nodes, may be called from any number of threads.
 *
 * Operations return nodes, not statuses: the tape keeps its first failure, and the nodes that
 * follow have the value NaN. One firn_tape_status() ends a calculation.
 */
#ifndef FIRN_TAPE_H
#define FIRN_TAPE_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct firn_tape;

struct firn_tape *firn_tape_new(void);                           /* NULL: no memory */
void firn_tape_free(struct firn_tape *tape);                     /* NULL is accepted */
enum firn_status firn_tape_status(const struct firn_tape *tape); /* first failure, or FIRN_OK */

/* What failed, for a person: the formula or the input; "" while nothing has. The tape's own. */
const char *firn_tape_message(const struct firn_tape *tape);

/* Column, from 1, in the formula where a FIRN_E_FORMULA lies; 0 otherwise. */
int firn_tape_message_column(const struct firn_tape *tape);

/* A quantity: a handle to copy, good for as long as its tape. */
struct firn_node {
	struct firn_tape *tape;
	uint32_t index; /* 0: nothing */
};

/* State-of-knowledge distributions: JCGM 101:2008, Table 1 and 6.4. */
enum firn_distribution {
	FIRN_NORMAL = 0,            /* value, u; with dof a scaled and shifted t in trials */
	FIRN_RECTANGULAR,           /* low, high */
	FIRN_TRIANGULAR,            /* low, high */
	FIRN_TRAPEZOIDAL,           /* low, high; shape: top over base, 0 to 1 */
	FIRN_ARCSINE,               /* low, high */
	FIRN_CURVILINEAR_TRAPEZOID, /* low, high, each known within shape */
	FIRN_STUDENT_T,             /* value, scale u, dof */
	FIRN_EXPONENTIAL,           /* value (the mean) above 0 */
	FIRN_GAMMA,                 /* shape, and u as scale: mean shape*scale */
};

/*
 * An elementary input. Texts are copied; what is left out is zero.
 * For the distributions with limits, value and u follow from them (firn_distribution_moments).
 */
struct firn_input {
	const char
	    *name; /* a path such as visit.2.depth_m; unique within the tape if it is to be found */
	const char *unit, *source;
	double value, u, dof; /* u: standard uncertainty; dof: degrees of freedom, 0 for infinite */
	enum firn_distribution distribution;
	double low, high, shape;
	double rest; /* what rounding to a double took from value: for firn_refined_values */
};
struct firn_node firn_tape_input(struct firn_tape *tape, const struct firn_input *input);

/*
 * firn_tape_readings - an input whose value is the mean of n independent readings: u the standard
 * deviation of the mean, n - 1 degrees of freedom (JCGM 100:2008, 4.2). n from 2 on, all finite.
 */
struct firn_node firn_tape_readings(struct firn_tape *tape, const char *name, const char *unit,
				    size_t n, const double *x);

/*
 * firn_tape_readings_together - two such inputs whose n readings were taken in pairs: correlated as
 * their readings are (JCGM 100:2008, 5.2.3, equation (17)), and paired. Without spread in one of
 * them there is nothing to correlate.
 */
enum firn_status firn_tape_readings_together(struct firn_node a, struct firn_node b, size_t n,
					     const double *x, const double *y);

/* Value and standard uncertainty of a distribution given by its parameters. */
enum firn_status firn_distribution_moments(const struct firn_input *input, double *ret_value,
					   double *ret_u);

/* A number without uncertainty, as an operand. */
struct firn_node firn_constant(struct firn_tape *tape, double value);

/* The same with what rounding to a double took from it, for firn_refined_values. */
struct firn_node firn_constant_twofold(struct firn_tape *tape, double value, double rest);

/*
 * Correlation of two inputs, -1 to 1. A matrix that cannot be one of correlations is refused when
 * it is first used, with the group named in firn_tape_message().
 */
enum firn_status firn_tape_correlate(struct firn_node a, struct firn_node b, double r);

/*
 * firn_tape_pair - inputs whose readings were taken together: their contributions count as one,
 * with one number of degrees of freedom, that of a. Correlations are stated apart.
 */
enum firn_status firn_tape_pair(struct firn_node a, struct firn_node b);

/*
 * firn_formula("r0_ohm = r1 - k*i1^2", r1, k, i1) records the right-hand side, left to right. Its
 * names are those of the nodes that follow: variables or members (p->head_m is head_m), not calls.
 * The name before the = stands in explanations. A name that is unknown, unused or bound twice fails
 * as FIRN_E_FORMULA, so every formula is run by a test. Not finite: FIRN_E_DOMAIN.
 *
 * Operators + - * / ^ (binds tighter than a sign, to the right); functions sqrt exp ln log10 sin
 * cos tan asin acos atan abs min max; numbers as in C, with a point in every locale. Whole powers
 * up to 64 are products.
 */
#define firn_formula(text, ...)                                                                    \
	firn_formula_named((text), #__VA_ARGS__,                                                   \
			   sizeof((struct firn_node[]){ __VA_ARGS__ }) / sizeof(struct firn_node), \
			   (const struct firn_node[]){ __VA_ARGS__ })
struct firn_node firn_formula_named(const char *text, const char *names, size_t n,
				    const struct firn_node *x);

/*
 * firn_formula_lookup - the same for a text from outside: names are asked for as they are met.
 *
 * Given:
 *   text      a right-hand side, or name = right-hand side
 *   find      gives the node of a name (length bytes, not terminated); index 0 when there is none
 * A failure leaves text and column in firn_tape_message(), firn_tape_message_column().
 */
typedef struct firn_node firn_find_name(void *context, const char *name, size_t length);
struct firn_node firn_formula_lookup(struct firn_tape *tape, const char *text, firn_find_name *find,
				     void *context);

/*
 * firn_formula_names - the names that a formula uses, without recording it, in order of first use.
 *
 * Status: FIRN_E_FORMULA with *ret_column (from 1) and *ret_message (static text) when it cannot be
 * read. `each` is called once for every distinct name.
 */
typedef void firn_each_name(void *context, const char *name, size_t length, int column);
enum firn_status firn_formula_names(const char *text, firn_each_name *each, void *context,
				    int *ret_column, const char **ret_message);

/* The same for an equation: left side = right side. */
enum firn_status firn_equation_names(const char *text, firn_each_name *each, void *context,
				     int *ret_column, const char **ret_message);

/* For what loops build. */
struct firn_node firn_add(struct firn_node a, struct firn_node b);
struct firn_node firn_sub(struct firn_node a, struct firn_node b);
struct firn_node firn_mul(struct firn_node a, struct firn_node b);
struct firn_node firn_div(struct firn_node a, struct firn_node b);
struct firn_node firn_sum(size_t n, const struct firn_node *a);
struct firn_node firn_dot(size_t n, const struct firn_node *a, const struct firn_node *b);
/* sum of c[i] a[i], the c being numbers */
struct firn_node firn_linear(size_t n, const double *c, const struct firn_node *a);
/* c[0] + c[1] x + ... + c[n-1] x^(n-1), the c being numbers */
struct firn_node firn_polynomial(size_t n, const double *c, struct firn_node x);

/*
 * firn_least_squares - the x of n nodes that makes |A x - b| least, by Householder QR.
 * A is m x n, row by row; m >= n. With m = n the solution of the system.
 * A rank below n fails the tape as FIRN_E_SINGULAR.
 */
void firn_least_squares(size_t m, size_t n, const struct firn_node *a, const struct firn_node *b,
			struct firn_node *ret_x);

/*
 * firn_root - the x near `near` at which both sides of an equation are equal.
 *
 * "R*(1 + k*x + 0.01*x^2) = 101*c", unknown "x": solved by Newton's method from `near`; the
 * derivatives with respect to everything else follow from the implicit function. No root found, or
 * a derivative of zero there: FIRN_E_SINGULAR.
 */
struct firn_node firn_root(struct firn_tape *tape, const char *equation, const char *unknown,
			   double near, firn_find_name *find, void *context);

/* A plain function of the physics, recorded as one operation. Must outlive the tape. */
struct firn_function {
	const char *name;
	enum firn_status (*one)(double x, double *ret_y, double *ret_dy_dx);
	void (*many)(size_t n, const double *x, double *ret_y); /* one()'s y, to the bit; or NULL */
};
struct firn_node firn_apply(const struct firn_function *f, struct firn_node x);

/*
 * Gives a node a name (copied) for explanations and returns it; x itself is unchanged but for the
 * label.
 */
struct firn_node firn_name(const char *name, struct firn_node x);

/*
 * The same with what an explanation shows beneath: a text in place of a formula, and n arguments
 * with their names. All is copied.
 */
struct firn_node firn_label(const char *name, const char *text, size_t n, const char *const *names,
			    const struct firn_node *arguments, struct firn_node x);

/* Value, and standard uncertainty by one reverse sweep, in the unit of x; NaN on a failed tape. */
double firn_value(struct firn_node x);
double firn_u(struct firn_node x);

/*
 * firn_refined_values - values with the tape's arithmetic carried at twice the precision and
 * rounded once, for results that are the small remainder of large numbers. Functions (W_r, ln) keep
 * the accuracy they have. Least squares with more equations than unknowns stay as recorded. ret[n]
 * is untouched when the status is negative.
 */
enum firn_status firn_refined_values(size_t n, const struct firn_node *x, double *ret);

/* Standard uncertainty, and effective degrees of freedom by Welch-Satterthwaite (JCGM 100:2008,
   G.4.1, extended to correlated inputs: lib/tape/propagate.c), infinite where every input's are;
   inputs that are paired count as one. */
enum firn_status firn_u_dof(struct firn_node x, double *ret_u, double *ret_dof);

/* Covariance of n results of one tape: ret_cov[n][n], row by row. */
enum firn_status firn_covariance(size_t n, const struct firn_node *x, double *ret_cov);

/* Whether y was computed from x, be the sensitivity zero or not. Without memory false, and the tape
   has failed. */
bool firn_depends(struct firn_node y, struct firn_node x);

/* dy/dx of a result to any one node x recorded before it. */
double firn_sensitivity(struct firn_node y, struct firn_node x);

/* The *ret_n inputs x of y, largest contribution first, up to max of them in ret. */
struct firn_budget_line {
	struct firn_node input;
	double sensitivity, contribution; /* dy/dx; |dy/dx| u(x), in the unit of y */
};
enum firn_status firn_budget(struct firn_node y, size_t max, struct firn_budget_line *ret,
			     size_t *ret_n);

/* What was said of an input: the texts are the tape's own. FIRN_E_UNKNOWN for any other node. */
enum firn_status firn_tape_input_of(struct firn_node x, struct firn_input *ret);

/* Input number i (from 0) in order of recording; index 0 beyond the last. */
struct firn_node firn_tape_input_at(const struct firn_tape *tape, size_t i);

/*
 * Coverage factor for a coverage probability p (0 < p < 1) and degrees of freedom (0 or infinity:
 * normal). Degrees of freedom that are no whole number are cut to the next lower one, as JCGM
 * 100:2008, G.4.1 allows and H.1.6 does; below 1 they are used as they are. NaN out of range.
 */
double firn_coverage_factor(double p, double dof);

/*
 * How a value came about, one step: the formula as it stands in the source, the value, and the
 * quantities beneath it. A tree is walked by asking for each argument in turn.
 */
struct firn_explanation {
	const char *name;    /* before the =, or the name given; "" where there is none */
	const char *formula; /* right-hand side, or a description of the operation; "" for inputs */
	double value, u;
	bool is_input;
	size_t n_arguments;
	const char *const *argument_names; /* n_arguments of them, as in the formula */
	const struct firn_node *arguments;
};
enum firn_status firn_explain(struct firn_node x, struct firn_explanation *ret);

/* How many nodes stand on the tape: for bounds and tests. */
size_t firn_tape_size(const struct firn_tape *tape);

#endif
