/* Sums and tails of a block of trials. */
#include "lib/tape/kernels.h"

enum { LANES = STATISTICS_LANES };

/* As wide as the instruction set: wider ones are slow, and left to itself the compiler keeps arrays
   of sums in memory. Lane l is element l mod WIDTH of vector l/WIDTH, whatever the width. */
#if defined(__AVX512F__)
enum { WIDTH = 8 };
#elif defined(__AVX__)
enum { WIDTH = 4 };
#else
enum { WIDTH = 2 };
#endif
typedef double vector __attribute__((vector_size(WIDTH * sizeof(double))));
enum { VECTORS = LANES / WIDTH };
enum { LOOKED_AT = 32 }; /* trials, before it is asked whether any is within a tail */

/* Two vectors at a time, so that they stay in registers and don't wait for each other. */
static void sum_pair(const double *y, double estimate, size_t whole, double *first, double *second)
{
	vector s0, s1, q0, q1;

	memcpy(&s0, first, sizeof(s0));
	memcpy(&s1, first + WIDTH, sizeof(s1));
	memcpy(&q0, second, sizeof(q0));
	memcpy(&q1, second + WIDTH, sizeof(q1));
	for (size_t i = 0; i < whole; i += LANES) {
		vector d0, d1;

		memcpy(&d0, y + i, sizeof(d0));
		memcpy(&d1, y + i + WIDTH, sizeof(d1));
		d0 -= estimate;
		d1 -= estimate;
		s0 += d0;
		s1 += d1;
		q0 += d0 * d0;
		q1 += d1 * d1;
	}
	memcpy(first, &s0, sizeof(s0));
	memcpy(first + WIDTH, &s1, sizeof(s1));
	memcpy(second, &q0, sizeof(q0));
	memcpy(second + WIDTH, &q1, sizeof(q1));
}

void LEVEL(statistics_sum)(const double *y, double estimate, size_t n, struct lane_sums *sums)
{
	const size_t whole = n / LANES * LANES;

	for (size_t v = 0; v < VECTORS; v += 2)
		sum_pair(y + v * WIDTH, estimate, whole, sums->first + v * WIDTH,
			 sums->second + v * WIDTH);
	for (size_t l = 0; whole + l < n; l++) {
		const double d = y[whole + l] - estimate;

		sums->first[l] += d;
		sums->second[l] += d * d;
	}
}

void LEVEL(statistics_products)(const double *x, const double *y, double estimate_x,
				double estimate_y, size_t n, double lanes[STATISTICS_LANES])
{
	const size_t whole = n / LANES * LANES;

	for (size_t i = 0; i < whole; i += LANES)
		for (size_t l = 0; l < LANES; l++)
			lanes[l] += (x[i + l] - estimate_x) * (y[i + l] - estimate_y);
	for (size_t l = 0; whole + l < n; l++)
		lanes[l] += (x[whole + l] - estimate_x) * (y[whole + l] - estimate_y);
}

/* -0 becomes 0, so that which of them has a rank does not depend on the order of the trials. */
static bool keep(struct tail *tail, double y)
{
	if (y == tail->low)
		tail->at_low++;
	else if (y == tail->high)
		tail->at_high++;
	else
		return tail_add(tail, y + 0.0);
	return true;
}

typedef int64_t mask __attribute__((vector_size(WIDTH * sizeof(double))));

static inline uint64_t total(mask m)
{
	uint64_t sum = 0;

	for (int i = 0; i < WIDTH; i++)
		sum += (uint64_t)m[i];
	return sum;
}

static inline bool any(mask m)
{
	int64_t bits = 0;

	for (int i = 0; i < WIDTH; i++)
		bits |= m[i];
	return bits != 0;
}

/* The ends of both tails, and how many trials are below them (true is -1). */
struct ends {
	double low0, high0, low1, high1;
	mask below0, below1;
};

/* Which of WIDTH trials are within a tail; NaN is in none. */
static inline mask within(const double *y, struct ends *e)
{
	vector x;

	memcpy(&x, y, sizeof(x));
	const mask low0 = x < e->low0, low1 = x < e->low1;
	e->below0 += low0;
	e->below1 += low1;
	return (~low0 & (x <= e->high0)) | (~low1 & (x <= e->high1));
}

static bool keep_within(const double *y, size_t n, struct tail tails[2])
{
	bool good = true;

	for (size_t i = 0; i < n; i++)
		for (int t = 0; t < 2; t++)
			if (y[i] >= tails[t].low && y[i] <= tails[t].high)
				good &= keep(&tails[t], y[i]);
	return good;
}

bool LEVEL(statistics_collect)(const double *y, size_t n, struct tail tails[2])
{
	const size_t whole = n / LOOKED_AT * LOOKED_AT;
	struct ends ends = { .low0 = tails[0].low,
			     .high0 = tails[0].high,
			     .low1 = tails[1].low,
			     .high1 = tails[1].high };
	bool good = true;

	for (size_t i = 0; i < whole; i += LOOKED_AT) {
		mask found[LOOKED_AT / WIDTH], all = { 0 };

		for (size_t v = 0; v < LOOKED_AT / WIDTH; v++) {
			found[v] = within(y + i + v * WIDTH, &ends);
			all |= found[v];
		}
		if (!any(all))
			continue;
		for (size_t v = 0; v < LOOKED_AT / WIDTH; v++)
			if (any(found[v]))
				good &= keep_within(y + i + v * WIDTH, WIDTH, tails);
	}
	for (size_t i = whole; i < n; i++) {
		tails[0].below += y[i] < ends.low0;
		tails[1].below += y[i] < ends.low1;
	}
	tails[0].below -= total(ends.below0);
	tails[1].below -= total(ends.below1);
	return good & keep_within(y + whole, n - whole, tails);
}
