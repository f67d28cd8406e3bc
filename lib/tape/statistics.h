/*
 * What is kept of the trials of one output: sums, and the values around the order statistics
 * wanted.
 *
 * Sums are of y minus the value at the estimates, in 16 lanes (trial mod 16), for a chunk of
 * trials; lanes, then chunks, are added in order. So neither threads nor blocks change them. Order
 * statistics are exact whatever the brackets.
 */
#ifndef LIB_TAPE_STATISTICS_H
#define LIB_TAPE_STATISTICS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
	STATISTICS_LANES = 16,
	STATISTICS_CHUNK = 16384, /* trials */
};

struct lane_sums {
	double first[STATISTICS_LANES], second[STATISTICS_LANES]; /* of d and of d^2 */
};

/* Values from low to high are kept one by one; of the others only how many are below. Those at the
   ends are counted: an output that takes few values costs no memory. */
struct tail {
	double low, high;
	uint64_t below, at_low, at_high;
	double *inside; /* n values between low and high */
	size_t n, room;
	size_t expected; /* n; a guess that saves growing */
	size_t limit;    /* of n; beyond it the tail gives up */
	bool gave_up;
};

double statistics_total(const double lanes[STATISTICS_LANES]);

/* Appends a value; false without memory. */
bool tail_add(struct tail *tail, double y);
void tail_free(struct tail *tail);

/* Adds what another tail with the same ends has kept, which is then empty. */
bool tail_merge(struct tail *tail, struct tail *other);

/* New ends within the old ones: what is now outside is counted or dropped. */
void tail_narrow(struct tail *tail, double low, double high);

/* The value of that rank, from 1; false when it is not within the tail. Reorders `inside`. */
bool tail_rank(struct tail *tail, uint64_t rank, double *ret);

/* The values of n ascending ranks, found together at less cost. */
bool tail_ranks(struct tail *tail, size_t n, const uint64_t *ranks, double *ret);

/* Sorts `inside`; tail_sorted() is then tail_rank() at no cost. */
void tail_sort(struct tail *tail);
bool tail_sorted(const struct tail *tail, uint64_t rank, double *ret);

/* The k-th smallest (from 0) of n values; reorders them. With NaN among them it is any. */
double statistics_select(size_t n, double *x, size_t k);

/* The same at less cost when x[from], from <= k, has been selected before. from 0: always good. */
double statistics_select_after(size_t n, double *x, size_t from, size_t k);
void statistics_sort(size_t n, double *x);

/* JCGM 101:2008, 7.7: how many of M trials lie within, q, and the rank where the probabilistically
   symmetric interval begins. */
void statistics_ranks(uint64_t trials, double p, uint64_t *ret_q, uint64_t *ret_r);

/*
 * Where, of n sorted first trials, to set the ends of a tail that holds rank `rank` of m: places
 * from 1, 5 standard deviations of the count apart; 0 and n + 1 stand for no end.
 */
void statistics_bracket(uint64_t rank, uint64_t m, size_t n, size_t *ret_low, size_t *ret_high);

#endif
