#include "tests/support/near.h"
#include "lib/num/blocks.h"
#include "lib/num/elementary.h"
#include "lib/num/random_core.h"

#include <stdlib.h>

enum { N = 1 << 20 };

static uint64_t words[N];
static double x[N], scratch[N];

/* Known answers of threefry4x64-20, from the file kat_vectors that comes with Random123. Counter
   and key of zeros, then of ones; the third has the digits of pi. */
static const struct {
	uint64_t counter[4], key[4], want[4];
} answers[] = {
	{ { 0, 0, 0, 0 },
	  { 0, 0, 0, 0 },
	  { 0x09218ebde6c85537, 0x55941f5266d86105, 0x4bd25e16282434dc, 0xee29ec846bd2e40b } },
	{ { UINT64_MAX, UINT64_MAX, UINT64_MAX, UINT64_MAX },
	  { UINT64_MAX, UINT64_MAX, UINT64_MAX, UINT64_MAX },
	  { 0x29c24097942bba1b, 0x0371bbfb0f6f4e11, 0x3c231ffa33f83a1c, 0xcd29113fde32d168 } },
	{ { 0x243f6a8885a308d3, 0x13198a2e03707344, 0xa4093822299f31d0, 0x082efa98ec4e6c89 },
	  { 0x452821e638d01377, 0xbe5466cf34e90c6c, 0xbe5466cf34e90c6c, 0xc0ac29b7c97c50dd },
	  { 0xa7e8fde591651bd9, 0xbaafd0c30138319b, 0x84a5c1a729e685b9, 0x901d406ccebc1ba4 } },
};

static void test_known_answers(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof(answers) / sizeof(answers[0]); i++) {
		threefry4x64_ctr_t c, got;
		threefry4x64_key_t k;

		memcpy(c.v, answers[i].counter, sizeof(c.v));
		memcpy(k.v, answers[i].key, sizeof(k.v));
		got = threefry4x64_R(20, c, k);
		for (size_t j = 0; j < 4; j++)
			assert_int_equal(got.v[j], answers[i].want[j]);
	}
}

/* The layout that random.h states, word by word; the same whatever block it comes in. */
static void test_layout(void **state)
{
	const struct num_source s = { 7, num_stream("visit.2.r0"), NUM_SECOND };
	uint64_t part[128];

	(void)state;
	LEVEL(num_words)(&s, 0, 1024, words);
	for (uint64_t t = 0; t < 1024; t++) {
		const threefry4x64_ctr_t c = { { 32 * (t / 128) + t % 32, s.stream, 0,
						 s.purpose } };
		const threefry4x64_key_t k = { { 7, 0, 0, 0 } };

		assert_int_equal(words[t], threefry4x64_R(20, c, k).v[t / 32 % 4]);
	}
	LEVEL(num_words)(&s, 896, 128, part);
	assert_memory_equal(part, words + 896, sizeof(part));
}

/* Mean of (x - mean)^p over N draws within 5 of its standard deviations, sqrt((m_2p - m_p^2)/N). */
static void moment(double mean, int power, double want, double twice)
{
	double sum = 0.0;

	for (size_t i = 0; i < N; i++)
		sum += pow(x[i] - mean, power);
	assert_near(sum / N, want, 5.0 * sqrt((twice - want * want) / N));
}

static void test_uniform(void **state)
{
	const struct num_source s = { 1, num_stream("uniform"), NUM_FIRST };

	(void)state;
	LEVEL(num_uniforms)(&s, 0, N, x);
	for (size_t i = 0; i < N; i++)
		assert_true(x[i] > -0.5 && x[i] < 0.5);
	moment(0.0, 1, 0.0, 1.0 / 12);
	moment(0.0, 2, 1.0 / 12, 1.0 / 80);
	moment(0.0, 4, 1.0 / 80, 1.0 / (9 * 256));
}

static void test_normal(void **state)
{
	const struct num_source s = { 1, num_stream("normal"), NUM_NORMAL };
	/* P(|z| > limit), by mpmath's erfc: the last beyond the edge of the base layer, 3.654. */
	static const struct {
		double limit, p;
	} tails[] = { { 0.1, 0.92034432544594 },   { 0.5, 0.61707507745197 },
		      { 1.0, 0.31731050786291 },   { 2.0, 0.045500263896358 },
		      { 3.0, 0.0026997960632602 }, { 3.7, 0.00021559909585541 },
		      { 4.5, 6.7953462494601e-06 } };

	(void)state;
	LEVEL(num_normals)(&s, 0, N, words, x);
	moment(0.0, 1, 0.0, 1.0);
	moment(0.0, 2, 1.0, 3.0);
	moment(0.0, 3, 0.0, 15.0);
	moment(0.0, 4, 3.0, 105.0);
	moment(0.0, 6, 15.0, 10395.0);
	for (size_t j = 0; j < sizeof(tails) / sizeof(tails[0]); j++) {
		double n = 0.0;

		for (size_t i = 0; i < N; i++)
			n += fabs(x[i]) > tails[j].limit;
		assert_near(n / N, tails[j].p, 5.0 * sqrt(tails[j].p / N));
	}
}

/* Moments about the mean of a gamma distribution of shape k: k, 2k, 3k^2 + 6k; the eighth moment is
   not needed where the fourth is left out. */
static void test_gamma(void **state)
{
	static const double shapes[] = { 0.5, 1.0, 1.5, 2.0, 4.5, 30.0, 500.0 };

	(void)state;
	for (size_t i = 0; i < sizeof(shapes) / sizeof(shapes[0]); i++) {
		const double k = shapes[i];
		const struct num_source s = { 3, num_stream("gamma"), NUM_FIRST };

		LEVEL(num_gammas)(&s, k, 0, N, words, scratch, x);
		moment(k, 1, 0.0, k);
		moment(k, 2, k, 3.0 * k * k + 6.0 * k);
		moment(k, 3, 2.0 * k, 15.0 * k * k * k + 130.0 * k * k + 120.0 * k);
	}
}

/* sin(pi r) of multiples of 1/64; the C library's sine is within one last digit. */
static void test_sines(void **state)
{
	double r[64];

	(void)state;
	for (int i = 0; i < 64; i++)
		r[i] = (i - 32) / 64.0;
	LEVEL(num_sines)(64, r);
	for (int i = 0; i < 64; i++)
		assert_near(r[i], sin(3.14159265358979324 * ((i - 32) / 64.0)), 3e-16);
}

static bool same(double a, double b)
{
	return memcmp(&a, &b, sizeof(a)) == 0 || (a != a && b != b);
}

static void test_functions(void **state)
{
	static const double odd[] = { 0.0,   -0.0,  -1.0,   1e-310, 5e-324, (double)INFINITY,
				      1e308, 710.0, -746.0, -740.0, 709.9,  (double)NAN };
	double y[128];

	(void)state;
	for (int round = 0; round < 2; round++) { /* the bulk of the range, then its ends as well */
		for (int i = 0; i < 128; i++)
			x[i] = round == 1 && i < 12 ? odd[i] : 0.37 + 5.1 * i;
		memcpy(y, x, sizeof(y));
		LEVEL(num_exps)(128, y);
		for (int i = 0; i < 128; i++)
			assert_true(same(y[i], num_exp(x[i])));
		memcpy(y, x, sizeof(y));
		LEVEL(num_lns)(128, y);
		for (int i = 0; i < 128; i++)
			assert_true(same(y[i], num_ln(x[i])));
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_known_answers), cmocka_unit_test(test_layout),
		cmocka_unit_test(test_uniform),       cmocka_unit_test(test_normal),
		cmocka_unit_test(test_gamma),         cmocka_unit_test(test_sines),
		cmocka_unit_test(test_functions),
	};

	return cmocka_run_group_tests_name("random", tests, NULL, NULL);
}
