/* newlocale and uselocale, to be independent of the locale of the program */
#define _POSIX_C_SOURCE 200809L

#include "firn/number.h"

#include <locale.h>
#include <math.h>
#include <stdbool.h>
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

size_t firn_number_prefix(const char *text, size_t length, double *ret)
{
	char copy[LONGEST + 1];
	const size_t n = number_length(text, length < LONGEST ? length : LONGEST);
	locale_t before;

	if (n == 0)
		return 0;
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
