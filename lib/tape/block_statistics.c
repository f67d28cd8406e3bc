/* Sums and tails of a block of trials. */
#include "lib/tape/kernels.h"

enum { LANES = STATISTICS_LANES };

void LEVEL(statistics_sum)(const double *y, double estimate, size_t n, struct lane_sums *sums)
{
	const size_t whole = n / LANES * LANES;
	double first[LANES], second[LANES];

	memcpy(first, sums->first, sizeof(first));
	memcpy(second, sums->second, sizeof(second));
	for (size_t i = 0; i < whole; i += LANES) {
		for (size_t l = 0; l < LANES; l++) {
			const double d = y[i + l] - estimate;

			first[l] += d;
			second[l] += d * d;
		}
	}
	for (size_t l = 0; whole + l < n; l++) {
		const double d = y[whole + l] - estimate;

		first[l] += d;
		second[l] += d * d;
	}
	memcpy(sums->first, first, sizeof(first));
	memcpy(sums->second, second, sizeof(second));
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

bool LEVEL(statistics_collect)(const double *y, size_t n, uint8_t *flags, struct tail tails[2])
{
	const double low0 = tails[0].low, high0 = tails[0].high;
	const double low1 = tails[1].low, high1 = tails[1].high;
	uint64_t below0 = 0, below1 = 0;
	bool good = true;

	for (size_t i = 0; i < n; i++) {
		below0 += y[i] < low0;
		below1 += y[i] < low1;
	}
	for (size_t i = 0; i < n; i++)
		flags[i] = (uint8_t)((y[i] >= low0) & (y[i] <= high0)) |
			   (uint8_t)(((y[i] >= low1) & (y[i] <= high1)) << 1);
	tails[0].below += below0;
	tails[1].below += below1;
	for (size_t i = 0; i < n; i += 8) {
		uint64_t eight = 0;

		memcpy(&eight, flags + i, n - i < 8 ? n - i : 8);
		if (eight == 0)
			continue;
		for (size_t j = i; j < i + 8 && j < n; j++) {
			if (flags[j] & 1)
				good &= keep(&tails[0], y[j]);
			if (flags[j] & 2)
				good &= keep(&tails[1], y[j]);
		}
	}
	return good;
}
