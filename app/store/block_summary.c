/*
 * The form of a summary: what is drawn of each BLOCK_BUCKET readings of a block, in columns.
 *
 *   1 byte      form, 130: above any number of readings in a bucket
 *   number      readings of all buckets; all but the last have BLOCK_BUCKET
 *   byte        0: every reading has a number; 1: how many have follows, for each bucket
 *   columns     times of the first and of the last readings, lows, highs; sums as words
 *
 * The form before it began with the first bucket's readings, and a bucket was seven words.
 */
#include "app/store/block.h"
#include "app/store/columns.h"

#include "app/base/time.h"

#include <math.h>
#include <string.h>

#define FORM        130
#define MOST_PIECES ((BLOCK_READINGS + BLOCK_BUCKET - 1) / BLOCK_BUCKET)

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
	bucket->low = MIN(bucket->low, reading->value);
	bucket->high = MAX(bucket->high, reading->value);
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
	bucket->low = MIN(bucket->low, later->low);
	bucket->high = MAX(bucket->high, later->high);
	bucket->sum += later->sum;
}

/* Buckets column by column. */
struct pieces {
	size_t n;
	int64_t readings[MOST_PIECES], numbers[MOST_PIECES];
	int64_t time_first_us[MOST_PIECES], time_last_us[MOST_PIECES];
	double low[MOST_PIECES], high[MOST_PIECES], sum[MOST_PIECES];
};

static void put_pieces(const struct pieces *p, int64_t readings, int64_t numbers, GByteArray *to)
{
	column_put_byte(to, FORM);
	column_put_number(to, (uint64_t)readings);
	column_put_byte(to, numbers < readings);
	for (size_t i = 0; i < p->n && numbers < readings; i++)
		column_put_number(to, (uint64_t)p->numbers[i]);
	column_put_times(to, p->time_first_us, p->n);
	column_put_times(to, p->time_last_us, p->n);
	column_put_doubles(to, p->low, p->n);
	column_put_doubles(to, p->high, p->n);
	column_put_words(to, p->sum, p->n);
}

GByteArray *block_summarise(const struct store_reading *readings, size_t n)
{
	GByteArray *to = g_byte_array_sized_new(4096);
	g_autofree struct pieces *p = g_new(struct pieces, 1);
	int64_t numbers = 0;

	g_assert(n <= BLOCK_READINGS);
	p->n = 0;
	for (size_t first = 0; first < n; first += BLOCK_BUCKET) {
		struct block_bucket b = BLOCK_EMPTY_BUCKET;

		for (size_t i = first; i < n && i < first + BLOCK_BUCKET; i++)
			block_bucket_add(&b, &readings[i]);
		numbers += b.numbers;
		p->numbers[p->n] = b.numbers;
		p->time_first_us[p->n] = b.time_first_us;
		p->time_last_us[p->n] = b.time_last_us;
		p->low[p->n] = b.low;
		p->high[p->n] = b.high;
		p->sum[p->n++] = b.sum;
	}
	put_pieces(p, (int64_t)n, numbers, to);
	return to;
}

static bool get_pieces(struct column_reader *r, struct pieces *p)
{
	const uint64_t readings = column_get_number(r);
	bool some_lack;

	if (r->is_short || readings > BLOCK_READINGS)
		return false;
	some_lack = column_get_byte(r) != 0;
	p->n = (readings + BLOCK_BUCKET - 1) / BLOCK_BUCKET;
	for (size_t i = 0; i < p->n; i++) {
		p->readings[i] =
		    i + 1 < p->n ? BLOCK_BUCKET : (int64_t)(readings - i * BLOCK_BUCKET);
		p->numbers[i] = some_lack ? (int64_t)column_get_number(r) : p->readings[i];
	}
	column_get_times(r, p->time_first_us, p->n);
	column_get_times(r, p->time_last_us, p->n);
	column_get_doubles(r, p->low, p->n);
	column_get_doubles(r, p->high, p->n);
	column_get_words(r, p->sum, p->n);
	return !r->is_short && r->at == r->end;
}

/* The form of words. */
static bool get_words(struct column_reader *r, GArray *ret)
{
	while (r->at < r->end && !r->is_short) {
		struct block_bucket b;

		b.n = (int64_t)column_get_word(r);
		b.numbers = (int64_t)column_get_word(r);
		b.time_first_us = (int64_t)column_get_word(r);
		b.time_last_us = (int64_t)column_get_word(r);
		column_get_words(r, &b.low, 1);
		column_get_words(r, &b.high, 1);
		column_get_words(r, &b.sum, 1);
		g_array_append_val(ret, b);
	}
	return !r->is_short;
}

bool block_summary(const void *bytes, size_t n, GArray *ret_buckets, GError **error)
{
	struct column_reader r = { bytes, (const uint8_t *)bytes + n, false };
	const bool in_columns = n > 0 && *r.at == FORM;
	struct pieces p;

	if (in_columns)
		r.at++;
	if (in_columns ? !get_pieces(&r, &p) : !get_words(&r, ret_buckets))
		return block_damaged(error);
	for (size_t i = 0; in_columns && i < p.n; i++) {
		const struct block_bucket b = {
			p.readings[i], p.numbers[i], p.time_first_us[i], p.time_last_us[i],
			p.low[i],      p.high[i],    p.sum[i],
		};

		g_array_append_val(ret_buckets, b);
	}
	return true;
}
