/*
 * A long run of readings drawn as few points, extremes kept. The run is made of pieces in order:
 * whole blocks where a stretch is much longer than a block, buckets of their summaries where it is
 * much longer than a bucket, readings otherwise and at both ends; each piece goes to the stretch in
 * which it begins.
 */
#include "app/base/time.h"
#include "app/store/block.h"
#include "app/store/inside.h"

#include <math.h>

/* A stretch takes whole pieces when it is this many times as long, so that its ends move by no more
   than a sixth of it. */
#define PIECES_IN_A_STRETCH 6

#define READINGS_AT_ONCE ((int64_t)8 * BLOCK_READINGS)

struct outline {
	store *store;
	const char *visit;
	int64_t first, end; /* of the run */
	int64_t points;
	GArray *stretches; /* struct store_stretch, the result */
	int64_t point;     /* number of the stretch that is being filled; -1: none yet */
	int64_t start;     /* its first reading */
	struct block_bucket filled;
};

static double stretch_length(const struct outline *o)
{
	return (double)(o->end - o->first) / (double)o->points;
}

static void finish_stretch(struct outline *o)
{
	const struct block_bucket *b = &o->filled;
	const bool numbers = b->numbers > 0;
	const struct store_stretch stretch = {
		.first = o->start,
		.n = b->n,
		.time_first_us = b->time_first_us,
		.time_last_us = b->time_last_us,
		.low = numbers ? b->low : NAN,
		.high = numbers ? b->high : NAN,
		.mean = numbers ? b->sum / (double)b->numbers : NAN,
	};

	if (b->n > 0)
		g_array_append_val(o->stretches, stretch);
	o->filled = BLOCK_EMPTY_BUCKET;
}

/* The stretch that reading `at` belongs to; products of numbers of readings and points may be
   beyond 64 bits. */
static int64_t point_of(const struct outline *o, int64_t at)
{
	return (int64_t)((__extension__(__int128)(at - o->first) * o->points) /
			 (o->end - o->first));
}

static void add_piece(struct outline *o, int64_t at, const struct block_bucket *piece)
{
	const int64_t point = point_of(o, at);

	if (point != o->point) {
		finish_stretch(o);
		o->point = point;
		o->start = at;
	}
	block_bucket_join(&o->filled, piece);
}

static bool within(const struct outline *o, int64_t first, int64_t n)
{
	return first >= o->first && first + n <= o->end;
}

/* Readings `from` to `to` - 1, of which the array holds `start` and what follows. */
static void add_each(struct outline *o, const struct store_readings *readings, int64_t start,
		     int64_t from, int64_t to)
{
	for (int64_t at = from; at < to && at - start < readings->readings->len; at++) {
		struct block_bucket one = BLOCK_EMPTY_BUCKET;

		block_bucket_add(
		    &one, &g_array_index(readings->readings, struct store_reading, at - start));
		add_piece(o, at, &one);
	}
}

static bool add_some_readings(struct outline *o, int64_t from, int64_t to, GError **error)
{
	struct store_readings readings;
	const bool good = store_read(o->store, o->visit, from, to - from, &readings, error);

	if (good)
		add_each(o, &readings, from, from, to);
	store_readings_clear(&readings);
	return good;
}

/* Those of the run; never more than some in memory. */
static bool add_readings(struct outline *o, int64_t first, int64_t n, GError **error)
{
	const int64_t end = MIN(first + n, o->end);

	for (int64_t from = MAX(first, o->first); from < end; from += READINGS_AT_ONCE)
		if (!add_some_readings(o, from, MIN(from + READINGS_AT_ONCE, end), error))
			return false;
	return true;
}

/* What a block's row tells of it. */
struct block_row {
	int64_t number, first;
	struct block_bucket whole;
};

/* What of a bucket is in the run, when not all of it: from the readings of its block. */
static bool add_part(struct outline *o, const struct sql_value *readings, int64_t start,
		     int64_t first, int64_t n, GError **error)
{
	const int64_t from = MAX(first, o->first), to = MIN(first + n, o->end);
	struct store_readings decoded = store_no_readings();
	bool good = true;

	if (from < to) {
		good = block_decode(readings->bytes, readings->n, &decoded, error);
		if (good)
			add_each(o, &decoded, start, from, to);
	}
	store_readings_clear(&decoded);
	return good;
}

struct summaries {
	struct outline *outline;
	int64_t first; /* reading of the block that comes next */
};

static bool take_summary(const struct sql_value *values, void *data, GError **error)
{
	g_autoptr(GArray) buckets = g_array_new(FALSE, FALSE, sizeof(struct block_bucket));
	struct summaries *in = data;
	const int64_t start = in->first;

	if (!block_summary(values[0].bytes, values[0].n, buckets, error))
		return false;
	for (guint i = 0; i < buckets->len; i++) {
		const struct block_bucket *b = &g_array_index(buckets, struct block_bucket, i);

		if (within(in->outline, in->first, b->n))
			add_piece(in->outline, in->first, b);
		else if (!add_part(in->outline, &values[1], start, in->first, b->n, error))
			return false;
		in->first += b->n;
	}
	return true;
}

static struct block_row row_of(const struct sql_value *values)
{
	struct block_row row = {
		.number = sql_to_integer(&values[0]),
		.first = sql_to_integer(&values[1]),
		.whole = {
			.n = sql_to_integer(&values[2]),
			.numbers = sql_to_integer(&values[8]),
			.time_first_us = values[3].type == SQL_INTEGER ? values[3].integer
								       : BASE_NO_TIME,
			.time_last_us = values[4].type == SQL_INTEGER ? values[4].integer
								      : BASE_NO_TIME,
			.low = sql_to_real(&values[5]),
			.high = sql_to_real(&values[6]),
			.sum = sql_to_real(&values[7]),
		},
	};

	if (row.whole.numbers == 0) {
		row.whole.low = INFINITY;
		row.whole.high = -INFINITY;
		row.whole.sum = 0;
	} else {
		row.whole.sum *= (double)row.whole.numbers;
	}
	return row;
}

/* Of the first and last block, which may reach beyond the run, the readings come along. ($1 stands
   there too because parameters are counted by their first mention, sql.h.) */
static bool add_by_buckets(struct outline *o, int64_t first, int64_t end, GError **error)
{
	struct summaries in = { o, 0 };
	struct store_blocks blocks;

	if (!store_find_blocks(o->store, o->visit, first, end, &blocks, error))
		return false;
	in.first = blocks.first;
	return store_run_over_bytes(
		   o->store,
		   STORE_BYTES_OF_BLOCKS(
		       "y.summary, CASE WHEN y.visit = $1 AND y.number IN ($2, $3) THEN"
		       " y.readings END"),
		   o->visit, &blocks, take_summary, &in, error) &&
	       (in.first >= end || store_blocks_gone(o->visit, error));
}

static bool take_block(const struct sql_value *values, void *data, GError **error)
{
	const struct block_row row = row_of(values);

	(void)error;
	g_array_append_val((GArray *)data, row);
	return true;
}

static bool add_by_blocks(struct outline *o, int64_t end, GError **error)
{
	g_autoptr(GArray) rows = g_array_new(FALSE, FALSE, sizeof(struct block_row));
	struct store_blocks blocks;

	if (!store_find_blocks(o->store, o->visit, o->first, end, &blocks, error) ||
	    !STORE_RUN(o->store,
		       "SELECT number, first, n, time_first_us, time_last_us, low, high, mean,"
		       " numbers FROM block WHERE visit = $1 AND number >= $2 AND number <= $3"
		       " ORDER BY number",
		       take_block, rows, error, sql_text(o->visit), sql_integer(blocks.low),
		       sql_integer(blocks.high)))
		return false;
	for (guint i = 0; i < rows->len; i++) {
		const struct block_row *row = &g_array_index(rows, struct block_row, i);

		if (within(o, row->first, row->whole.n))
			add_piece(o, row->first, &row->whole);
		else if (!add_by_buckets(o, MAX(row->first, o->first),
					 MIN(row->first + row->whole.n, end), error))
			return false;
	}
	return true;
}

/* What of the run is sealed, in the largest pieces that are short against a stretch. */
static bool add_sealed(struct outline *o, int64_t end, GError **error)
{
	const double length = stretch_length(o);

	if (end <= o->first)
		return true;
	if (length >= (double)PIECES_IN_A_STRETCH * BLOCK_READINGS)
		return add_by_blocks(o, end, error);
	if (length >= (double)PIECES_IN_A_STRETCH * BLOCK_BUCKET)
		return add_by_buckets(o, o->first, end, error);
	return add_readings(o, o->first, end - o->first, error);
}

static bool add_run(struct outline *o, int64_t n, GError **error)
{
	int64_t all, sealed;

	if (!store_count_both(o->store, o->visit, &sealed, &all, error))
		return false;
	o->end = n < all - o->first ? o->first + n : all;
	if (o->points < 1 || o->end <= o->first)
		return true;
	if (!add_sealed(o, MIN(sealed, o->end), error) ||
	    !add_readings(o, MAX(sealed, o->first), o->end - MAX(sealed, o->first), error))
		return false;
	finish_stretch(o);
	return true;
}

bool store_outline(store *s, const char *visit, int64_t first, int64_t n, int points,
		   GArray *ret_stretches, GError **error)
{
	struct outline o = { s,  visit, MAX(first, 0),     0, points, ret_stretches,
			     -1, 0,     BLOCK_EMPTY_BUCKET };
	bool begun, good;

	if (!store_begin_reading(s, &begun, error))
		return false;
	good = add_run(&o, n, error);
	store_end_reading(s, begun);
	return good;
}
