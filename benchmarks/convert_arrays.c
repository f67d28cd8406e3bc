/*
 * Conversion of 10^7 resistances to T90, memory to memory, beside a plain loop that copies them.
 *
 * Commands: "fill RANGE"; "copy"; "convert RANGE LEVEL", preparing included; "error RANGE LEVEL",
 * the largest difference in kelvin from the exact root over a part of the array; "level", the best
 * of this processor. RANGE is 0 for 0 degC to 660 degC, 1 for -189 degC to 0 degC; LEVEL as enum
 * firn_batch_level. Seconds are the thread's own.
 */
#include "benchmarks/driver.h"

#include "firn/batch.h"

#include <math.h>
#include <stdint.h>

enum { N = 10000000, CHECKED = 100003 };

static const double r_tpw_ohm = 25.5;

/* Deviation functions with three coefficients, of invented thermometers. */
static const struct range {
	enum firn_subrange_id id;
	double low_w, high_w, c[FIRN_MOST_COEFFICIENTS];
} ranges[] = {
	{ FIRN_H2O_AL, 1.0, 3.37, { -1.57e-4, -1.5e-5, 7.8e-7 } },
	{ FIRN_O2_H2O, 0.216, 0.9999, { -1.47e-4, -9.1e-6, 7.4e-7 } },
};

struct arrays {
	double *ohm, *t90_K;
};

/* Shuffled values, by a multiplicative congruence (any will do: nothing depends on the order). */
static void fill(const struct range *range, double *ret_ohm)
{
	uint64_t state = 1;

	for (size_t i = 0; i < N; i++) {
		state = state * 6364136223846793005u + 1442695040888963407u;
		ret_ohm[i] = r_tpw_ohm * (range->low_w + (range->high_w - range->low_w) *
							     (double)(state >> 11) * 0x1p-53);
	}
}

/* Kept a loop by the flags of its compilation. */
static void copy(size_t n, const double *restrict in, double *restrict ret_out)
{
	for (size_t i = 0; i < n; i++)
		ret_out[i] = in[i];
}

static size_t convert(const struct range *range, enum firn_batch_level level,
		      const struct arrays *arrays)
{
	struct firn_batch batch;

	if (firn_batch_t90(firn_scale_subrange(range->id), range->c, (double)NAN, 1.0 / r_tpw_ohm,
			   &batch) < 0)
		return N;
	return firn_batch_run(&batch, level, N, arrays->ohm, arrays->t90_K);
}

static double largest_error_K(const struct range *range, const struct arrays *arrays)
{
	double largest_K = 0.0;

	for (size_t i = 0; i < N; i += N / CHECKED) {
		double t90_K, slope;

		if (firn_subrange_t90(firn_scale_subrange(range->id), range->c, (double)NAN,
				      arrays->ohm[i] / r_tpw_ohm, &t90_K, &slope) < 0)
			return NAN;
		largest_K = fmax(largest_K, fabs(t90_K - arrays->t90_K[i]));
	}
	return largest_K;
}

static double answer(void *context, size_t n, char **words)
{
	const struct arrays *arrays = context;
	const struct range *range = &ranges[n > 1 && words[1][0] == '1'];
	const enum firn_batch_level level =
	    n > 2 ? (enum firn_batch_level)atoi(words[2]) : FIRN_BATCH_BEST;
	const double start = seconds(CLOCK_THREAD_CPUTIME_ID);

	if (strcmp(words[0], "fill") == 0)
		fill(range, arrays->ohm);
	else if (strcmp(words[0], "copy") == 0)
		copy(N, arrays->ohm, arrays->t90_K);
	else if (strcmp(words[0], "level") == 0)
		return firn_batch_level(FIRN_BATCH_BEST);
	else if (convert(range, level, arrays) > 0)
		return NAN;
	if (strcmp(words[0], "error") == 0)
		return largest_error_K(range, arrays);
	return seconds(CLOCK_THREAD_CPUTIME_ID) - start;
}

int main(void)
{
	struct arrays arrays = { driver_memory(N, sizeof(double)),
				 driver_memory(N, sizeof(double)) };

	memset(arrays.t90_K, 1, N * sizeof(double)); /* touched */
	driver_run(answer, &arrays);
	free(arrays.ohm);
	free(arrays.t90_K);
	return 0;
}
