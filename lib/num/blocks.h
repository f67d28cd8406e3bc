/*
 * Random numbers and functions for blocks of trials: one of these files for each instruction set.
 *
 * n is a multiple of NUM_RANDOM_GROUP and `first`, the first trial, too. The values are those of
 * lib/num/random.h and lib/num/elementary.h, to the bit.
 */
#ifndef LIB_NUM_BLOCKS_H
#define LIB_NUM_BLOCKS_H

#include "lib/num/level.h"
#include "lib/num/random.h"

/* The words of trials first, first + 1, ... */
void LEVEL(num_words)(const struct num_source *source, uint64_t first, size_t n, uint64_t *ret);

/* Uniform between 0 and 1, less 1/2. */
void LEVEL(num_uniforms)(const struct num_source *source, uint64_t first, size_t n, double *ret);

/* Standard normal. words: n for use here. */
void LEVEL(num_normals)(const struct num_source *source, uint64_t first, size_t n, uint64_t *words,
			double *ret);

/* Gamma of shape above 0 and scale 1. words and u: n each for use here. */
void LEVEL(num_gammas)(const struct num_source *source, double shape, uint64_t first, size_t n,
		       uint64_t *words, double *u, double *ret);

/* sin(pi r) for r from -1/2 to 1/2, within 3e-16. In place. */
void LEVEL(num_sines)(size_t n, double *x);

/* num_exp and num_ln of each, in place: two arrays that may be one would not be vectorised. */
void LEVEL(num_exps)(size_t n, double *x);
void LEVEL(num_lns)(size_t n, double *x);

#endif
