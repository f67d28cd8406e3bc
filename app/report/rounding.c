#include "app/report/rounding.h"

#include "firn/number.h"

#include <glib.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MINUS      "\xe2\x88\x92"
#define THIN_SPACE "\xe2\x80\x89"
#define EN_DASH    "\xe2\x80\x93"

enum {
	PLACES = 20,
	EXACT_DIGITS = 15, /* what arithmetic leaves behind them is not shown */
	ALL_DIGITS = 17,   /* of any double */
	LEAST_FIXED = -5   /* the exponent from which on a number by itself has no e */
};

/* Beyond these no text with a fixed point tells what a number is. */
#define MOST_FIXED    1e15
#define LEAST_FIXED_U 1e-19

/* Nearest multiple of 10^power, half to even; fmod is exact, so nothing is rounded before. */
static double round_to_power(double x, int power)
{
	const double step = pow(10.0, power), low = fabs(x) - fmod(fabs(x), step);
	const double rest = fmod(fabs(x), step);
	const bool odd = fmod(low / step, 2.0) >= 1.0;

	return copysign(rest > step / 2.0 || (rest >= step / 2.0 && odd) ? low + step : low, x);
}

/* ASCII: sign, digits, point. */
static void print(double x, int places, char *ret, size_t size)
{
	if (places < 0)
		firn_number_print_fixed(round_to_power(x, -places), 0, ret, size);
	else
		firn_number_print_fixed(x, places, ret, size);
	if (ret[0] == '-' && strspn(ret + 1, "0.") == strlen(ret + 1))
		memmove(ret, ret + 1, strlen(ret));
}

/* Minus and groups, from the ASCII text; an exponent stays as computers write it. */
static void dress(const char *plain, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	const char *exponent = plain + strcspn(plain, "e");
	size_t n = 0;
	int decimals = -1; /* none yet: before the point */

	for (const char *p = plain; p < exponent && n + sizeof THIN_SPACE < REPORT_NUMBER_SIZE;
	     p++) {
		const char *piece = NULL;

		if ((style & REPORT_GROUPS) != 0 && decimals > 0 && decimals % 3 == 0)
			n += (size_t)snprintf(ret + n, REPORT_NUMBER_SIZE - n, "%s", THIN_SPACE);
		if (*p == '-' && (style & REPORT_MINUS) != 0)
			piece = MINUS;
		if (*p == '.' || decimals >= 0)
			decimals++;
		if (piece != NULL)
			n += (size_t)snprintf(ret + n, REPORT_NUMBER_SIZE - n, "%s", piece);
		else
			ret[n++] = *p;
	}
	snprintf(ret + n, REPORT_NUMBER_SIZE - n, "%s", exponent);
}

/* The exponent of a text such as 1.2e-23. */
static int exponent_of(const char *text)
{
	return (int)strtol(strchr(text, 'e') + 1, NULL, 10);
}

static int decimal_exponent(double x)
{
	char text[FIRN_NUMBER_SIZE];

	firn_number_print_exponent(x, ALL_DIGITS, text);
	return exponent_of(text);
}

/* With an exponent and as many digits as x has, at most so many (EXACT_DIGITS or more). */
static void print_exact(double x, int most, char ret[FIRN_NUMBER_SIZE])
{
	double back = 0.0;

	for (int digits = EXACT_DIGITS; digits <= most && back != x; digits++)
		firn_number_prefix(ret, firn_number_print_exponent(x, digits, ret), &back);

	char *exponent = strchr(ret, 'e'), *end = exponent;
	while (end[-1] == '0')
		end--;
	if (end[-1] == '.')
		end--;
	memmove(end, exponent, strlen(exponent) + 1);
}

/* Digits of |x| down to 10^place, without a point; returns the exponent of the first of them. */
static int digits_down_to(double x, int place, int n, char *ret)
{
	char text[FIRN_NUMBER_SIZE];
	double half = 0.0;

	if (n <= 0) {
		snprintf(text, sizeof text, "5e%d", place - 1);
		firn_number_prefix(text, strlen(text), &half);
		strcpy(ret, fabs(x) > half ? "1" : "0");
		return place;
	}
	firn_number_print_exponent(fabs(x), n, text);
	for (const char *p = text; *p != 'e'; p++) {
		if (*p != '.')
			*ret++ = *p;
	}
	if (exponent_of(text) - n + 1 > place) /* 9.96 became 10.0 */
		*ret++ = '0';
	*ret = '\0';
	return exponent_of(text);
}

/* Whether a double holds digits of x so far down. */
static bool reaches(double x, int place)
{
	return x == 0.0 || decimal_exponent(x) - place < ALL_DIGITS;
}

/* x to 10^place with an exponent of place + 1 or more, so that it ends where a u of two digits
   does: 1.3806e-23 or 0.3e-23. What a double doesn't hold is not made up. */
static void print_down_to(double x, int place, char ret[FIRN_NUMBER_SIZE])
{
	char digits[FIRN_NUMBER_SIZE] = "00";
	int first = place;

	if (!reaches(x, place)) {
		print_exact(x, ALL_DIGITS, ret);
		return;
	}
	if (x != 0.0)
		first = digits_down_to(x, place, decimal_exponent(x) - place + 1, digits + 1);
	const char *shown = first == place ? digits : digits + 1;
	const bool zero = strspn(digits, "0") == strlen(digits);

	snprintf(ret, FIRN_NUMBER_SIZE, "%s%c.%.16se%+03d", x < 0.0 && !zero ? "-" : "", shown[0],
		 shown + 1, MAX(first, place + 1));
}

/* Too large or too fine for a fixed point. */
static bool needs_exponent(double x, double u)
{
	return isfinite(x) && isfinite(u) && u > 0.0 &&
	       (fmax(fabs(x), u) >= MOST_FIXED || u < LEAST_FIXED_U);
}

bool report_places(double u, int *ret_places)
{
	char text[FIRN_NUMBER_SIZE];

	if (!(u >= LEAST_FIXED_U && u < MOST_FIXED))
		return false;
	firn_number_print_exponent(u, 2, text);
	*ret_places = 1 - exponent_of(text);
	return true;
}

/* What no fixed point shows; false for all others. */
static bool show_unusual(double x, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];

	if (!isfinite(x)) {
		memcpy(ret, EN_DASH, sizeof EN_DASH);
		return true;
	}
	if (fabs(x) < MOST_FIXED)
		return false;
	print_exact(x, EXACT_DIGITS, text);
	dress(text, style, ret);
	return true;
}

void report_fixed(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE];

	if (show_unusual(x, style, ret))
		return;
	print(x, places, text, sizeof text);
	dress(text, style, ret);
}

void report_at_most(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE];

	if (show_unusual(x, style, ret))
		return;
	print(x, places, text, sizeof text);
	if (strchr(text, '.') != NULL) {
		size_t n = strlen(text);

		while (text[n - 1] == '0')
			n--;
		text[text[n - 1] == '.' ? n - 1 : n] = '\0';
	}
	dress(text, style, ret);
}

/* The digits that an exact number needs. */
static void exact(double x, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];
	const int exponent = x == 0.0 || !isfinite(x) ? 0 : decimal_exponent(x);

	if (exponent >= LEAST_FIXED) {
		report_at_most(x, MAX(EXACT_DIGITS - 1 - exponent, 0), style, ret);
		return;
	}
	print_exact(x, EXACT_DIGITS, text);
	dress(text, style, ret);
}

void report_uncertainty(double u, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];
	int places = 0;

	if (needs_exponent(0.0, u)) {
		firn_number_print_exponent(u, 2, text);
		dress(text, style, ret);
		return;
	}
	report_places(u, &places);
	report_fixed(u, places, style, ret);
}

void report_pair(double x, double u, enum report_style style, char ret_x[REPORT_NUMBER_SIZE],
		 char ret_u[REPORT_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];
	int places;

	if (needs_exponent(x, u)) {
		firn_number_print_exponent(u, 2, text);
		dress(text, style, ret_u);
		print_down_to(x, exponent_of(text) - 1, text);
		dress(text, style, ret_x);
		return;
	}
	report_uncertainty(u, style, ret_u);
	if (report_places(u, &places))
		report_fixed(x, places, style, ret_x);
	else
		exact(x, style, ret_x);
}

/* 1.38060(12)e-23; 5.0(1.5)e-23 where u has the point too. */
static void concise_with_exponent(double x, double u, enum report_style style,
				  char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE], digits[REPORT_NUMBER_SIZE];

	report_pair(x, u, style, text, digits);
	const char *exponent = strchr(text, 'e');
	const int places = exponent_of(text) - exponent_of(digits);

	if (!reaches(x, exponent_of(digits) - 1)) {
		snprintf(ret, REPORT_NUMBER_SIZE, "%.50s(%.20s)", text, digits);
		return;
	}
	if (places > 0) /* 1.2e-29: 12 */
		digits[1] = digits[2];
	snprintf(ret, REPORT_NUMBER_SIZE, "%.*s(%.*s)%s", (int)(exponent - text), text,
		 places > 0 ? 2 : 3, digits, exponent);
}

void report_concise(double x, double u, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE], digits[REPORT_NUMBER_SIZE];
	int places;

	if (needs_exponent(x, u)) {
		concise_with_exponent(x, u, style, ret);
		return;
	}
	report_pair(x, u, style, text, digits);
	if (!report_places(u, &places)) {
		memcpy(ret, text, sizeof text);
		return;
	}
	print(u, places, digits, sizeof digits);
	/* Below 1 the zeros before the first digit say nothing; from 1 on the point is kept. */
	const char *shown = u < 1.0 && digits[0] == '0' ? digits + strspn(digits, "0.") : digits;
	snprintf(ret, REPORT_NUMBER_SIZE, "%.57s(%.20s)", text, shown);
}

void report_scaled(double x, int exponent, int places, enum report_style style,
		   char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE], moved[REPORT_NUMBER_SIZE];

	if (!isfinite(x)) {
		report_fixed(x, 0, style, ret);
		return;
	}
	if (fabs(x) >= MOST_FIXED) {
		print_exact(x, EXACT_DIGITS, text);
		sprintf(strchr(text, 'e'), "e%+03d", exponent_of(text) - exponent);
		dress(text, style, ret);
		return;
	}
	print(x, places - exponent, text, sizeof text);
	const char *point = strchr(text, '.'), *digits = text + (text[0] == '-');
	if (point == NULL || exponent == 0) {
		dress(text, style, ret);
		return;
	}
	/* Digits without the point, the new one `places` from their end, zeros in front dropped. */
	char all[REPORT_NUMBER_SIZE];
	const int n = snprintf(all, sizeof all, "%.*s%s", (int)(point - digits), digits, point + 1);
	int first = 0;
	while (first < n - places - 1 && all[first] == '0')
		first++;
	snprintf(moved, sizeof moved, "%s%.*s%s%s", text[0] == '-' ? "-" : "", n - places - first,
		 all + first, places > 0 ? "." : "", all + n - places);
	dress(moved, style, ret);
}

void report_significant(double x, int digits, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];

	if (x == 0.0 || !isfinite(x)) {
		report_fixed(x, 0, style, ret);
		return;
	}
	firn_number_print_exponent(x, digits, text);
	const int exponent = exponent_of(text);

	if (exponent >= LEAST_FIXED && exponent < EXACT_DIGITS)
		report_fixed(x, digits - 1 - exponent, style, ret);
	else
		dress(text, style, ret);
}

/* The numbers that a reader of the printed coefficients has. */
static void read_back(size_t n, const double *x, int places, double *ret)
{
	for (size_t i = 0; i < n; i++) {
		char text[REPORT_NUMBER_SIZE];

		print(x[i], places, text, sizeof text);
		if (firn_number_parse(text, strlen(text), &ret[i]) < 0)
			ret[i] = (double)NAN; /* no number of places will do */
	}
}

enum { LEAST_PLACES = 6, MOST_PLACES = 18, MOST_COEFFICIENTS = 16 };

bool report_coefficient_places(size_t n, const double *coefficients, size_t n_t,
			       const double *t90_K, const double *dt_dw_K, double limit_K,
			       report_w_at w_at, const void *subrange, int *ret_places)
{
	double printed[MOST_COEFFICIENTS];

	if (n > MOST_COEFFICIENTS)
		return false;
	for (int places = LEAST_PLACES; places <= MOST_PLACES; places++) {
		bool close = true;

		read_back(n, coefficients, places, printed);
		for (size_t i = 0; i < n_t && close; i++) {
			double x, y;

			if (!w_at(subrange, coefficients, t90_K[i], &x))
				return false;
			/* with few decimals there may be no W at all: more are needed */
			close = w_at(subrange, printed, t90_K[i], &y) &&
				fabs(y - x) * dt_dw_K[i] < limit_K;
		}
		if (close) {
			*ret_places = places;
			return true;
		}
	}
	return false;
}
