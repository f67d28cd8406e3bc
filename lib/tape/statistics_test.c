#include "tests/support/near.h"
#include "lib/num/random.h"
#include "lib/tape/kernels.h"

#include <stdlib.h>

enum { N = 5000 };

static double shuffled[N], sorted[N], spare[N];

static void fill(int distinct)
{
	const struct num_source source = { 1, num_stream("test"), NUM_FIRST };
	struct num_lane lane = num_lane_of(&source, 0);

	for (size_t i = 0; i < N; i++) {
		const double u = num_lane_uniform(&lane) - 0.5;

		shuffled[i] = sorted[i] = distinct == 0 ? u : floor(u * distinct) / distinct;
	}
	statistics_sort(N, sorted);
	for (size_t i = 1; i < N; i++)
		assert_true(sorted[i - 1] <= sorted[i]);
}

static void test_select(void **state)
{
	static const int distinct[] = { 0, 1, 2, 7, 300 };

	(void)state;
	for (size_t d = 0; d < 5; d++) {
		fill(distinct[d]);
		for (size_t k = 0; k < N; k += 61) {
			memcpy(spare, shuffled, sizeof(spare));
			assert_true(statistics_select(N, spare, k) == sorted[k]);
		}
		assert_true(statistics_select(N, sorted, N - 1) == sorted[N - 1]);
		memcpy(spare, shuffled, sizeof(spare));
		for (size_t from = 0, k = 0; k < N; from = k, k += 611)
			assert_true(statistics_select_after(N, spare, from, k) == sorted[k]);
	}
}

/* An output without a value in some trials has no order; it must not be sought for ever. */
static void test_select_among_nan(void **state)
{
	(void)state;
	fill(0);
	for (size_t i = 0; i < N; i += 3)
		shuffled[i] = (double)NAN;
	for (size_t k = 0; k < N; k += 61)
		statistics_select(N, shuffled, k);
}

/* JCGM 101:2008, 7.7.1 to 7.7.3: M = 10^6 and p = 0.95 give q = 950000, r = 25000; an odd M - q
   takes the integer part of (M - q + 1)/2. */
static void test_ranks(void **state)
{
	static const struct {
		uint64_t m;
		double p;
		uint64_t q, r;
	} cases[] = {
		{ 1000000, 0.95, 950000, 25000 }, { 1001, 0.95, 951, 25 },
		{ 1000, 0.999, 999, 1 },          { 101, 0.95, 96, 3 },
		{ 100, 0.9999, 99, 1 },           { 30, 0.95, 29, 1 },
		{ 10000, 0.9545, 9545, 228 },
	};

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		uint64_t q, r;

		statistics_ranks(cases[i].m, cases[i].p, &q, &r);
		assert_int_equal(q, cases[i].q);
		assert_int_equal(r, cases[i].r);
		assert_true(r >= 1 && r + q <= cases[i].m);
	}
}

/* The sums by the definition: lane i mod 16, in the order of the trials. */
static void check_sums(const struct kernels *kernels, const struct lane_sums *sums)
{
	struct lane_sums want = { 0 }, alone = { 0 };

	for (size_t i = 0; i < N; i++) {
		const double d = shuffled[i] - 0.1;

		want.first[i % 256 % STATISTICS_LANES] += d;
		want.second[i % 256 % STATISTICS_LANES] += d * d;
	}
	for (size_t i = 0; i < N; i += 256)
		kernels->sum(shuffled + i, 0.1, N - i < 256 ? N - i : 256, &alone);
	assert_memory_equal(sums, &want, sizeof(want));
	assert_memory_equal(&alone, &want, sizeof(want));
}

static void check_together(struct tail *tail, uint64_t rank)
{
	const uint64_t ranks[] = { rank, rank, rank + 7, rank + 140 };
	bool within = true;
	double got[4];

	for (int i = 0; i < 4; i++)
		within &= sorted[ranks[i] - 1] >= tail->low && sorted[ranks[i] - 1] <= tail->high;
	assert_int_equal(tail_ranks(tail, 4, ranks, got), within);
	for (int i = 0; i < 4 && within; i++)
		assert_true(got[i] == sorted[ranks[i] - 1]);
}

/* Every rank within the tails is that of a full sort, or said not to be there; before narrowing and
   after it, for outputs that take few values as well, at every instruction set. */
static void check_tails(const struct kernels *kernels, double low0, double high0, double low1,
			double high1)
{
	struct tail tails[2] = { { .low = low0, .high = high0, .limit = SIZE_MAX },
				 { .low = low1, .high = high1, .limit = SIZE_MAX } };
	struct lane_sums sums = { 0 };

	for (size_t i = 0; i < N; i += 256)
		assert_true(
		    kernels->gather(shuffled + i, 0.1, N - i < 256 ? N - i : 256, &sums, tails));
	check_sums(kernels, &sums);
	for (int round = 0; round < 2; round++) {
		for (int t = 0; t < 2; t++) {
			for (uint64_t rank = 1; rank <= N; rank++) {
				const double want = sorted[rank - 1];
				const bool within = want >= tails[t].low && want <= tails[t].high;
				double got;

				if (rank % 50 == 1) {
					assert_int_equal(tail_rank(&tails[t], rank, &got), within);
					assert_true(!within || got == want);
				}
				if (rank % 50 == 1 && rank + 140 <= N)
					check_together(&tails[t], rank);
			}
			tail_sort(&tails[t]);
			for (uint64_t rank = 1; rank <= N; rank++) {
				const double want = sorted[rank - 1];
				const bool within = want >= tails[t].low && want <= tails[t].high;
				double got;

				assert_int_equal(tail_sorted(&tails[t], rank, &got), within);
				assert_true(!within || got == want);
			}
			tail_narrow(&tails[t], fmax(tails[t].low, t == 0 ? -0.4 : 0.31),
				    fmin(tails[t].high, t == 0 ? -0.3 : 0.39));
		}
	}
	tail_free(&tails[0]);
	tail_free(&tails[1]);
}

static void test_tails(void **state)
{
	static const int distinct[] = { 0, 1, 2, 10, 300 };

	(void)state;
	for (int level = LEVEL_PLAIN; level <= LEVEL_V4; level++) {
		const struct kernels *kernels = kernels_of((enum kernel_level)level);

		for (size_t d = 0; d < 5 && kernels != NULL; d++) {
			fill(distinct[d]);
			check_tails(kernels, -0.45, -0.25, 0.3, 0.4);
			check_tails(kernels, -(double)INFINITY, -0.3, 0.3, (double)INFINITY);
			check_tails(kernels, -0.5, 0.5, 0.31, 0.31);
		}
	}
}

/* A tail that would keep too much gives up, and says that it does not know. */
static void test_limit(void **state)
{
	struct tail tails[2] = { { .low = -1.0, .high = 1.0, .limit = 10 },
				 { .low = 2.0, .high = 3.0, .limit = 10 } };
	struct lane_sums sums = { 0 };
	double y;

	(void)state;
	fill(0);
	assert_true(kernels_of(LEVEL_PLAIN)->gather(shuffled, 0.0, 256, &sums, tails));
	assert_true(tails[0].gave_up && !tail_rank(&tails[0], 5, &y));
	assert_int_equal(tails[0].n, 10);
	tail_free(&tails[0]);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_select), cmocka_unit_test(test_select_among_nan),
		cmocka_unit_test(test_ranks),  cmocka_unit_test(test_tails),
		cmocka_unit_test(test_limit),
	};

	return cmocka_run_group_tests_name("statistics", tests, NULL, NULL);
}
