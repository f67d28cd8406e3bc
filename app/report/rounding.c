#include "app/report/rounding.h"

#include "firn/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MINUS      "\xe2\x88\x92"
#define THIN_SPACE "\xe2\x80\x89"
#define EN_DASH    "\xe2\x80\x93"

enum { PLACES = 20 };

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

/* Minus and groups, from the ASCII text. */
static void dress(const char *plain, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	size_t n = 0;
	int decimals = -1; /* none yet: before the point */

	for (const char *p = plain; *p != '\0' && n + sizeof THIN_SPACE < REPORT_NUMBER_SIZE; p++) {
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
	ret[n] = '\0';
}

static int significant_digits(const char *text)
{
	int n = 0;

	for (; *text != '\0'; text++) {
		if (*text >= '0' && *text <= '9' && (n > 0 || *text != '0'))
			n++;
	}
	return n;
}

/* The decimals at which x > 0 shows this many digits: a carry (9.96 to 10.0) takes one away. */
static int places_of(double x, int digits)
{
	char text[REPORT_NUMBER_SIZE];
	int places = digits - 1 - (int)floor(log10(x));

	/* log10 may be off by its last bit: what is printed decides. */
	if (places > PLACES || places < 0)
		return places;
	print(x, places, text, sizeof text);
	return places - (significant_digits(text) - digits);
}

bool report_places(double u, int *ret_places)
{
	if (!isfinite(u) || u < 1e-19)
		return false;
	int places = places_of(u, 2);
	if (places < 0 && round_to_power(u, -places) >= 100.0 * pow(10.0, -places))
		places--;
	*ret_places = places;
	return true;
}

void report_fixed(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE];

	if (!isfinite(x)) {
		memcpy(ret, EN_DASH, sizeof EN_DASH);
		return;
	}
	print(x, places, text, sizeof text);
	dress(text, style, ret);
}

void report_at_most(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE];

	if (!isfinite(x)) {
		memcpy(ret, EN_DASH, sizeof EN_DASH);
		return;
	}
	print(x, places, text, sizeof text);
	if (strchr(text, '.') != NULL) {
		size_t n = strlen(text);

		while (text[n - 1] == '0')
			n--;
		text[text[n - 1] == '.' ? n - 1 : n] = '\0';
	}
	dress(text, style, ret);
}

/* The digits that an exact number needs: at most 15, for what arithmetic leaves is not shown. */
static void exact(double x, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	const int before = fabs(x) >= 1.0 ? (int)floor(log10(fabs(x))) + 1 : 1;

	report_at_most(x, before < 15 ? 15 - before : 0, style, ret);
}

void report_uncertainty(double u, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	int places;

	if (report_places(u, &places))
		report_fixed(u, places, style, ret);
	else
		report_fixed(u, 0, style, ret);
}

void report_pair(double x, double u, enum report_style style, char ret_x[REPORT_NUMBER_SIZE],
		 char ret_u[REPORT_NUMBER_SIZE])
{
	int places;

	report_uncertainty(u, style, ret_u);
	if (report_places(u, &places))
		report_fixed(x, places, style, ret_x);
	else
		exact(x, style, ret_x);
}

void report_concise(double x, double u, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE], digits[REPORT_NUMBER_SIZE];
	int places;

	report_pair(x, u, style, text, digits);
	if (!report_places(u, &places)) {
		memcpy(ret, text, sizeof text);
		return;
	}
	print(u, places, digits, sizeof digits);
	/* Below 1 the zeros before the first digit say nothing; from 1 on the point is kept. */
	const char *shown = u < 1.0 && digits[0] == '0' ? digits + strspn(digits, "0.") : digits;
	snprintf(ret, REPORT_NUMBER_SIZE, "%.50s(%.20s)", text, shown);
}

void report_scaled(double x, int exponent, int places, enum report_style style,
		   char ret[REPORT_NUMBER_SIZE])
{
	char text[REPORT_NUMBER_SIZE], moved[REPORT_NUMBER_SIZE];

	if (!isfinite(x)) {
		report_fixed(x, 0, style, ret);
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
	char mantissa[REPORT_NUMBER_SIZE], plain[FIRN_NUMBER_SIZE];

	if (x == 0.0 || !isfinite(x)) {
		report_fixed(x, 0, style, ret);
		return;
	}
	const int places = places_of(fabs(x), digits), exponent = digits - 1 - places;

	if (places > PLACES || fabs(x) >= 1e15) { /* beyond what can be rounded here */
		firn_number_print(x, plain);
		dress(plain, style & ~REPORT_GROUPS, ret);
	} else if (exponent >= -5) {
		report_fixed(x, places, style, ret);
	} else {
		report_scaled(x, exponent, digits - 1, style, mantissa);
		snprintf(ret, REPORT_NUMBER_SIZE, "%.60se-%02d", mantissa, -exponent);
	}
}

/* The numbers that a reader of the printed coefficients has. */
static void read_back(size_t n, const double *x, int places, double *ret)
{
	for (size_t i = 0; i < n; i++) {
		char text[REPORT_NUMBER_SIZE];

		print(x[i], places, text, sizeof text);
		firn_number_parse(text, strlen(text), &ret[i]);
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
