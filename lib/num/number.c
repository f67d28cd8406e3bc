/* newlocale and uselocale, to be independent of the locale of the program */
#define _POSIX_C_SOURCE 200809L

#include "firn/number.h"

#include "lib/num/decimal.h"

#include <locale.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST = 400 };

/* The C library keeps its "C" locale ready: asking for it neither allocates nor fails. */
static locale_t enter_c_locale(locale_t *ret_before)
{
	const locale_t c = newlocale(LC_ALL_MASK, "C", (locale_t)0);

	*ret_before = uselocale(c);
	return c;
}

static void leave_c_locale(locale_t c, locale_t before)
{
	uselocale(before);
	freelocale(c);
}

/* ---- text to number ---- */

/* A number as it is written: digits 10^exponent, and more behind the digits when `cut`. */
struct decimal {
	uint64_t digits;
	int exponent;
	bool negative, cut;
};

enum { MOST_DIGITS = 19 }; /* that 64 bits hold, whichever they are */

/* Up to 2^53 and powers of ten up to 10^22 are doubles exactly, so that a product or quotient of
   two is rounded once, and is the nearest double: most numbers of a file end here. */
static const double exact_powers[] = { 1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
				       1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
				       1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22 };

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static inline const char *read_digits(const char *at, const char *end, uint64_t *digits)
{
	uint64_t value = *digits;

	for (; at < end; at++) {
		const unsigned digit = (unsigned char)*at - (unsigned)'0';

		if (digit > 9)
			break;
		value = 10 * value + digit;
	}
	*digits = value;
	return at;
}

#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
/* Eight digits as the bytes of a word, the first in the lowest: neighbours become pairs, and one
   multiplication each puts two of the four pairs, with their weights, into the upper half. */
static inline uint64_t value_of_word(uint64_t word)
{
	const uint64_t pair = UINT64_C(0x000000ff000000ff);

	word = 10 * word + (word >> 8);
	return ((word & pair) * (100 + (UINT64_C(1000000) << 32)) +
		(word >> 16 & pair) * (1 + (UINT64_C(10000) << 32))) >>
	       32;
}

/* The bytes of a word less '0', and a bit for the first that is no digit, if any is not. */
static inline uint64_t digits_of_word(const char *at, uint64_t *ret_others)
{
	uint64_t word;

	memcpy(&word, at, sizeof(word));
	word ^= UINT64_C(0x3030303030303030);
	/* the lowest bit set is that of the first byte above 9; those above may mislead */
	*ret_others = ((word + UINT64_C(0x7676767676767676)) | word) & UINT64_C(0x8080808080808080);
	return word;
}

/* The first digits by a word of eight, full or not: it most often holds all that there are. */
static inline const char *read_many_digits(const char *at, const char *end, uint64_t *digits)
{
	static const uint32_t powers[] = { 1, 10, 100, 1000, 10000, 100000, 1000000, 10000000 };
	uint64_t others;

	if (end - at < 8)
		return read_digits(at, end, digits);
	const uint64_t word = digits_of_word(at, &others);
	if (others == 0) {
		*digits = 100000000 * *digits + value_of_word(word);
		return read_digits(at + 8, end, digits);
	}
	const int n = __builtin_ctzll(others) / 8;
	if (n > 0) /* zeros in front of them */
		*digits = powers[n] * *digits + value_of_word(word << (64 - 8 * n));
	return at + n;
}
#else
static const char *read_many_digits(const char *at, const char *end, uint64_t *digits)
{
	return read_digits(at, end, digits);
}
#endif

/* Steps over an exponent, if one stands here, and adds it. Beyond 99999 nothing changes any more:
   a text has too few digits to make up for it. */
static inline const char *read_exponent(const char *at, const char *end, int *exponent)
{
	const char *first = at + 1;
	int value = 0;

	if (end - at < 2 || (*at != 'e' && *at != 'E'))
		return at;
	const bool down = *first == '-';
	if (down || *first == '+')
		first++;
	if (first == end || !is_digit(*first))
		return at;
	for (at = first; at < end && is_digit(*at); at++)
		value = value < 10000 ? 10 * value + (*at - '0') : 99999;
	*exponent += down ? -value : value;
	return at;
}

/* More digits than a word holds: the first of them that count, and whether more follow than zeros.
 */
static void read_first_digits(const char *at, const char *end, struct decimal *ret)
{
	bool after_point = false;
	int n = 0;

	ret->digits = 0;
	for (; at < end; at++) {
		if (*at == '.') {
			after_point = true;
		} else if (n < MOST_DIGITS) {
			ret->digits = 10 * ret->digits + (uint64_t)(*at - '0');
			n += ret->digits != 0;
			ret->exponent -= after_point;
		} else {
			ret->cut = ret->cut || *at != '0';
			ret->exponent += !after_point;
		}
	}
}

/* The number at the start of a text; returns its length, 0 when none stands there. */
static inline size_t read_decimal(const char *text, size_t length, struct decimal *ret)
{
	const char *end = text + length, *at = text, *first, *last;
	ptrdiff_t n_digits, n_decimals = 0;
	uint64_t digits = 0;

	*ret = (struct decimal){ .negative = length > 0 && text[0] == '-' };
	if (length > 0 && (*at == '-' || *at == '+'))
		at++;
	first = at;
	at = read_digits(at, end, &digits);
	n_digits = at - first;
	if (at < end && *at == '.') {
		last = read_many_digits(at + 1, end, &digits);
		n_decimals = last - at - 1;
		n_digits += n_decimals;
		at = last;
	}
	if (n_digits == 0)
		return 0;
	ret->digits = digits;
	ret->exponent = (int)-n_decimals;
	if (n_digits > MOST_DIGITS) {
		ret->exponent = 0;
		read_first_digits(first, at, ret);
	}
	return (size_t)(read_exponent(at, end, &ret->exponent) - text);
}

static inline bool nearest(uint64_t digits, int exponent, double *ret)
{
	if (digits > (UINT64_C(1) << 53) || exponent < -22 || exponent > 22)
		return num_decimal_nearest(digits, exponent, ret);
	*ret = exponent < 0 ? (double)(int64_t)digits / exact_powers[-exponent]
			    : (double)(int64_t)digits * exact_powers[exponent];
	return true;
}

/* The number lies from `digits` to `digits` + 1: when both ends round alike, so does it. */
static inline bool nearest_decimal(const struct decimal *d, double *ret)
{
	double above;

	if (!nearest(d->digits, d->exponent, ret))
		return false;
	if (d->cut && (!nearest(d->digits + 1, d->exponent, &above) || above != *ret))
		return false;
	if (d->negative)
		*ret = -*ret;
	return true;
}

static double by_c_library(const char *text, size_t n)
{
	char copy[LONGEST + 1];
	locale_t before;

	memcpy(copy, text, n);
	copy[n] = '\0';
	const locale_t c = enter_c_locale(&before);
	const double x = strtod(copy, NULL);
	leave_c_locale(c, before);
	return x;
}

size_t firn_number_prefix(const char *text, size_t length, double *ret)
{
	struct decimal decimal;
	double x;
	const size_t n = read_decimal(text, length < LONGEST ? length : LONGEST, &decimal);

	if (n == 0)
		return 0;
	*ret = nearest_decimal(&decimal, &x) ? x : by_c_library(text, n);
	return n;
}

enum firn_status firn_number_parse(const char *text, size_t length, double *ret)
{
	struct decimal decimal;
	double x;

	if (length == 0 || length > LONGEST || read_decimal(text, length, &decimal) != length)
		return FIRN_E_DOMAIN;
	if (!nearest_decimal(&decimal, &x))
		x = by_c_library(text, length);
	if (!isfinite(x))
		return FIRN_E_DOMAIN;
	*ret = x;
	return FIRN_OK;
}

/* At most 15 digits, with a point or without, and no sign or exponent, as most numbers of a table:
   a quotient of two doubles is the nearest. NULL: it is something else. */
static inline const char *read_plain(const char *text, const char *end, double *ret)
{
	enum { FEW = 15 };
	uint64_t digits = 0;
	const char *point = read_digits(text, end, &digits), *last = point;
	size_t n = (size_t)(point - text), decimals = 0;

	if (point < end && *point == '.') {
		last = read_many_digits(point + 1, end, &digits);
		decimals = (size_t)(last - point) - 1;
		n += decimals;
	}
	if (n - 1 >= FEW) /* or none */
		return NULL;
	*ret = (double)(int64_t)digits / exact_powers[decimals];
	return last;
}

/* Whatever it is; NULL when no finite number stands there. */
static const char *read_other(const char *text, const char *end, double *ret)
{
	const size_t n = firn_number_prefix(text, (size_t)(end - text), ret);

	return n > 0 && isfinite(*ret) ? text + n : NULL;
}

static inline bool is_comma(const char *at, const char *end)
{
	return at < end && *at == ',';
}

static inline bool ends_line(const char *at, const char *end)
{
	return at == end || *at == '\n' || *at == '\r';
}

size_t firn_number_list(const char *text, size_t length, size_t most, double *ret,
			size_t *ret_length)
{
	const char *at = text, *end = text + length, *last, *done = text;
	size_t n = 0;

	while (n < most) {
		last = read_plain(at, end, &ret[n]);
		if (last == NULL || (!is_comma(last, end) && !ends_line(last, end)))
			last = read_other(at, end, &ret[n]);
		if (last == NULL || (!is_comma(last, end) && !ends_line(last, end)))
			break;
		n++;
		done = last;
		if (!is_comma(last, end))
			break;
		at = last + 1;
	}
	*ret_length = (size_t)(done - text);
	return n;
}

/* ---- number to text ---- */

/* The last n digits of x, with leading zeros, as text. */
static void write_digits(uint64_t x, int n, char *ret)
{
	for (; n > 0; x /= 10)
		ret[--n] = (char)('0' + x % 10);
}

static int count_decimals(uint64_t x)
{
	int n = 1;

	for (; x >= 10000; x /= 10000)
		n += 4;
	for (; x >= 10; x /= 10)
		n++;
	return n;
}

/* As %g writes `n` digits of which the first is worth 10^exponent: without zeros at the end. */
static char *write_general(uint64_t digits, int n, int exponent, char *to)
{
	const bool scientific = exponent < -4 || exponent >= n;
	/* digits before the point, which may be no more than a zero */
	const int whole = scientific || exponent < 0 ? 1 : exponent + 1;
	char text[FIRN_NUMBER_SIZE];

	if (!scientific && exponent < 0)
		n -= exponent; /* zeros before the digits */
	write_digits(digits, n, text);
	while (n > whole && text[n - 1] == '0')
		n--;
	memcpy(to, text, (size_t)whole);
	to += whole;
	if (n > whole) {
		*to++ = '.';
		memcpy(to, text + whole, (size_t)(n - whole));
		to += n - whole;
	}
	if (scientific) {
		const int size = abs(exponent), places = size >= 100 ? 3 : 2;

		*to++ = 'e';
		*to++ = exponent < 0 ? '-' : '+';
		write_digits((uint64_t)size, places, to);
		to += places;
	}
	return to;
}

/* 15, 16 or 17 digits: the first that are read back as x. 0: not decided here. */
static size_t print_shortest(double x, char ret[FIRN_NUMBER_SIZE])
{
	uint64_t digits[3];
	int exponents[3];
	double again;
	char *to = ret;

	if (x == 0.0 || !num_decimal_digits(fabs(x), digits, exponents))
		return 0;
	for (int i = 0; i < 3; i++) {
		const int n = 15 + i;

		if (!nearest(digits[i], exponents[i] - n + 1, &again))
			return 0;
		if (again != fabs(x))
			continue;
		if (x < 0.0)
			*to++ = '-';
		to = write_general(digits[i], n, exponents[i], to);
		*to = '\0';
		return (size_t)(to - ret);
	}
	return 0;
}

size_t firn_number_print(double x, char ret[FIRN_NUMBER_SIZE])
{
	size_t length = 0;
	locale_t before;

	if (!isfinite(x))
		return (size_t)snprintf(ret, FIRN_NUMBER_SIZE, "%s",
					isnan(x) ? "nan"
					: x < 0  ? "-inf"
						 : "inf");
	length = print_shortest(x, ret);
	if (length > 0)
		return length;
	const locale_t c = enter_c_locale(&before);
	for (int digits = 15; digits <= 17; digits++) {
		length = (size_t)snprintf(ret, FIRN_NUMBER_SIZE, "%.*g", digits, x);
		if (strtod(ret, NULL) == x)
			break;
	}
	leave_c_locale(c, before);
	return length;
}

/* 0: not decided here, or no room. */
static size_t print_fixed(double x, int places, char *ret, size_t size)
{
	char text[FIRN_NUMBER_SIZE];
	uint64_t scaled;

	if (!isfinite(x) || places < 0 || places >= MOST_DIGITS ||
	    !num_decimal_scaled(x, places, &scaled))
		return 0;
	const int counted = count_decimals(scaled);
	const size_t n = (size_t)(counted > places ? counted : places + 1);
	const size_t whole = n - (size_t)places, sign = signbit(x) ? 1 : 0;
	const size_t length = sign + n + (places > 0);

	if (length >= size)
		return 0;
	write_digits(scaled, (int)n, text);
	if (sign)
		*ret = '-';
	memcpy(ret + sign, text, whole);
	if (places > 0) {
		ret[sign + whole] = '.';
		memcpy(ret + sign + whole + 1, text + whole, (size_t)places);
	}
	ret[length] = '\0';
	return length;
}

size_t firn_number_print_fixed(double x, int places, char *ret, size_t size)
{
	const size_t done = print_fixed(x, places, ret, size);
	locale_t before;

	if (done > 0)
		return done;
	const locale_t c = enter_c_locale(&before);
	const int length = snprintf(ret, size, "%.*f", places, x);

	leave_c_locale(c, before);
	return length > 0 ? (size_t)length : 0;
}

size_t firn_number_print_exponent(double x, int digits, char ret[FIRN_NUMBER_SIZE])
{
	locale_t before;
	const locale_t c = enter_c_locale(&before);
	const int length = snprintf(ret, FIRN_NUMBER_SIZE, "%.*e", digits - 1, x);

	leave_c_locale(c, before);
	return length > 0 ? (size_t)length : 0;
}
