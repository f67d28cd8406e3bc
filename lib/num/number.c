/* newlocale and uselocale, to be independent of the locale of the program */
#define _POSIX_C_SOURCE 200809L

#include "firn/number.h"

#include <locale.h>
#include <math.h>
#include <stdbool.h>
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

static size_t count_digits(const char *text, size_t length)
{
	size_t n = 0;

	while (n < length && text[n] >= '0' && text[n] <= '9')
		n++;
	return n;
}

static size_t exponent_length(const char *text, size_t length)
{
	size_t n = 1;

	if (length < 2 || (text[0] != 'e' && text[0] != 'E'))
		return 0;
	if (text[n] == '+' || text[n] == '-')
		n++;
	const size_t digits = count_digits(text + n, length - n);
	return digits > 0 ? n + digits : 0;
}

static size_t number_length(const char *text, size_t length)
{
	size_t n = 0, digits;

	if (n < length && (text[n] == '+' || text[n] == '-'))
		n++;
	digits = count_digits(text + n, length - n);
	n += digits;
	if (n < length && text[n] == '.') {
		const size_t decimals = count_digits(text + n + 1, length - n - 1);

		if (digits + decimals > 0)
			n += 1 + decimals;
		digits += decimals;
	}
	return digits > 0 ? n + exponent_length(text + n, length - n) : 0;
}

/*
 * Up to 2^53 and powers of ten up to 10^22 are doubles exactly, so that a product or quotient of
 * two is rounded once, and is the nearest double: most numbers of a file end here. False: too many
 * digits.
 */
static bool small_number(const char *text, size_t n, double *ret)
{
	static const double powers[] = { 1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
					 1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
					 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22 };
	const bool negative = text[0] == '-';
	uint64_t digits = 0;
	int exponent = 0, seen = 0;
	size_t i = text[0] == '-' || text[0] == '+';
	bool after_point = false;

	for (; i < n && text[i] != 'e' && text[i] != 'E'; i++) {
		if (text[i] == '.') {
			after_point = true;
			continue;
		}
		if (digits != 0 || text[i] != '0')
			seen++;
		if (seen > 18)
			return false;
		digits = 10 * digits + (uint64_t)(text[i] - '0');
		exponent -= after_point;
	}
	if (i < n) {
		const bool down = text[i + 1] == '-';
		int e = 0;

		for (i += 1 + (down || text[i + 1] == '+'); i < n; i++) {
			if (e > 1000)
				return false;
			e = 10 * e + (text[i] - '0');
		}
		exponent += down ? -e : e;
	}
	if (digits > (UINT64_C(1) << 53) || exponent < -22 || exponent > 22)
		return false;
	*ret =
	    exponent < 0 ? (double)digits / powers[-exponent] : (double)digits * powers[exponent];
	if (negative)
		*ret = -*ret;
	return true;
}

size_t firn_number_prefix(const char *text, size_t length, double *ret)
{
	char copy[LONGEST + 1];
	const size_t n = number_length(text, length < LONGEST ? length : LONGEST);
	locale_t before;

	if (n == 0)
		return 0;
	if (small_number(text, n, ret))
		return n;
	memcpy(copy, text, n);
	copy[n] = '\0';
	const locale_t c = enter_c_locale(&before);
	*ret = strtod(copy, NULL);
	leave_c_locale(c, before);
	return n;
}

enum firn_status firn_number_parse(const char *text, size_t length, double *ret)
{
	double x;

	if (length == 0 || firn_number_prefix(text, length, &x) != length || !isfinite(x))
		return FIRN_E_DOMAIN;
	*ret = x;
	return FIRN_OK;
}

size_t firn_number_print(double x, char ret[FIRN_NUMBER_SIZE])
{
	int length = 0;
	locale_t before;

	if (!isfinite(x))
		return (size_t)snprintf(ret, FIRN_NUMBER_SIZE, "%s",
					isnan(x) ? "nan"
					: x < 0  ? "-inf"
						 : "inf");
	const locale_t c = enter_c_locale(&before);
	for (int digits = 15; digits <= 17; digits++) {
		length = snprintf(ret, FIRN_NUMBER_SIZE, "%.*g", digits, x);
		if (strtod(ret, NULL) == x)
			break;
	}
	leave_c_locale(c, before);
	return (size_t)length;
}

size_t firn_number_print_fixed(double x, int places, char *ret, size_t size)
{
	locale_t before;
	const locale_t c = enter_c_locale(&before);
	const int length = snprintf(ret, size, "%.*f", places, x);

	leave_c_locale(c, before);
	return length > 0 ? (size_t)length : 0;
}
