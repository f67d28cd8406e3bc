#include "app/store/columns.h"

#include "app/base/time.h"

#include <math.h>
#include <string.h>

/* ---- writing: a column is written into room for the most that it may take ---- */

#define MOST_OF_A_NUMBER 10 /* bytes */

static uint8_t *room(GByteArray *to, size_t most)
{
	const guint before = to->len;

	g_byte_array_set_size(to, before + (guint)most);
	return to->data + before;
}

static void end_at(GByteArray *to, const uint8_t *at)
{
	g_byte_array_set_size(to, (guint)(at - to->data));
}

static uint8_t *write_number(uint8_t *at, uint64_t x)
{
	while (x >= 0x80) {
		*at++ = (uint8_t)(x | 0x80);
		x >>= 7;
	}
	*at++ = (uint8_t)x;
	return at;
}

static uint8_t *write_signed(uint8_t *at, int64_t x)
{
	return write_number(at, ((uint64_t)x << 1) ^ (uint64_t)(x >> 63));
}

static uint8_t *write_word(uint8_t *at, uint64_t x)
{
	const uint64_t word = GUINT64_TO_LE(x);

	memcpy(at, &word, sizeof word);
	return at + sizeof word;
}

void column_put_byte(GByteArray *to, uint8_t byte)
{
	g_byte_array_append(to, &byte, 1);
}

void column_put_number(GByteArray *to, uint64_t x)
{
	end_at(to, write_number(room(to, MOST_OF_A_NUMBER), x));
}

uint64_t column_bits(double x)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof bits);
	return bits;
}

/* ---- reading ---- */

uint8_t column_get_byte(struct column_reader *r)
{
	if (r->at < r->end)
		return *r->at++;
	r->is_short = true;
	return 0;
}

uint64_t column_get_number(struct column_reader *r)
{
	uint64_t x = 0;

	for (int shift = 0; shift < 64; shift += 7) {
		const uint8_t byte = column_get_byte(r);

		x |= (uint64_t)(byte & 0x7f) << shift;
		if (byte < 0x80)
			return x;
	}
	r->is_short = true; /* no number of ours is as long */
	return 0;
}

static int64_t get_signed(struct column_reader *r)
{
	const uint64_t x = column_get_number(r);

	return (int64_t)(x >> 1) ^ -(int64_t)(x & 1);
}

uint64_t column_get_word(struct column_reader *r)
{
	uint64_t word = 0;

	if ((size_t)(r->end - r->at) < sizeof word) {
		r->is_short = true;
		return 0;
	}
	memcpy(&word, r->at, sizeof word);
	r->at += sizeof word;
	return GUINT64_FROM_LE(word);
}

static double get_double(struct column_reader *r)
{
	const uint64_t bits = column_get_word(r);
	double x;

	memcpy(&x, &bits, sizeof x);
	return x;
}

/* ---- times ---- */

void column_put_times(GByteArray *to, const int64_t *time_us, size_t n)
{
	size_t given = 0;
	uint64_t last = 0, step = 0; /* unsigned: differences wrap and come back */
	uint8_t *at = room(to, 1 + n * MOST_OF_A_NUMBER);

	for (size_t i = 0; i < n; i++)
		given += time_us[i] != BASE_NO_TIME;
	*at++ = given == 0 ? 0 : given == n ? 1 : 2;
	for (size_t i = 0; i < n && given > 0; i++) {
		const uint64_t time = (uint64_t)time_us[i];

		if (given < n) {
			at = write_word(at, time);
			continue;
		}
		at = write_signed(at, (int64_t)(time - last - step));
		step = i == 0 ? 0 : time - last;
		last = time;
	}
	end_at(to, at);
}

void column_get_times(struct column_reader *r, int64_t *ret_us, size_t n)
{
	const uint8_t form = column_get_byte(r);
	uint64_t last = 0, step = 0;

	for (size_t i = 0; i < n; i++) {
		if (form == 0) {
			ret_us[i] = BASE_NO_TIME;
		} else if (form == 2) {
			ret_us[i] = (int64_t)column_get_word(r);
		} else {
			const uint64_t time = last + step + (uint64_t)get_signed(r);

			step = i == 0 ? 0 : time - last;
			last = time;
			ret_us[i] = (int64_t)time;
		}
	}
}

/* ---- doubles ---- */

#define MOST_DECIMALS 15
static const double powers[MOST_DECIMALS + 1] = { 1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
						  1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15 };

/* m with m / 10^e == x to the bit. Both are exact as doubles, so that the quotient is the double
   nearest to the decimal: what reading its digits gives. */
static bool as_decimal(double x, int e, int64_t *ret)
{
	const double m = nearbyint(x * powers[e]);

	if (!(fabs(m) < 0x1p53))
		return false;
	*ret = (int64_t)m; /* -0 has no whole number */
	return column_bits((double)*ret / powers[e]) == column_bits(x);
}

/* Decimals that all values of a column need, and their m; -1: they are no short decimals. With more
   decimals an early large value may not fit, so that each e is tried on all of them. */
static int decimals_of(const double *x, size_t n, int64_t *ret)
{
	size_t fits = 0;
	int e = 0;

	while (fits < n)
		if (as_decimal(x[fits], e, &ret[fits]))
			fits++;
		else if (++e <= MOST_DECIMALS)
			fits = 0;
		else
			return -1;
	return e;
}

void column_put_doubles(GByteArray *to, const double *x, size_t n)
{
	g_autofree int64_t *m = g_new(int64_t, n);
	uint8_t *at = room(to, 2 + n * MOST_OF_A_NUMBER);
	size_t given = 0;
	int64_t last = 0;
	int e;

	for (size_t i = 0; i < n; i++)
		given += !isnan(x[i]);
	e = given == n ? decimals_of(x, n, m) : -1;
	*at++ = given == 0 ? 0 : e < 0 ? 2 : 1;
	if (e >= 0)
		*at++ = (uint8_t)e;
	for (size_t i = 0; i < n && given > 0; i++) {
		if (e < 0) {
			at = write_word(at, column_bits(x[i]));
			continue;
		}
		at = write_signed(at, m[i] - last);
		last = m[i];
	}
	end_at(to, at);
}

void column_get_doubles(struct column_reader *r, double *ret, size_t n)
{
	const uint8_t form = column_get_byte(r);
	const uint8_t e = form == 1 ? column_get_byte(r) : 0;
	uint64_t m = 0;

	if (form > 2 || e > MOST_DECIMALS)
		r->is_short = true;
	for (size_t i = 0; i < n && !r->is_short; i++) {
		if (form == 0) {
			ret[i] = NAN;
		} else if (form == 2) {
			ret[i] = get_double(r);
		} else {
			m += (uint64_t)get_signed(r);
			ret[i] = (double)(int64_t)m / powers[e];
		}
	}
}

void column_put_words(GByteArray *to, const double *x, size_t n)
{
	uint8_t *at = room(to, n * sizeof *x);

	for (size_t i = 0; i < n; i++)
		at = write_word(at, column_bits(x[i]));
}

void column_get_words(struct column_reader *r, double *ret, size_t n)
{
	for (size_t i = 0; i < n; i++)
		ret[i] = get_double(r);
}
