/*
 * Vectors as wide as the instruction set that a file of blocks is compiled for: wider ones are
 * slow. For loops that the compiler, left to itself, keeps in memory. No result may depend on the
 * width.
 */
#ifndef LIB_NUM_LANES_H
#define LIB_NUM_LANES_H

#include <stddef.h>
#include <stdint.h>

#if defined(__AVX512F__)
enum { LANES_WIDTH = 8 };
#elif defined(__AVX2__)
enum { LANES_WIDTH = 4 };
#else
enum { LANES_WIDTH = 2 };
#endif

typedef double lanes_double __attribute__((vector_size(LANES_WIDTH * sizeof(double))));
typedef uint64_t lanes_word __attribute__((vector_size(LANES_WIDTH * sizeof(uint64_t))));
/* Of a comparison: -1 for true. */
typedef int64_t lanes_mask __attribute__((vector_size(LANES_WIDTH * sizeof(int64_t))));

/*
 * The few of many values for which something holds. To ask vector by vector would be to guess wrong
 * again and again; so every lane notes them as bits of one word, the last vector lowest, and the
 * bits are gone through afterwards. At most 64 vectors.
 */
static inline lanes_mask lanes_note(lanes_mask noted, lanes_mask found)
{
	return noted + noted - found;
}

/* How many vectors before the last the lowest bit was noted; bits is not 0. */
static inline size_t lanes_lowest(uint64_t bits)
{
	return (size_t)__builtin_ctzll(bits);
}

#endif
