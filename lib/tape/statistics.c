#include "lib/tape/statistics.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

double statistics_total(const double lanes[STATISTICS_LANES])
{
	double sum = 0.0;

	for (int i = 0; i < STATISTICS_LANES; i++)
		sum += lanes[i];
	return sum;
}

/* ---- sorting ---- */

static int ascending(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static void swap(double *x, size_t a, size_t b)
{
	const double kept = x[a];

	x[a] = x[b];
	x[b] = kept;
}

/* Hoare's partition of low to high (low < high) around the middle of three: returns j below high
   with none up to it above the pivot and none beyond it below. */
static size_t parted(double *x, size_t low, size_t high)
{
	const size_t middle = low + (high - low) / 2;
	size_t i = low, j = high;

	if (x[middle] < x[low])
		swap(x, middle, low);
	if (x[high] < x[low])
		swap(x, high, low);
	if (x[high] < x[middle])
		swap(x, high, middle);
	const double pivot = x[middle];
	for (;;) {
		while (x[i] < pivot)
			i++;
		while (x[j] > pivot)
			j--;
		if (i >= j)
			return j;
		swap(x, i++, j--);
	}
}

static void insert_sorted(double *x, size_t low, size_t high)
{
	for (size_t i = low + 1; i <= high; i++) {
		const double y = x[i];
		size_t j = i;

		for (; j > low && x[j - 1] > y; j--)
			x[j] = x[j - 1];
		x[j] = y;
	}
}

/* How many of x[low] to x[high] are below the pivot, or at it when `equal`; these come first.
   Without branches, which of random numbers would be guessed wrong half of the time. */
static size_t parted_below(double *x, size_t low, size_t high, double pivot, bool equal)
{
	size_t j = low;

	for (size_t i = low; i <= high; i++) {
		const double y = x[i];

		x[i] = x[j];
		x[j] = y;
		j += equal ? y <= pivot : y < pivot;
	}
	return j - low;
}

/* A pivot a little beyond the rank k, on the side where more is left: two of them leave a small
   part on either side of it. */
static double pivot_near(const double *x, size_t low, size_t high, size_t k)
{
	enum { SAMPLE = 15 };
	const size_t n = high - low + 1;
	const bool more_above = k - low < n / 2;
	size_t place = (k - low) * SAMPLE / n;
	double sample[SAMPLE];

	if (n < 4 * SAMPLE)
		return x[low + n / 2];
	for (size_t i = 0; i < SAMPLE; i++)
		sample[i] = x[low + i * n / SAMPLE];
	insert_sorted(sample, 0, SAMPLE - 1);
	place = more_above ? place + 1 : place < 2 ? 0 : place - 1;
	return sample[place < SAMPLE ? place : SAMPLE - 1];
}

double statistics_select_after(size_t n, double *x, size_t from, size_t k)
{
	size_t low = from, high = n - 1;

	while (low < high) {
		const double pivot = pivot_near(x, low, high, k);
		size_t below = parted_below(x, low, high, pivot, false);

		if (k < low + below) {
			high = low + below - 1;
			continue;
		}
		if (below == 0) { /* the pivot is the smallest: its equals go too */
			below = parted_below(x, low, high, pivot, true);
			if (k < low + below || below == 0)
				return pivot;
		}
		low += below;
	}
	return x[k];
}

double statistics_select(size_t n, double *x, size_t k)
{
	return statistics_select_after(n, x, 0, k);
}

/* Some four times as fast as the library's, which takes over should the partitions go wrong. */
static void sort_range(double *x, size_t low, size_t high, int depth)
{
	enum { FEW = 20 };

	while (high - low >= FEW) {
		size_t j;

		if (depth-- == 0) {
			qsort(x + low, high - low + 1, sizeof(*x), ascending);
			return;
		}
		j = parted(x, low, high);
		if (j - low < high - j - 1) {
			sort_range(x, low, j, depth);
			low = j + 1;
		} else {
			if (j + 1 < high)
				sort_range(x, j + 1, high, depth);
			high = j;
		}
	}
	insert_sorted(x, low, high);
}

void statistics_sort(size_t n, double *x)
{
	enum { DEPTH = 100 };

	if (n > 1)
		sort_range(x, 0, n - 1, DEPTH);
}

/* ---- tails ---- */

bool tail_add(struct tail *tail, double y)
{
	if (tail->n >= tail->limit) {
		tail->gave_up = true;
		return true;
	}
	if (tail->n == tail->room) {
		const size_t first = tail->expected < 64 ? 64 : tail->expected;
		const size_t room = tail->room == 0 ? first : 2 * tail->room;
		double *grown = realloc(tail->inside, room * sizeof(*grown));

		if (grown == NULL)
			return false;
		tail->inside = grown;
		tail->room = room;
	}
	tail->inside[tail->n++] = y;
	return true;
}

void tail_free(struct tail *tail)
{
	free(tail->inside);
	tail->inside = NULL;
	tail->n = tail->room = 0;
}

bool tail_merge(struct tail *tail, struct tail *other)
{
	const size_t n = tail->n + other->n;

	if (tail->n == 0) {
		free(tail->inside);
		tail->inside = other->inside;
		tail->room = other->room;
		other->inside = NULL;
	} else if (n > tail->room) {
		const size_t room = n + n / 2; /* many follow: not a copy of all for each */
		double *grown = realloc(tail->inside, room * sizeof(*grown));

		if (grown == NULL)
			return false;
		tail->inside = grown;
		tail->room = room;
	}
	if (tail->n > 0 && other->n > 0)
		memcpy(tail->inside + tail->n, other->inside, other->n * sizeof(*other->inside));
	tail->n = n;
	tail->below += other->below;
	tail->at_low += other->at_low;
	tail->at_high += other->at_high;
	tail->gave_up |= other->gave_up;
	tail_free(other);
	return true;
}

void tail_narrow(struct tail *tail, double low, double high)
{
	size_t kept = 0;

	if (low > tail->low) {
		tail->below += tail->at_low;
		tail->at_low = 0;
	}
	if (high < tail->high)
		tail->at_high = 0;
	for (size_t i = 0; i < tail->n; i++) {
		const double y = tail->inside[i];

		tail->below += y < low;
		tail->at_low += y == low;
		tail->at_high += y == high && high != low;
		if (y > low && y < high)
			tail->inside[kept++] = y;
	}
	tail->n = kept;
	tail->low = low;
	tail->high = high;
}

/* Where in the tail a rank lies; false: in `inside`, at *ret_place, or nowhere (n). */
static bool at_an_end(const struct tail *tail, uint64_t rank, double *ret, uint64_t *ret_place)
{
	*ret_place = tail->n;
	if (tail->gave_up || rank <= tail->below)
		return false;
	rank -= tail->below;
	if (rank <= tail->at_low) {
		*ret = tail->low;
		return true;
	}
	rank -= tail->at_low;
	if (rank <= tail->n) {
		*ret_place = rank - 1;
		return false;
	}
	*ret = tail->high;
	return rank - tail->n <= tail->at_high;
}

bool tail_rank(struct tail *tail, uint64_t rank, double *ret)
{
	return tail_ranks(tail, 1, &rank, ret);
}

bool tail_ranks(struct tail *tail, size_t n, const uint64_t *ranks, double *ret)
{
	size_t from = 0;

	for (size_t i = 0; i < n; i++) {
		uint64_t place;

		if (at_an_end(tail, ranks[i], &ret[i], &place))
			continue;
		if (place >= tail->n)
			return false;
		ret[i] = statistics_select_after(tail->n, tail->inside, from, place);
		from = place;
	}
	return true;
}

void tail_sort(struct tail *tail)
{
	statistics_sort(tail->n, tail->inside);
}

bool tail_sorted(const struct tail *tail, uint64_t rank, double *ret)
{
	uint64_t place;

	if (at_an_end(tail, rank, ret, &place))
		return true;
	if (place < tail->n)
		*ret = tail->inside[place];
	return place < tail->n;
}

/* ---- ranks ---- */

void statistics_ranks(uint64_t trials, double p, uint64_t *ret_q, uint64_t *ret_r)
{
	/* p M, or the integer part of p M + 1/2; the last term is what p may have lost as a double
	 */
	const double wanted = p * (double)trials, q = floor(wanted + 0.5 + 4e-16 * wanted);

	*ret_q = q < 1.0 ? 1 : (uint64_t)q;
	if (*ret_q >= trials)
		*ret_q = trials - 1;
	/* (M - q)/2 where that is whole, otherwise the integer part of (M - q + 1)/2 */
	*ret_r = (trials - *ret_q + 1) / 2;
}

void statistics_bracket(uint64_t rank, uint64_t m, size_t n, size_t *ret_low, size_t *ret_high)
{
	const double p = ((double)rank - 0.5) / (double)m;
	const double centre = p * (double)n, spread = 5.0 * sqrt((double)n * p * (1.0 - p)) + 2.0;

	*ret_low = centre - spread < 1.0 ? 0 : (size_t)floor(centre - spread);
	*ret_high = centre + spread > (double)n ? n + 1 : (size_t)ceil(centre + spread);
}
