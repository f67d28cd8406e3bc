/* What single trials and blocks share, to the bit. */
#ifndef LIB_NUM_RANDOM_CORE_H
#define LIB_NUM_RANDOM_CORE_H

#include "lib/num/random.h"

#include <Random123/threefry.h>
#include <string.h>

static inline threefry4x64_ctr_t random_words(const struct num_source *source, uint64_t counter,
					      uint64_t attempt)
{
	const threefry4x64_ctr_t c = { { counter, source->stream, attempt, source->purpose } };
	const threefry4x64_key_t key = { { source->seed, 0, 0, 0 } };

	return threefry4x64_R(20, c, key);
}

static inline double random_bits_to_double(uint64_t bits)
{
	double x;

	memcpy(&x, &bits, sizeof(x));
	return x;
}

/* From 0 up to, not including, 1; 52 bits. */
static inline double random_fraction(uint64_t word)
{
	return random_bits_to_double(word >> 12 | UINT64_C(0x3ff0000000000000)) - 1.0;
}

static inline double random_uniform(uint64_t word)
{
	return random_bits_to_double(word >> 12 | UINT64_C(0x3ff0000000000000)) -
	       (1.0 - 0x1p-53); /* exact */
}

/* The ziggurat takes its layer, sign and place from different bits of a word. */
static inline unsigned random_layer(uint64_t word)
{
	return (unsigned)(word & 255);
}

static inline double random_signed(double x, uint64_t word)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof(bits));
	bits |= (word & 256) << 55;
	return random_bits_to_double(bits);
}

/* z of a cube: what Marsaglia and Tsang's method takes for sure (squeeze). */
static inline bool random_gamma_squeeze(double z, double u)
{
	return u < 1.0 - 0.0331 * (z * z) * (z * z);
}

#endif
