/*
 * The form of a block. Numbers of variable length: seven bits a byte, lowest first, the eighth bit
 * says that another byte follows; signed ones with the sign in the lowest bit.
 *
 *   1 byte      form of the block, 1
 *   number      n, how many readings
 *   times       a byte: 0 none is given, 1 all are: signed differences of the differences of
 *               microseconds; 2 mixed: each in 8 bytes
 *   current_mA, value, bath_C
 *               a byte: 0 none is given; 1 decimals: a byte e, then signed differences of whole
 *               numbers m, the double is m / 10^e; 2: each in 8 bytes
 *   quantities  a byte: 0 all ratio, 1 all ohm, 2 mixed: a byte each
 *   flags       number of flags; for each, the reading's index after the last one's, the length and
 *               the bytes of its text
 *
 * All multi-byte words have the lowest byte first.
 */
#include "app/store/block.h"

#include "app/base/time.h"

#include <math.h>
#include <string.h>

#define FORM 1

/* ---- writing words ---- */

static void put_byte(GByteArray *to, uint8_t byte)
{
	g_byte_array_append(to, &byte, 1);
}

static void put_number(GByteArray *to, uint64_t x)
{
	uint8_t bytes[10];
	guint n = 0;

	while (x >= 0x80) {
		bytes[n++] = (uint8_t)(x | 0x80);
		x >>= 7;
	}
	bytes[n++] = (uint8_t)x;
	g_byte_array_append(to, bytes, n);
}

static void put_signed(GByteArray *to, int64_t x)
{
	put_number(to, ((uint64_t)x << 1) ^ (uint64_t)(x >> 63));
}

static void put_word(GByteArray *to, uint64_t x)
{
	const uint64_t word = GUINT64_TO_LE(x);

	g_byte_array_append(to, (const uint8_t *)&word, sizeof word);
}

static uint64_t bits_of(double x)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof bits);
	return bits;
}

/* ---- reading words: past the end everything is 0 and `short` is set ---- */

struct reader {
	const uint8_t *at, *end;
	bool is_short;
};

static uint8_t get_byte(struct reader *r)
{
	if (r->at < r->end)
		return *r->at++;
	r->is_short = true;
	return 0;
}

static uint64_t get_number(struct reader *r)
{
	uint64_t x = 0;

	for (int shift = 0; shift < 64; shift += 7) {
		const uint8_t byte = get_byte(r);

		x |= (uint64_t)(byte & 0x7f) << shift;
		if (byte < 0x80)
			return x;
	}
	r->is_short = true; /* no number of ours is as long */
	return 0;
}

static int64_t get_signed(struct reader *r)
{
	const uint64_t x = get_number(r);

	return (int64_t)(x >> 1) ^ -(int64_t)(x & 1);
}

static uint64_t get_word(struct reader *r)
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

static double get_double(struct reader *r)
{
	const uint64_t bits = get_word(r);
	double x;

	memcpy(&x, &bits, sizeof x);
	return x;
}

/* ---- times ---- */

static void put_times(GByteArray *to, const struct store_reading *readings, size_t n)
{
	size_t given = 0;
	uint64_t last = 0, step = 0; /* unsigned: differences wrap and come back */

	for (size_t i = 0; i < n; i++)
		given += readings[i].time_us != BASE_NO_TIME;
	put_byte(to, given == 0 ? 0 : given == n ? 1 : 2);
	for (size_t i = 0; i < n && given > 0; i++) {
		const uint64_t time = (uint64_t)readings[i].time_us;

		if (given < n) {
			put_word(to, time);
			continue;
		}
		put_signed(to, (int64_t)(time - last - step));
		step = i == 0 ? 0 : time - last;
		last = time;
	}
}

static void get_times(struct reader *r, struct store_reading *readings, size_t n)
{
	const uint8_t form = get_byte(r);
	uint64_t last = 0, step = 0;

	for (size_t i = 0; i < n; i++) {
		if (form == 0) {
			readings[i].time_us = BASE_NO_TIME;
		} else if (form == 2) {
			readings[i].time_us = (int64_t)get_word(r);
		} else {
			const uint64_t time = last + step + (uint64_t)get_signed(r);

			step = i == 0 ? 0 : time - last;
			last = time;
			readings[i].time_us = (int64_t)time;
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
	return bits_of((double)*ret / powers[e]) == bits_of(x);
}

/* Decimals that all values of a column need; -1: they are no short decimals. */
static int decimals_of(const double *x, size_t n)
{
	int e = 0;
	int64_t m;

	for (size_t i = 0; i < n; i++)
		while (!as_decimal(x[i], e, &m))
			if (++e > MOST_DECIMALS)
				return -1;
	for (size_t i = 0; i < n; i++) /* with more decimals an early large one may not fit */
		if (!as_decimal(x[i], e, &m))
			return -1;
	return e;
}

static void put_doubles(GByteArray *to, const double *x, size_t n)
{
	size_t given = 0;
	int64_t last = 0, m = 0;
	int e;

	for (size_t i = 0; i < n; i++)
		given += !isnan(x[i]);
	if (given == 0) {
		put_byte(to, 0);
		return;
	}
	e = given == n ? decimals_of(x, n) : -1;
	put_byte(to, e < 0 ? 2 : 1);
	if (e >= 0)
		put_byte(to, (uint8_t)e);
	for (size_t i = 0; i < n; i++) {
		if (e < 0) {
			put_word(to, bits_of(x[i]));
			continue;
		}
		as_decimal(x[i], e, &m);
		put_signed(to, m - last);
		last = m;
	}
}

static void get_doubles(struct reader *r, double *x, size_t n)
{
	const uint8_t form = get_byte(r);
	const uint8_t e = form == 1 ? get_byte(r) : 0;
	uint64_t m = 0;

	if (form > 2 || e > MOST_DECIMALS)
		r->is_short = true;
	for (size_t i = 0; i < n && !r->is_short; i++) {
		if (form == 0) {
			x[i] = NAN;
		} else if (form == 2) {
			x[i] = get_double(r);
		} else {
			m += (uint64_t)get_signed(r);
			x[i] = (double)(int64_t)m / powers[e];
		}
	}
}

/* ---- the rest ---- */

static void put_quantities(GByteArray *to, const struct store_reading *readings, size_t n)
{
	size_t ohms = 0;

	for (size_t i = 0; i < n; i++)
		ohms += readings[i].quantity == STORE_OHM;
	put_byte(to, ohms == 0 ? 0 : ohms == n ? 1 : 2);
	for (size_t i = 0; i < n && ohms > 0 && ohms < n; i++)
		put_byte(to, readings[i].quantity == STORE_OHM);
}

static void get_quantities(struct reader *r, struct store_reading *readings, size_t n)
{
	const uint8_t form = get_byte(r);

	for (size_t i = 0; i < n; i++) {
		const uint8_t ohm = form == 2 ? get_byte(r) : form;

		readings[i].quantity = ohm == 0 ? STORE_RATIO : STORE_OHM;
	}
}

static void put_flags(GByteArray *to, const struct store_reading *readings, size_t n)
{
	size_t flags = 0, last = 0;

	for (size_t i = 0; i < n; i++)
		flags += readings[i].flag != NULL;
	put_number(to, flags);
	for (size_t i = 0; i < n; i++) {
		if (readings[i].flag == NULL)
			continue;
		put_number(to, i - last);
		put_number(to, strlen(readings[i].flag));
		g_byte_array_append(to, (const uint8_t *)readings[i].flag,
				    (guint)strlen(readings[i].flag));
		last = i;
	}
}

static void get_flags(struct reader *r, struct store_reading *readings, size_t n,
		      GStringChunk *texts)
{
	const uint64_t flags = get_number(r);
	uint64_t at = 0;

	for (uint64_t i = 0; i < flags && !r->is_short; i++) {
		uint64_t length;

		at += get_number(r);
		length = get_number(r);
		if (at >= n || length > (uint64_t)(r->end - r->at)) {
			r->is_short = true;
			return;
		}
		readings[at].flag =
		    g_string_chunk_insert_len(texts, (const char *)r->at, (gssize)length);
		r->at += length;
	}
}

/* ---- blocks ---- */

/* One column of doubles out of the readings, and back; offset is of the member. */
static void gather(const struct store_reading *readings, size_t n, size_t offset, double *ret)
{
	for (size_t i = 0; i < n; i++)
		memcpy(&ret[i], (const char *)&readings[i] + offset, sizeof ret[i]);
}

static void scatter(const double *x, size_t n, size_t offset, struct store_reading *readings)
{
	for (size_t i = 0; i < n; i++)
		memcpy((char *)&readings[i] + offset, &x[i], sizeof x[i]);
}

static const size_t double_columns[] = {
	offsetof(struct store_reading, current_mA),
	offsetof(struct store_reading, value),
	offsetof(struct store_reading, bath_C),
};

GByteArray *block_encode(const struct store_reading *readings, size_t n)
{
	GByteArray *to = g_byte_array_sized_new((guint)n * 12 + 64);
	g_autofree double *x = g_new(double, n);

	g_assert(n >= 1 && n <= BLOCK_READINGS);
	put_byte(to, FORM);
	put_number(to, n);
	put_times(to, readings, n);
	for (size_t i = 0; i < G_N_ELEMENTS(double_columns); i++) {
		gather(readings, n, double_columns[i], x);
		put_doubles(to, x, n);
	}
	put_quantities(to, readings, n);
	put_flags(to, readings, n);
	return to;
}

static bool damaged(GError **error)
{
	g_set_error_literal(error, STORE_ERROR, STORE_DAMAGED,
			    "a block of readings is not what was written");
	return false;
}

bool block_decode(const void *bytes, size_t size, struct store_readings *ret, GError **error)
{
	struct reader r = { bytes, (const uint8_t *)bytes + size, false };
	const uint8_t form = get_byte(&r);
	const uint64_t n = get_number(&r);
	const guint before = ret->readings->len;
	g_autofree double *x = NULL;
	struct store_reading *readings;

	if (form != FORM || r.is_short || n < 1 || n > BLOCK_READINGS)
		return damaged(error);
	g_array_set_size(ret->readings, before + (guint)n); /* zeroed: flags are NULL */
	readings = &g_array_index(ret->readings, struct store_reading, before);
	x = g_new0(double, n);
	get_times(&r, readings, n);
	for (size_t i = 0; i < G_N_ELEMENTS(double_columns); i++) {
		get_doubles(&r, x, n);
		scatter(x, n, double_columns[i], readings);
	}
	get_quantities(&r, readings, n);
	get_flags(&r, readings, n, ret->flags);
	if (!r.is_short && r.at == r.end)
		return true;
	g_array_set_size(ret->readings, before);
	return damaged(error);
}

/* Doubles of the same bits; what is no number is one thing. */
static bool same_double(double a, double b)
{
	return bits_of(a) == bits_of(b) || (isnan(a) && isnan(b));
}

bool block_same_reading(const struct store_reading *a, const struct store_reading *b)
{
	return a->time_us == b->time_us && same_double(a->current_mA, b->current_mA) &&
	       same_double(a->value, b->value) && same_double(a->bath_C, b->bath_C) &&
	       a->quantity == b->quantity && g_strcmp0(a->flag, b->flag) == 0;
}

/* ---- summaries: a bucket is seven words ---- */

void block_bucket_add(struct block_bucket *bucket, const struct store_reading *reading)
{
	bucket->n++;
	if (reading->time_us != BASE_NO_TIME) {
		if (bucket->time_first_us == BASE_NO_TIME)
			bucket->time_first_us = reading->time_us;
		bucket->time_last_us = reading->time_us;
	}
	if (isnan(reading->value))
		return;
	bucket->numbers++;
	bucket->low = fmin(bucket->low, reading->value);
	bucket->high = fmax(bucket->high, reading->value);
	bucket->sum += reading->value;
}

void block_bucket_join(struct block_bucket *bucket, const struct block_bucket *later)
{
	bucket->n += later->n;
	bucket->numbers += later->numbers;
	if (bucket->time_first_us == BASE_NO_TIME)
		bucket->time_first_us = later->time_first_us;
	if (later->time_last_us != BASE_NO_TIME)
		bucket->time_last_us = later->time_last_us;
	bucket->low = fmin(bucket->low, later->low);
	bucket->high = fmax(bucket->high, later->high);
	bucket->sum += later->sum;
}

GByteArray *block_summarise(const struct store_reading *readings, size_t n)
{
	GByteArray *to = g_byte_array_new();

	for (size_t first = 0; first < n; first += BLOCK_BUCKET) {
		struct block_bucket b = BLOCK_EMPTY_BUCKET;

		for (size_t i = first; i < n && i < first + BLOCK_BUCKET; i++)
			block_bucket_add(&b, &readings[i]);
		put_word(to, (uint64_t)b.n);
		put_word(to, (uint64_t)b.numbers);
		put_word(to, (uint64_t)b.time_first_us);
		put_word(to, (uint64_t)b.time_last_us);
		put_word(to, bits_of(b.low));
		put_word(to, bits_of(b.high));
		put_word(to, bits_of(b.sum));
	}
	return to;
}

bool block_summary(const void *bytes, size_t n, GArray *ret_buckets, GError **error)
{
	struct reader r = { bytes, (const uint8_t *)bytes + n, false };

	while (r.at < r.end) {
		struct block_bucket b;

		b.n = (int64_t)get_word(&r);
		b.numbers = (int64_t)get_word(&r);
		b.time_first_us = (int64_t)get_word(&r);
		b.time_last_us = (int64_t)get_word(&r);
		b.low = get_double(&r);
		b.high = get_double(&r);
		b.sum = get_double(&r);
		if (r.is_short)
			return damaged(error);
		g_array_append_val(ret_buckets, b);
	}
	return true;
}
