/*
 * Readings in few bytes, and their summary. Pure: no database here.
 *
 * A block holds readings column by column. A column of doubles that are all short decimals, which
 * readings are, is kept as whole numbers and their differences; any other as it is. Whatever the
 * form, every double comes back with the same bits. The form is told in block.c and columns.h.
 */
#ifndef STORE_BLOCK_H
#define STORE_BLOCK_H

#include "app/store/store.h"

#define BLOCK_READINGS STORE_BLOCK_READINGS
#define BLOCK_BUCKET   64 /* readings that one bucket of the summary stands for */

/* Some readings in a row: what is drawn of them. */
struct block_bucket {
	int64_t n, numbers;                  /* readings, and those whose value is a number */
	int64_t time_first_us, time_last_us; /* BASE_NO_TIME: none has a time */
	double low, high, sum; /* of the values; +inf, -inf and 0 when none is a number */
};
#define BLOCK_EMPTY_BUCKET                                                                         \
	((struct block_bucket){ 0, 0, BASE_NO_TIME, BASE_NO_TIME, INFINITY, -INFINITY, 0 })

void block_bucket_add(struct block_bucket *bucket, const struct store_reading *reading);
void block_bucket_join(struct block_bucket *bucket, const struct block_bucket *later);

/* The bytes of n readings, 1 to BLOCK_READINGS. */
GByteArray *block_encode(const struct store_reading *readings, size_t n);

/* Appends the readings to ret; STORE_DAMAGED when the bytes are no block. */
bool block_decode(const void *bytes, size_t n, struct store_readings *ret, GError **error);

/* A bucket for each BLOCK_BUCKET readings, the last perhaps shorter. */
GByteArray *block_summarise(const struct store_reading *readings, size_t n);
bool block_summary(const void *bytes, size_t n, GArray *ret_buckets, GError **error);

/* False, with STORE_DAMAGED: the bytes are not those of a block or summary. */
bool block_damaged(GError **error);

/* Whether two readings are the same to the last bit. */
bool block_same_reading(const struct store_reading *a, const struct store_reading *b);

#endif
