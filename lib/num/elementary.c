#include "lib/num/elementary.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

/* ln 2 in two parts. The first has 32 bits, so that its product with an exponent is exact. */
#define LN2_HIGH 0x1.62e42feep-1
#define LN2_LOW  0x1.a39ef35793c76p-33

static uint64_t bits_of(double x)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof(bits));
	return bits;
}

static double double_of(uint64_t bits)
{
	double x;

	memcpy(&x, &bits, sizeof(x));
	return x;
}

/* x with the lower half of its digits cut off: products of two such are exact. */
static double upper_half(double x)
{
	return double_of(bits_of(x) & ~(uint64_t)0x7ffffff);
}

/* 2^k for a normal result. */
static double power_of_two(int64_t k)
{
	return double_of((uint64_t)(k + 1023) << 52);
}

/* e^r - 1 - r for |r| <= 0.347, by its series; what follows 1/13! is below 1e-17 of e^r. */
static double exp_tail(double r)
{
	static const double c[] = {
		1.0 / 2,       1.0 / 6,        1.0 / 24,        1.0 / 120,
		1.0 / 720,     1.0 / 5040,     1.0 / 40320,     1.0 / 362880,
		1.0 / 3628800, 1.0 / 39916800, 1.0 / 479001600, 1.0 / 6227020800
	};
	double sum = c[11];

	for (int i = 10; i >= 0; i--)
		sum = sum * r + c[i];
	return sum * r * r;
}

double num_exp(double x)
{
	const double to_integer = 0x1.8p52; /* added and taken away: rounds to a whole number */

	if (!(x > -746.0 && x < 710.0))
		return x <= -746.0 ? 0.0 : x * INFINITY; /* NaN stays NaN */

	/* e^x = 2^k e^r; r_high is exact, and what r loses in rounding is kept. */
	const double k = (x * 0x1.71547652b82fep0 + to_integer) - to_integer;
	const double r_high = x - k * LN2_HIGH, r_low = k * LN2_LOW;
	const double r = r_high - r_low, lost = (r_high - r) - r_low;
	const double one_r = 1.0 + r, lost_in_sum = r - (one_r - 1.0);
	const double y = one_r + (lost_in_sum + (lost + exp_tail(r)));

	/* In two factors, because 2^k itself may lie beyond the doubles. */
	const int64_t whole = (int64_t)k, half = whole / 2;
	return y * power_of_two(half) * power_of_two(whole - half);
}

/* 2 (s^3/3 + s^5/5 + ...) = ln((1 + s)/(1 - s)) - 2s for |s| <= 0.172; what follows s^21/21 is
   below 1e-18 of it all. */
static double ln_tail(double s)
{
	static const double c[] = { 2.0 / 3,  2.0 / 5,  2.0 / 7,  2.0 / 9,  2.0 / 11,
				    2.0 / 13, 2.0 / 15, 2.0 / 17, 2.0 / 19, 2.0 / 21 };
	const double s2 = s * s;
	double sum = c[9];

	for (int i = 8; i >= 0; i--)
		sum = sum * s2 + c[i];
	return sum * s2 * s;
}

double num_ln(double x)
{
	int64_t k = 0;

	if (!(x > 0.0) || x > DBL_MAX)
		return x == 0.0 ? -INFINITY : (x > 0.0 ? x : NAN);
	if (x < DBL_MIN) { /* subnormal */
		x *= 0x1p54;
		k = -54;
	}

	/* x = 2^k m with m from sqrt(1/2) to sqrt(2). */
	const uint64_t shifted = bits_of(x) - bits_of(0x1.6a09e667f3bcdp-1);
	const int64_t exponent = (int64_t)(shifted >> 52) - (shifted >> 63 ? 4096 : 0);
	const double m = double_of(bits_of(x) - ((uint64_t)exponent << 52));
	k += exponent;

	/* ln m = ln((1 + s)/(1 - s)), s = (m - 1)/(m + 1) = s_high + s_low, s_high of half the
	   digits: the remainder m - 1 - s_high (m + 1) is then exact. */
	const double f = m - 1.0, d = m + 1.0, d_high = upper_half(d), d_low = (f - (d_high - 2.0));
	const double inverse = 1.0 / d;
	const double s_high = upper_half(f * inverse);
	const double s_low = ((f - s_high * d_high) - s_high * d_low) * inverse;
	const double tail = 2.0 * s_low + ln_tail(s_high + s_low);

	/* k ln 2 is 0 or larger than 2 s_high: what their sum loses is then found by two
	 * differences. */
	const double high = (double)k * LN2_HIGH, sum = high + 2.0 * s_high;
	const double lost = k == 0 ? 0.0 : 2.0 * s_high - (sum - high);
	return sum + (lost + (tail + (double)k * LN2_LOW));
}
