#include "lib/num/decimal.h"

#include "powers_of_ten.h"

#include <math.h>
#include <string.h>

__extension__ typedef unsigned __int128 wide;

enum { LAST_EXACT_POWER = 55 }; /* 5^55 is below 2^128 */

/* (bits 2^64 + below) 2^exponent; the true value is that, or above it by less than 2^exponent. */
struct product {
	wide bits;
	uint64_t below;
	int exponent;
	bool exact;
};

static int leading_zeros(uint64_t x)
{
	return __builtin_clzll(x);
}

static int length_of(wide x)
{
	return x >> 64 != 0 ? 128 - leading_zeros((uint64_t)(x >> 64))
			    : 64 - leading_zeros((uint64_t)x);
}

static int floor_log2_of_power(int q)
{
	/* 217706/2^16 is log2(10) closely enough for every power of the table, which checks it;
	   shifts of negative numbers are arithmetic with both compilers */
	return (q * 217706) >> 16;
}

/* x 10^q, x not 0, q within the table. `bits` has 127 or 128 bits. */
static struct product times_power(uint64_t x, int q)
{
	const int shift = leading_zeros(x);
	const wide high = (wide)(x << shift) * powers_of_ten[q - POWERS_LEAST].high;
	const wide low = (wide)(x << shift) * powers_of_ten[q - POWERS_LEAST].low;

	return (struct product){ .bits = high + (uint64_t)(low >> 64),
				 .below = (uint64_t)low,
				 .exponent = floor_log2_of_power(q) - shift - 63,
				 .exact = q >= 0 && q <= LAST_EXACT_POWER };
}

/* The product in units of its bit `drop` (1 to 128), to the nearest integer, ties to even. */
static bool round_product(const struct product *p, int drop, uint64_t *ret)
{
	const wide one = 1, half = one << (drop - 1);
	const wide whole = drop < 128 ? p->bits >> drop : 0;
	const wide rest = drop < 128 ? p->bits & ((one << drop) - 1) : p->bits;
	bool up = rest > half;

	if (rest == half - 1 && !p->exact)
		return false;
	if (rest == half) /* above it, but for a tie that is exact */
		up = p->below != 0 || !p->exact || (whole & 1) != 0;
	*ret = (uint64_t)whole + up;
	return true;
}

bool num_decimal_nearest(uint64_t digits, int exponent, double *ret)
{
	enum { BITS = 53, LEAST_EXPONENT = -1074 };
	const uint64_t infinite = UINT64_C(0x7ff) << 52;
	uint64_t mantissa, bits = 0;

	if (digits != 0 && exponent > 308) {
		bits = infinite;
	} else if (digits != 0 && exponent >= POWERS_LEAST) {
		const struct product p = times_power(digits, exponent);
		int drop = length_of(p.bits) - BITS;

		if (p.exponent + drop < LEAST_EXPONENT)
			drop = LEAST_EXPONENT - p.exponent;
		if (drop <= 128) { /* beyond, it is less than half of the least */
			if (!round_product(&p, drop, &mantissa))
				return false;
			/* the leading bit of a mantissa adds the one by which exponents are larger
			   than those of subnormals; so does one that rounding carried over */
			bits = ((uint64_t)(p.exponent + drop - LEAST_EXPONENT) << 52) + mantissa;
			if (bits > infinite)
				bits = infinite;
		}
	}
	memcpy(ret, &bits, sizeof(*ret));
	return true;
}

/* |x| = mantissa 2^exponent */
static uint64_t mantissa_of(double x, int *ret_exponent)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof(bits));
	const int biased = (int)(bits >> 52 & 0x7ff);
	const uint64_t fraction = bits & ((UINT64_C(1) << 52) - 1);

	*ret_exponent = (biased > 0 ? biased : 1) - 1075;
	return biased > 0 ? fraction | UINT64_C(1) << 52 : fraction;
}

static const uint64_t tens[] = {
	UINT64_C(1),
	UINT64_C(10),
	UINT64_C(100),
	UINT64_C(1000),
	UINT64_C(10000),
	UINT64_C(100000),
	UINT64_C(1000000),
	UINT64_C(10000000),
	UINT64_C(100000000),
	UINT64_C(1000000000),
	UINT64_C(10000000000),
	UINT64_C(100000000000),
	UINT64_C(1000000000000),
	UINT64_C(10000000000000),
	UINT64_C(100000000000000),
	UINT64_C(1000000000000000),
	UINT64_C(10000000000000000),
	UINT64_C(100000000000000000),
	UINT64_C(1000000000000000000),
	UINT64_C(10000000000000000000),
};

static uint64_t whole_of(const struct product *p)
{
	return (uint64_t)(p->bits >> -p->exponent);
}

/* x as a product of 17 digits before the point, and the power of its first digit. */
static bool with_17_digits(double x, struct product *ret, int *ret_exponent10)
{
	int exponent2;
	const uint64_t mantissa = mantissa_of(x, &exponent2);
	const int log2 = 63 - leading_zeros(mantissa) + exponent2;
	/* log10(2) 2^32: right for 2^log2, so right or one too small for x */
	int exponent10 = (int)((log2 * INT64_C(1292913986)) >> 32);

	for (int tries = 0; tries < 2; tries++, exponent10++) {
		if (16 - exponent10 > POWERS_MOST)
			return false;
		*ret = times_power(mantissa, 16 - exponent10);
		ret->exponent += exponent2; /* -80 to -60: 127 or 128 bits, of which 53 to 60 */
		*ret_exponent10 = exponent10;
		if (whole_of(ret) < tens[17])
			return whole_of(ret) >= tens[16];
	}
	return false;
}

/* The product without its last `less` (0 to 2) digits before the point. */
static bool round_digits(const struct product *p, int less, uint64_t *ret)
{
	const uint64_t unit = tens[less], half = unit / 2;
	const wide fraction = p->bits & (((wide)1 << -p->exponent) - 1);
	const uint64_t quotient = whole_of(p) / unit, remainder = whole_of(p) % unit;

	if (less == 0)
		return round_product(p, -p->exponent, ret);
	if (fraction == ((wide)1 << -p->exponent) - 1 && !p->exact)
		return false; /* the true value may have the next integer */
	const bool tie = remainder == half && fraction == 0 && p->below == 0 && p->exact;
	*ret = quotient + (tie ? quotient & 1 : remainder >= half);
	return true;
}

bool num_decimal_digits(double x, uint64_t ret_digits[3], int ret_exponent[3])
{
	struct product p;
	int exponent10;

	if (!with_17_digits(x, &p, &exponent10))
		return false;
	for (int i = 0; i < 3; i++) {
		if (!round_digits(&p, 2 - i, &ret_digits[i]))
			return false;
		ret_exponent[i] = exponent10;
		if (ret_digits[i] == tens[15 + i]) { /* 9.99... became 10 */
			ret_digits[i] /= 10;
			ret_exponent[i]++;
		}
	}
	return true;
}

bool num_decimal_scaled(double x, int places, uint64_t *ret)
{
	int exponent;
	struct product p = { .exact = true };

	p.bits = (wide)mantissa_of(x, &exponent) * tens[places]; /* below 2^117 */
	if (exponent < -128) {
		*ret = 0; /* less than half */
		return true;
	}
	if (exponent >= 0 || (exponent > -64 && p.bits >> (63 - exponent) != 0))
		return false;
	return round_product(&p, -exponent, ret);
}
