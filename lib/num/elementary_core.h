/*
 * Exponential and logarithm on the bulk of the argument's range, for one value and for blocks: the
 * same arithmetic without branches, so the same bits. lib/num/elementary.h says what they are
 * worth.
 */
#ifndef LIB_NUM_ELEMENTARY_CORE_H
#define LIB_NUM_ELEMENTARY_CORE_H

#include <math.h>
#include <stdint.h>
#include <string.h>

/* ln 2 in two parts. The first has 32 bits, so that its product with an exponent is exact. */
#define LN2_HIGH 0x1.62e42feep-1
#define LN2_LOW  0x1.a39ef35793c76p-33

static inline uint64_t bits_of(double x)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof(bits));
	return bits;
}

static inline double double_of(uint64_t bits)
{
	double x;

	memcpy(&x, &bits, sizeof(x));
	return x;
}

/* x with the lower half of its digits cut off: products of two such are exact. */
static inline double upper_half(double x)
{
	return double_of(bits_of(x) & ~(uint64_t)0x7ffffff);
}

/* 2^k for a normal result. */
static inline double power_of_two(uint64_t k)
{
	return double_of((k + 1023) << 52);
}

/* e^r - 1 - r for |r| <= 0.347, by its series; what follows 1/13! is below 1e-17 of e^r. */
static inline double exp_tail(double r)
{
	const double c2 = 1.0 / 2, c3 = 1.0 / 6, c4 = 1.0 / 24, c5 = 1.0 / 120, c6 = 1.0 / 720,
		     c7 = 1.0 / 5040, c8 = 1.0 / 40320, c9 = 1.0 / 362880, c10 = 1.0 / 3628800,
		     c11 = 1.0 / 39916800, c12 = 1.0 / 479001600, c13 = 1.0 / 6227020800;
	double sum = c13;

	sum = sum * r + c12;
	sum = sum * r + c11;
	sum = sum * r + c10;
	sum = sum * r + c9;
	sum = sum * r + c8;
	sum = sum * r + c7;
	sum = sum * r + c6;
	sum = sum * r + c5;
	sum = sum * r + c4;
	sum = sum * r + c3;
	sum = sum * r + c2;
	return sum * r * r;
}

/* For -746 < x < 710. */
static inline double exp_core(double x)
{
	const double to_integer = 0x1.8p52; /* added and taken away: rounds to a whole number */

	/* e^x = 2^k e^r; r_high is exact, and what r loses in rounding is kept. */
	const double shifted = x * 0x1.71547652b82fep0 + to_integer, k = shifted - to_integer;
	const double r_high = x - k * LN2_HIGH, r_low = k * LN2_LOW;
	const double r = r_high - r_low, lost = (r_high - r) - r_low;
	const double one_r = 1.0 + r, lost_in_sum = r - (one_r - 1.0);
	const double y = one_r + (lost_in_sum + (lost + exp_tail(r)));

	/* In two factors, because 2^k itself may lie beyond the doubles; halved as a number above 0
	   because that is one instruction for many at once. */
	const uint64_t whole = bits_of(shifted) - bits_of(to_integer);
	const uint64_t half = ((whole + 2048) >> 1) - 1024;
	return y * power_of_two(half) * power_of_two(whole - half);
}

/* 2 (s^3/3 + s^5/5 + ...) = ln((1 + s)/(1 - s)) - 2s for |s| <= 0.172; what follows s^21/21 is
   below 1e-18 of it all. */
static inline double ln_tail(double s)
{
	const double c3 = 2.0 / 3, c5 = 2.0 / 5, c7 = 2.0 / 7, c9 = 2.0 / 9, c11 = 2.0 / 11,
		     c13 = 2.0 / 13, c15 = 2.0 / 15, c17 = 2.0 / 17, c19 = 2.0 / 19, c21 = 2.0 / 21;
	const double s2 = s * s;
	double sum = c21;

	sum = sum * s2 + c19;
	sum = sum * s2 + c17;
	sum = sum * s2 + c15;
	sum = sum * s2 + c13;
	sum = sum * s2 + c11;
	sum = sum * s2 + c9;
	sum = sum * s2 + c7;
	sum = sum * s2 + c5;
	sum = sum * s2 + c3;
	return sum * s2 * s;
}

/* For finite x from DBL_MIN up. */
static inline double ln_core(double x, double k_before)
{
	/* x = 2^k m with m from sqrt(1/2) to sqrt(2). */
	const uint64_t shifted = bits_of(x) - bits_of(0x1.6a09e667f3bcdp-1);
	const uint64_t exponent_bits = shifted & UINT64_C(0xfff0000000000000);
	const double m = double_of(bits_of(x) - exponent_bits);
	/* the exponent as a double: 2048 added, so that it is above 0 whatever its sign */
	const double exponent = double_of(((exponent_bits ^ UINT64_C(0x8000000000000000)) >> 52) |
					  UINT64_C(0x4330000000000000)) -
				(0x1p52 + 2048.0);
	const double k = exponent + k_before;

	/* ln m = ln((1 + s)/(1 - s)), s = (m - 1)/(m + 1) = s_high + s_low, s_high of half the
	   digits: the remainder m - 1 - s_high (m + 1) is then exact. */
	const double f = m - 1.0, d = m + 1.0, d_high = upper_half(d), d_low = (f - (d_high - 2.0));
	const double inverse = 1.0 / d;
	const double s_high = upper_half(f * inverse);
	const double s_low = ((f - s_high * d_high) - s_high * d_low) * inverse;
	const double tail = 2.0 * s_low + ln_tail(s_high + s_low);

	/* k ln 2 is 0 or larger than 2 s_high: what their sum loses is then found by two
	   differences. */
	const double high = k * LN2_HIGH, sum = high + 2.0 * s_high;
	const double lost = k == 0.0 ? 0.0 : 2.0 * s_high - (sum - high);
	return sum + (lost + (tail + k * LN2_LOW));
}

#endif
