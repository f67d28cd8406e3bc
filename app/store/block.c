/*
 * The form of a block, of columns as columns.h has them:
 *
 *   1 byte      form of the block, 1
 *   number      n, how many readings
 *   columns     times; current_mA, value, bath_C as doubles
 *   quantities  a byte: 0 all ratio, 1 all ohm, 2 mixed: a byte each
 *   flags       number of flags; for each, the reading's index after the last one's, the length and
 *               the bytes of its text
 */
#include "app/store/block.h"
#include "app/store/columns.h"

#include <math.h>
#include <string.h>

#define FORM 1

/* ---- quantities and flags ---- */

static void put_quantities(GByteArray *to, const struct store_reading *readings, size_t n)
{
	size_t ohms = 0;

	for (size_t i = 0; i < n; i++)
		ohms += readings[i].quantity == STORE_OHM;
	column_put_byte(to, ohms == 0 ? 0 : ohms == n ? 1 : 2);
	for (size_t i = 0; i < n && ohms > 0 && ohms < n; i++)
		column_put_byte(to, readings[i].quantity == STORE_OHM);
}

static void get_quantities(struct column_reader *r, struct store_reading *readings, size_t n)
{
	const uint8_t form = column_get_byte(r);

	for (size_t i = 0; i < n; i++) {
		const uint8_t ohm = form == 2 ? column_get_byte(r) : form;

		readings[i].quantity = ohm == 0 ? STORE_RATIO : STORE_OHM;
	}
}

static void put_flags(GByteArray *to, const struct store_reading *readings, size_t n)
{
	size_t flags = 0, last = 0;

	for (size_t i = 0; i < n; i++)
		flags += readings[i].flag != NULL;
	column_put_number(to, flags);
	for (size_t i = 0; i < n; i++) {
		if (readings[i].flag == NULL)
			continue;
		column_put_number(to, i - last);
		column_put_number(to, strlen(readings[i].flag));
		g_byte_array_append(to, (const uint8_t *)readings[i].flag,
				    (guint)strlen(readings[i].flag));
		last = i;
	}
}

static void get_flags(struct column_reader *r, struct store_reading *readings, size_t n,
		      GStringChunk *texts)
{
	const uint64_t flags = column_get_number(r);
	uint64_t at = 0;

	for (uint64_t i = 0; i < flags && !r->is_short; i++) {
		uint64_t length;

		at += column_get_number(r);
		length = column_get_number(r);
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

/* One column of eight bytes each out of the readings, and back; offset is of the member. */
static void gather(const struct store_reading *readings, size_t n, size_t offset, void *ret)
{
	for (size_t i = 0; i < n; i++)
		memcpy((char *)ret + i * 8, (const char *)&readings[i] + offset, 8);
}

static void scatter(const void *column, size_t n, size_t offset, struct store_reading *readings)
{
	for (size_t i = 0; i < n; i++)
		memcpy((char *)&readings[i] + offset, (const char *)column + i * 8, 8);
}

static const size_t double_columns[] = {
	offsetof(struct store_reading, current_mA),
	offsetof(struct store_reading, value),
	offsetof(struct store_reading, bath_C),
};

GByteArray *block_encode(const struct store_reading *readings, size_t n)
{
	GByteArray *to = g_byte_array_sized_new((guint)n * 12 + 64);
	g_autofree int64_t *time_us = g_new(int64_t, n);
	g_autofree double *x = g_new(double, n);

	g_assert(n >= 1 && n <= BLOCK_READINGS);
	column_put_byte(to, FORM);
	column_put_number(to, n);
	gather(readings, n, offsetof(struct store_reading, time_us), time_us);
	column_put_times(to, time_us, n);
	for (size_t i = 0; i < G_N_ELEMENTS(double_columns); i++) {
		gather(readings, n, double_columns[i], x);
		column_put_doubles(to, x, n);
	}
	put_quantities(to, readings, n);
	put_flags(to, readings, n);
	return to;
}

bool block_damaged(GError **error)
{
	g_set_error_literal(error, STORE_ERROR, STORE_DAMAGED,
			    "a block of readings is not what was written");
	return false;
}

bool block_decode(const void *bytes, size_t size, struct store_readings *ret, GError **error)
{
	struct column_reader r = { bytes, (const uint8_t *)bytes + size, false };
	const uint8_t form = column_get_byte(&r);
	const uint64_t n = column_get_number(&r);
	const guint before = ret->readings->len;
	g_autofree int64_t *time_us = NULL;
	g_autofree double *x = NULL;
	struct store_reading *readings;

	if (form != FORM || r.is_short || n < 1 || n > BLOCK_READINGS)
		return block_damaged(error);
	g_array_set_size(ret->readings, before + (guint)n); /* zeroed: flags are NULL */
	readings = &g_array_index(ret->readings, struct store_reading, before);
	x = g_new0(double, n);
	time_us = g_new0(int64_t, n);
	column_get_times(&r, time_us, n);
	scatter(time_us, n, offsetof(struct store_reading, time_us), readings);
	for (size_t i = 0; i < G_N_ELEMENTS(double_columns); i++) {
		column_get_doubles(&r, x, n);
		scatter(x, n, double_columns[i], readings);
	}
	get_quantities(&r, readings, n);
	get_flags(&r, readings, n, ret->flags);
	if (!r.is_short && r.at == r.end)
		return true;
	g_array_set_size(ret->readings, before);
	return block_damaged(error);
}

/* Doubles of the same bits; what is no number is one thing. */
static bool same_double(double a, double b)
{
	return column_bits(a) == column_bits(b) || (isnan(a) && isnan(b));
}

bool block_same_reading(const struct store_reading *a, const struct store_reading *b)
{
	return a->time_us == b->time_us && same_double(a->current_mA, b->current_mA) &&
	       same_double(a->value, b->value) && same_double(a->bath_C, b->bath_C) &&
	       a->quantity == b->quantity && g_strcmp0(a->flag, b->flag) == 0;
}
