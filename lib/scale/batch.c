/* Running a conversion: the instruction set, whole blocks, and the rest. */
#include "lib/scale/batch.h"

#include "lib/num/processor.h"

#include <math.h>
#include <string.h>

enum firn_batch_level firn_batch_level(enum firn_batch_level level)
{
	if (level >= FIRN_BATCH_AVX512 && num_processor_has_v4())
		return FIRN_BATCH_AVX512;
	if (level >= FIRN_BATCH_AVX2 && num_processor_has_v3())
		return FIRN_BATCH_AVX2;
	return FIRN_BATCH_PLAIN;
}

const char *firn_batch_level_name(enum firn_batch_level level)
{
	switch (firn_batch_level(level)) {
	case FIRN_BATCH_AVX512:
		return "AVX-512";
	case FIRN_BATCH_AVX2:
		return "AVX2";
	default:
		return "plain";
	}
}

static batch_block *block_of(enum firn_batch_level level)
{
#ifdef __x86_64__
	switch (firn_batch_level(level)) {
	case FIRN_BATCH_AVX512:
		return batch_block_v4;
	case FIRN_BATCH_AVX2:
		return batch_block_v3;
	default:
		break;
	}
#else
	(void)level;
#endif
	return batch_block_plain;
}

size_t firn_batch_run(const struct firn_batch *batch, enum firn_batch_level level, size_t n,
		      const double *in, double *ret_out)
{
	batch_block *const block = block_of(level);
	double rest_in[BATCH_BLOCK], rest_out[BATCH_BLOCK];
	size_t done = 0, n_nan = 0;

	for (; n - done >= BATCH_BLOCK; done += BATCH_BLOCK)
		n_nan += block(batch, in + done, ret_out + done);
	if (done == n)
		return n_nan;

	/* The rest is filled up with its last value, which is counted once if at all. */
	const size_t rest = n - done;
	memcpy(rest_in, in + done, rest * sizeof(*in));
	for (size_t i = rest; i < BATCH_BLOCK; i++)
		rest_in[i] = in[n - 1];
	block(batch, rest_in, rest_out);
	memcpy(ret_out + done, rest_out, rest * sizeof(*in));
	for (size_t i = 0; i < rest; i++)
		n_nan += isnan(rest_out[i]) != 0;
	return n_nan;
}
