/*
 * Conversion of arrays: W, resistances or bridge ratios to T90, and back, for little more than it
 * costs to copy them.
 *
 * A conversion is prepared once for a calibration: the functions of scale.h, deviation included,
 * are taken at the Chebyshev points of a few pieces of the range and become one polynomial a piece,
 * which is then held against them between the points. Running it evaluates polynomials and nothing
 * else. docs/methods/batch.md tells how, and what the accuracy is.
 *
 * Nothing allocates, keeps state or starts threads: whoever has several gives each a part of the
 * array. A result depends on its input and on the instruction set, not on the part it was in.
 */
#ifndef FIRN_BATCH_H
#define FIRN_BATCH_H

#include "firn/scale.h"
#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { FIRN_BATCH_DEGREE = 31, FIRN_BATCH_PIECES = 24 };

/* Contents are the business of the functions below. To be copied freely. */
struct firn_batch {
	size_t n;
	struct firn_batch_piece {
		double low, high;     /* of the input: low to below high */
		double scale, offset; /* x = scale input + offset, -1 to 1 */
		size_t degree;
		double c[FIRN_BATCH_DEGREE + 1]; /* sum of c[k] x^k */
	} pieces[FIRN_BATCH_PIECES];             /* rising, without gaps */
};

/*
 * firn_batch_t90 - prepares T90 of W, of a resistance or of a ratio.
 *
 * Given:
 *   c, w_al       coefficients, as firn_subrange_t90 takes them
 *   w_per_x       what an input is multiplied by to become W: 1 for W, 1/R(TPW) for ohm
 * Returned (untouched when the status is negative):
 *   ret           the conversion: T90 in kelvin, by the rules of scale.h at the joins, for inputs
 *                 whose T90 lies within the subrange or beyond it by less than
 *                 FIRN_SCALE_ROUNDING_K
 * Status:
 *   FIRN_OK
 *   FIRN_E_DOMAIN     a number is not finite, or w_per_x not above 0
 *   FIRN_E_SINGULAR   W does not rise with T90 throughout the subrange, or so unevenly that
 *                     polynomials do not follow
 *
 * Accuracy against the exact root: 1e-11 K, with every instruction set; coefficients and w_per_x
 * taken as the doubles they are.
 */
enum firn_status firn_batch_t90(const struct firn_subrange *subrange, const double *c, double w_al,
				double w_per_x, struct firn_batch *ret);

/*
 * firn_batch_w - prepares W of T90, over the subrange. As above; the accuracy is what 1e-11 K are
 * worth in W.
 * firn_batch_wr - prepares W_r of T90, 13.8033 K (from_zero: 273.15 K) to 1234.93 K, as
 * firn_scale_wr. Accuracy likewise.
 */
enum firn_status firn_batch_w(const struct firn_subrange *subrange, const double *c, double w_al,
			      struct firn_batch *ret);
enum firn_status firn_batch_wr(bool from_zero, struct firn_batch *ret);

/* Instruction sets. What the processor lacks is replaced by the best that it has. */
enum firn_batch_level {
	FIRN_BATCH_PLAIN,  /* what the compiler's target has */
	FIRN_BATCH_AVX2,   /* x86-64-v3 */
	FIRN_BATCH_AVX512, /* x86-64-v4 */
	FIRN_BATCH_BEST
};

/* The one that is used for `level` on this processor, and its name. */
enum firn_batch_level firn_batch_level(enum firn_batch_level level);
const char *firn_batch_level_name(enum firn_batch_level level);

/*
 * firn_batch_run - converts n values.
 *
 * Given:
 *   in            n values, apart from ret_out
 * Returned:
 *   ret_out       n values; NaN where the input is NaN or outside the range of the conversion
 * Returns how many are NaN.
 */
size_t firn_batch_run(const struct firn_batch *batch, enum firn_batch_level level, size_t n,
		      const double *in, double *ret_out);

#endif
