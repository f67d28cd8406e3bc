/*
 * Random numbers that know their trial: threefry4x64-20 (Random123; Salmon, Moraes, Dror, Shaw,
 * "Parallel random numbers: as easy as 1, 2, 3", SC11) of a counter that says what is drawn and for
 * which trial. So a result depends neither on threads, nor on blocks, nor on what else is drawn.
 *
 * Every number comes from (seed; trial, stream, purpose, attempt). Bits are the same on every
 * processor.
 */
#ifndef LIB_NUM_RANDOM_H
#define LIB_NUM_RANDOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Trials whose words are made together: trial t has word t/32 mod 4 of counter 32 (t/128) + t mod
   32. Blocks are multiples of it, and begin at one. */
enum { NUM_RANDOM_GROUP = 128 };

/* What a stream is asked for; different purposes are independent. */
enum num_purpose {
	NUM_FIRST = 0, /* uniform numbers */
	NUM_SECOND = 1,
	NUM_NORMAL = 2,
	NUM_GAMMA_NORMAL = 3,
	NUM_GAMMA_UNIFORM = 4,
	NUM_GAMMA_SMALL = 5,
	NUM_AGAIN = 256, /* added: what a single trial draws after its first attempt */
};

struct num_source {
	uint64_t seed, stream;
	unsigned purpose; /* enum num_purpose */
};

/* Stream of a name; names that differ have different ones, but for a chance of 1 in 2^64 a pair. */
uint64_t num_stream(const char *name);

/* Another stream, for what has the same name. */
uint64_t num_next_stream(uint64_t stream);

/* A single trial that draws on alone: words of counters of its own. */
struct num_lane {
	struct num_source source;
	uint64_t trial, attempt;
	uint64_t words[4];
	unsigned left;
};
struct num_lane num_lane_of(const struct num_source *source, uint64_t trial);
uint64_t num_lane_word(struct num_lane *lane);
double num_lane_uniform(struct num_lane *lane); /* above 0 and below 1 */

/* The standard normal number that a word leads to, by the ziggurat; draws on where it must. */
double num_normal_of(uint64_t word, struct num_lane *lane);

/*
 * num_gamma_of - a gamma-distributed number of shape >= 1 and scale 1, from a first standard normal
 * z and uniform u; draws on where they are rejected (Marsaglia and Tsang, ACM Trans. Math. Softw.
 * 26 (2000) 363; the squeeze and the bound from memory, the distribution tested).
 */
double num_gamma_of(double shape, double z, double u, struct num_lane *lane);

/* (0, 1): the middle of one of 2^52 equal parts. */
double num_uniform_of(uint64_t word);

#endif
