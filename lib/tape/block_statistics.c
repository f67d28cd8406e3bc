/* Sums and tails of a block of trials. */
#include "lib/num/lanes.h"
#include "lib/tape/kernels.h"

enum { LANES = STATISTICS_LANES };

/* Lane l of the sums is element l mod WIDTH of vector l/WIDTH, whatever the width. */
enum { WIDTH = LANES_WIDTH };
typedef lanes_double vector;
typedef lanes_mask mask;
enum { VECTORS = LANES / WIDTH };

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

/* Of the last trials, fewer than there are lanes. */
static void add_rest(const double *y, double estimate, size_t n, struct lane_sums *sums)
{
	for (size_t l = 0; l < n; l++) {
		const double d = y[l] - estimate;

		sums->first[l] += d;
		sums->second[l] += d * d;
	}
}

void LEVEL(statistics_sum)(const double *y, double estimate, size_t n, struct lane_sums *sums)
{
	const size_t whole = n / LANES * LANES;

	for (size_t v = 0; v < VECTORS; v += 2)
		sum_pair(y + v * WIDTH, estimate, whole, sums->first + v * WIDTH,
			 sums->second + v * WIDTH);
	add_rest(y + whole, estimate, n - whole, sums);
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

/* What a tail has room for costs no call. -0 becomes 0, so that which of them has a rank does not
   depend on the order of the trials. */
static inline bool keep(struct tail *tail, double y)
{
	if (y == tail->low)
		tail->at_low++;
	else if (y == tail->high)
		tail->at_high++;
	else if (tail->n < tail->room && tail->n < tail->limit)
		tail->inside[tail->n++] = y + 0.0;
	else
		return tail_add(tail, y + 0.0);
	return true;
}

static bool keep_within(double y, struct tail tails[2])
{
	bool good = true;

	for (int t = 0; t < 2; t++)
		if (y >= tails[t].low && y <= tails[t].high)
			good &= keep(&tails[t], y);
	return good;
}

/* The ends of both tails and the value at the estimates. */
struct marks {
	double low0, high0, low1, high1, estimate;
};

/* Which trials are within a tail, and how many below each, counted by lanes (true is -1). */
struct notes {
	mask noted, below0, below1;
};

static inline void note(struct notes *notes, vector x, const struct marks *m)
{
	/* what is below an end is also not above the other; NaN is in none */
	const mask below0 = x < m->low0, below1 = x < m->low1;
	const mask found = (below0 ^ (x <= m->high0)) | (below1 ^ (x <= m->high1));

	notes->below0 += below0;
	notes->below1 += below1;
	notes->noted = lanes_note(notes->noted, found);
}

static inline uint64_t total(mask m)
{
	uint64_t sum = 0;

	for (int i = 0; i < WIDTH; i++)
		sum += (uint64_t)m[i];
	return sum;
}

static bool keep_noted(const double *y, size_t vectors, mask noted, struct tail tails[2])
{
	const bool apart = tails[0].high < tails[1].low;
	bool good = true;

	for (size_t lane = 0; lane < WIDTH; lane++) {
		uint64_t bits = (uint64_t)noted[lane];

		for (; bits != 0; bits &= bits - 1) {
			/* of `vectors` by twos, LANES apart */
			const size_t v = vectors - 1 - lanes_lowest(bits);
			const double x = y[v / 2 * LANES + v % 2 * WIDTH + lane];

			good &= apart ? keep(&tails[x >= tails[1].low], x) : keep_within(x, tails);
		}
	}
	return good;
}

/* sum_pair() and the tails in one pass. */
static bool gather_pair(const double *y, size_t groups, const struct marks *marks, double *first,
			double *second, struct tail tails[2])
{
	const struct marks m = *marks;
	struct notes notes = { { 0 }, { 0 }, { 0 } };
	vector s0, s1, q0, q1;

	memcpy(&s0, first, sizeof(s0));
	memcpy(&s1, first + WIDTH, sizeof(s1));
	memcpy(&q0, second, sizeof(q0));
	memcpy(&q1, second + WIDTH, sizeof(q1));
	for (size_t i = 0; i < groups * LANES; i += LANES) {
		vector x0, x1;

		memcpy(&x0, y + i, sizeof(x0));
		memcpy(&x1, y + i + WIDTH, sizeof(x1));
		note(&notes, x0, &m);
		note(&notes, x1, &m);
		x0 -= m.estimate;
		x1 -= m.estimate;
		s0 += x0;
		s1 += x1;
		q0 += x0 * x0;
		q1 += x1 * x1;
	}
	memcpy(first, &s0, sizeof(s0));
	memcpy(first + WIDTH, &s1, sizeof(s1));
	memcpy(second, &q0, sizeof(q0));
	memcpy(second + WIDTH, &q1, sizeof(q1));
	tails[0].below -= total(notes.below0);
	tails[1].below -= total(notes.below1);
	return keep_noted(y, 2 * groups, notes.noted, tails);
}

bool LEVEL(statistics_gather)(const double *y, double estimate, size_t n, struct lane_sums *sums,
			      struct tail tails[2])
{
	enum { GROUPS = 32 }; /* at a time: two vectors of each are noted in 64 bits */
	const struct marks marks = { tails[0].low, tails[0].high, tails[1].low, tails[1].high,
				     estimate };
	const size_t whole = n / LANES;
	bool good = true;

	for (size_t done = 0; done < whole; done += GROUPS) {
		const size_t groups = whole - done < GROUPS ? whole - done : GROUPS;

		for (size_t l = 0; l < LANES; l += 2 * WIDTH)
			good &= gather_pair(y + done * LANES + l, groups, &marks, sums->first + l,
					    sums->second + l, tails);
	}
	for (size_t i = whole * LANES; i < n; i++) {
		tails[0].below += y[i] < tails[0].low;
		tails[1].below += y[i] < tails[1].low;
		good &= keep_within(y[i], tails);
	}
	add_rest(y + whole * LANES, estimate, n - whole * LANES, sums);
	return good;
}
