/*
 * Blocks of a conversion, once for each instruction set.
 *
 * Loops over independent values, of a length known to the compiler, so that it takes several at a
 * time; the leading sweeps keep x and the sum in the fastest cache. Here alone a product and a sum
 * may be rounded once, where the processor does that in one instruction: firn/batch.h states the
 * accuracy for all.
 */
#include "lib/scale/batch.h"

#include <math.h>

static inline double multiply_add(double a, double x, double c)
{
#ifdef __FMA__
	return fma(a, x, c);
#else
	return a * x + c;
#endif
}

/* Horner's rule over n coefficients, down to c[0]; n is known to the compiler. */
static inline double horner(double sum, double x, const double *c, int n)
{
	for (int k = n - 1; k >= 0; k--)
		sum = multiply_add(sum, x, c[k]);
	return sum;
}

/* The leading coefficient and n more, with x for the sweeps that follow. */
static inline void sweep_leading(const struct firn_batch_piece *piece, int n,
				 const double *restrict in, double *restrict x,
				 double *restrict sum)
{
	const double *c = piece->c + piece->degree - (size_t)n;
	const double scale = piece->scale, offset = piece->offset;

	for (size_t i = 0; i < BATCH_BLOCK; i++) {
		x[i] = multiply_add(scale, in[i], offset);
		sum[i] = horner(c[n], x[i], c, n);
	}
}

static void sweep(const double *c, const double *restrict x, double *restrict sum)
{
	for (size_t i = 0; i < BATCH_BLOCK; i++)
		sum[i] = horner(sum[i], x[i], c, BATCH_STEP);
}

/* All sweeps but the last. */
static void sweeps(const struct firn_batch_piece *piece, const double *restrict in,
		   double *restrict x, double *restrict sum)
{
	size_t left = piece->degree; /* the coefficients below the sum */

	if (left % BATCH_STEP == BATCH_FEW) {
		sweep_leading(piece, BATCH_FEW, in, x, sum);
		left -= BATCH_FEW;
	} else {
		sweep_leading(piece, BATCH_MANY, in, x, sum);
		left -= BATCH_MANY;
	}
	for (; left > BATCH_STEP; left -= BATCH_STEP)
		sweep(piece->c + left - BATCH_STEP, x, sum);
}

/* The last sweep, when nothing is converted yet. */
static size_t finish(const struct firn_batch_piece *piece, const double *restrict in,
		     const double *restrict x, const double *restrict sum, double *restrict out)
{
	size_t n_nan = 0;

	for (size_t i = 0; i < BATCH_BLOCK; i++) {
		const double y = horner(sum[i], x[i], piece->c, BATCH_STEP);
		const double above = in[i] >= piece->low ? y : (double)NAN;
		const double within = in[i] < piece->high ? above : (double)NAN;

		out[i] = within;
		n_nan += within != within;
	}
	return n_nan;
}

/* The last sweep, into values that other pieces have left. */
static size_t fill(const struct firn_batch_piece *piece, const double *restrict in,
		   const double *restrict x, const double *restrict sum, double *restrict out)
{
	size_t n_nan = 0;

	for (size_t i = 0; i < BATCH_BLOCK; i++) {
		const double y = horner(sum[i], x[i], piece->c, BATCH_STEP);
		const double above = in[i] >= piece->low ? y : out[i];
		const double within = in[i] < piece->high ? above : out[i];

		out[i] = within;
		n_nan += within != within;
	}
	return n_nan;
}

static bool holds_any(const struct firn_batch_piece *piece, const double *in)
{
	size_t n = 0;

	for (size_t i = 0; i < BATCH_BLOCK; i++)
		n += (in[i] >= piece->low) & (in[i] < piece->high);
	return n > 0;
}

/* The piece of x, or the first: series change slowly, so most blocks need no other. */
static size_t piece_of(const struct firn_batch *batch, double x)
{
	size_t k = 0;

	while (k + 1 < batch->n && x >= batch->pieces[k].high)
		k++;
	return k;
}

size_t LEVEL(batch_block)(const struct firn_batch *batch, const double *restrict in,
			  double *restrict ret_out)
{
	double x[BATCH_BLOCK], sum[BATCH_BLOCK];
	const size_t first = piece_of(batch, in[0]);
	size_t n_nan;

	sweeps(&batch->pieces[first], in, x, sum);
	n_nan = finish(&batch->pieces[first], in, x, sum, ret_out);
	for (size_t k = 0; k < batch->n && n_nan > 0; k++) {
		if (k == first || !holds_any(&batch->pieces[k], in))
			continue;
		sweeps(&batch->pieces[k], in, x, sum);
		n_nan = fill(&batch->pieces[k], in, x, sum, ret_out);
	}
	return n_nan;
}
