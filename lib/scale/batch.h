/* Between the preparation of a conversion, its run, and what is compiled for each instruction set.
 */
#ifndef LIB_SCALE_BATCH_H
#define LIB_SCALE_BATCH_H

#include "firn/batch.h"
#include "lib/num/level.h"

enum {
	BATCH_BLOCK = 256, /* values at a time: three such arrays lie in the fastest cache */
	BATCH_STEP = 6,    /* coefficients in one sweep over a block */
	BATCH_FEW = 4,     /* in the leading sweep, besides the first, */
	BATCH_MANY = 7,    /* or as many */
};

/* Degrees that the kernels know: a leading sweep, and one sweep or more. */
#define BATCH_DEGREES                                                                              \
	{                                                                                          \
		10, 13, 16, 19, 22, 25, 28, 31                                                     \
	}

/* Converts BATCH_BLOCK values; returns how many are NaN. */
typedef size_t batch_block(const struct firn_batch *batch, const double *restrict in,
			   double *restrict ret_out);

batch_block batch_block_plain;
batch_block batch_block_v3;
batch_block batch_block_v4;

#endif
