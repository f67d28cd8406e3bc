/*
 * Why the linear law of propagation fails for a result: what trials showed (JCGM 101:2008, clause
 * 8) traced back to inputs. The model is replayed with one input, then with two inputs at a time
 * away from their values. The measures and limits here are ours; they rank causes and prove
 * nothing.
 */
#ifndef FIRN_LINEAR_LAW_H
#define FIRN_LINEAR_LAW_H

#include "firn/tape.h"

enum firn_linear_law_reason {
	FIRN_LAW_ONE_SIDED, /* y moves the same way whether a lies above or below its value */
	FIRN_LAW_BENT,      /* y bends within u(a) */
	FIRN_LAW_DIVISOR, /* a divisor is badly known, mostly through a and b: a small difference */
	FIRN_LAW_PRODUCT, /* a and b act through their product, with little slope of their own */
	FIRN_LAW_SHAPE,   /* a, limited, weighs so much that the ends are those of its limits */
	FIRN_LAW_SKEW,    /* a, exponential or gamma, weighs so much that y is one-sided */
	FIRN_LAW_FEW_DOF, /* a has few degrees of freedom and the effective number misses that */
};

struct firn_linear_law_cause {
	enum firn_linear_law_reason reason;
	struct firn_node a, b; /* inputs; b.index 0: only one */
	double size;           /* what it moves, in the unit of y: see Notes */
	double part;           /* see Notes */
};

/*
 * firn_linear_law_causes - the *ret_n most likely causes, largest first, up to max of them.
 *
 * Given:
 *   p, k      coverage probability of the trials, and the factor k = U/u(y) of the linear law
 *   least     smaller sizes are not reported, nor what is below half of the largest
 * Status: FIRN_E_MEMORY, the tape's failure, or that of a plan; FIRN_E_DOMAIN for p outside 0 to 1.
 *
 * Notes:
 *   1) Size of a bend: root mean square of what y departs from its tangent when one input takes 128
 *      equally likely values of its distribution. Of a product: the mixed second difference at
 *      +/- u of both. Of a shape: the larger distance between the ends of the input's own interval
 *      and k u(a), times the slope and its share of u^2(y).
 *   2) A bend or a product is laid to a divisor where y divides by what depends on these inputs and
 *      has a u above FIRN_LAW_DIVISOR_U of its value.
 *   3) Part: of a divisor its u over its value; of a product the lesser of what a and b move by
 *      themselves over what the product moves; of SHAPE, SKEW and FEW_DOF the share of u^2(y).
 *   4) Pairs are looked for among the first FIRN_LAW_MOST_PAIRED uncertain inputs.
 */
#define FIRN_LAW_DIVISOR_U   0.02
#define FIRN_LAW_MOST_PAIRED 256
enum firn_status firn_linear_law_causes(struct firn_node y, double p, double k, double least,
					size_t max, struct firn_linear_law_cause *ret,
					size_t *ret_n);

#endif
