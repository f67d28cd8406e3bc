/* Readings of a visit: rows at the end, sealed blocks before them. */
#include "app/store/block.h"

#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/base/time.h"
#include "app/store/inside.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

void store_readings_clear(struct store_readings *readings)
{
	if (readings->readings != NULL)
		g_array_unref(readings->readings);
	if (readings->flags != NULL)
		g_string_chunk_free(readings->flags);
	*readings = (struct store_readings){ NULL, NULL };
}

struct store_readings store_no_readings(void)
{
	return (struct store_readings){ g_array_new(FALSE, TRUE, sizeof(struct store_reading)),
					g_string_chunk_new(256) };
}

static struct sql_value sql_time(int64_t time_us)
{
	return time_us == BASE_NO_TIME ? sql_text(NULL) : sql_integer(time_us);
}

/* ---- how many ---- */

struct counts {
	int64_t sealed, all;
};

static bool take_counts(const struct sql_value *values, void *data, GError **error)
{
	struct counts *counts = data;

	(void)error;
	counts->sealed = sql_to_integer(&values[0]);
	counts->all = values[1].type == SQL_INTEGER ? values[1].integer + 1 : counts->sealed;
	return true;
}

bool store_count_both(store *s, const char *visit, int64_t *ret_sealed, int64_t *ret_all,
		      GError **error)
{
	struct counts counts = { 0, 0 };

	if (!STORE_RUN(s,
		       "SELECT (SELECT first + n FROM block WHERE visit = $1 ORDER BY number DESC"
		       " LIMIT 1), (SELECT max(number) FROM reading WHERE visit = $1)",
		       take_counts, &counts, error, sql_text(visit)))
		return false;
	*ret_sealed = counts.sealed;
	*ret_all = counts.all;
	return true;
}

bool store_count_readings(store *s, const char *visit, int64_t *ret_n, GError **error)
{
	int64_t sealed;

	return store_count_both(s, visit, &sealed, ret_n, error);
}

/* ---- rows ---- */

bool store_add_readings(store *s, const char *visit, const struct store_reading *readings, size_t n,
			int64_t *ret_first, GError **error)
{
	int64_t first;

	g_assert(s->in_transaction && s->writes);
	if (!store_count_readings(s, visit, &first, error))
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct store_reading *r = &readings[i];

		if (!STORE_RUN(s,
			       "INSERT INTO reading (visit, number, time_us, current_mA, value,"
			       " bath_C, quantity, flag, digest)"
			       " VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
			       NULL, NULL, error, sql_text(visit), sql_integer(first + (int64_t)i),
			       sql_time(r->time_us), sql_real(r->current_mA), sql_real(r->value),
			       sql_real(r->bath_C), sql_integer(r->quantity), sql_text(r->flag),
			       sql_integer(store_row_digest(visit, first + (int64_t)i, r))))
			return false;
	}
	if (ret_first != NULL)
		*ret_first = first;
	return true;
}

struct row_reader {
	const char *visit;
	struct store_readings *to;
};

/* Nothing is computed from, and nothing sealed of, a row that is not what was written. */
static bool take_row(const struct sql_value *values, void *data, GError **error)
{
	const struct row_reader *reader = data;
	struct store_reading r = store_row_reading(values);

	if (!store_row_holds(reader->visit, values)) {
		g_set_error(error, STORE_ERROR, STORE_DAMAGED,
			    "reading %" G_GINT64_FORMAT " of visit %s is not what was written; "
			    "keep the book as it is, and take the reading from the last backup",
			    sql_to_integer(values), reader->visit);
		return false;
	}
	if (r.flag != NULL)
		r.flag = g_string_chunk_insert(reader->to->flags, r.flag);
	g_array_append_val(reader->to->readings, r);
	return true;
}

static bool read_rows(store *s, const char *visit, int64_t first, int64_t end,
		      struct store_readings *to, GError **error)
{
	struct row_reader reader = { visit, to };

	return STORE_RUN(s,
			 "SELECT " STORE_ROW_COLUMNS " FROM reading"
			 " WHERE visit = $1 AND number >= $2 AND number < $3 ORDER BY number",
			 take_row, &reader, error, sql_text(visit), sql_integer(first),
			 sql_integer(end));
}

/* ---- blocks ---- */

void store_block_hash(const struct store_block *block, const void *readings, size_t n,
		      char ret[STORE_HASH_SIZE])
{
	g_autofree char *bytes = base_sha256(readings, n);
	g_autofree char *text = NULL, *hash = NULL;
	json_t *json =
	    json_pack("{ss sI sI sI ss ss}", "bytes", bytes, "first", (json_int_t)block->first, "n",
		      (json_int_t)block->n, "number", (json_int_t)block->number, "previous",
		      block->previous, "visit", block->visit);

	text = base_canonical(json);
	json_decref(json);
	hash = base_sha256(text, strlen(text));
	g_strlcpy(ret, hash, STORE_HASH_SIZE);
}

static bool take_last_block(const struct sql_value *values, void *data, GError **error)
{
	struct store_block *next = data;

	next->number = sql_to_integer(&values[0]) + 1;
	next->first = sql_to_integer(&values[1]);
	return store_take_hash(&values[2], next->previous, error);
}

/* The log holds what was sealed, so that a chain can't be made anew behind its back. */
static bool log_block(store *s, const struct store_block *block, const char *who, int64_t time_us,
		      GError **error)
{
	json_t *json = json_pack("{sI sI sI ss ss}", "first", (json_int_t)block->first, "n",
				 (json_int_t)block->n, "number", (json_int_t)block->number,
				 "sha256", block->hash, "visit", block->visit);
	struct store_entry entry = {
		.time_us = time_us,
		.who = (char *)who,
		.action = (char *)"seal",
		.why = (char *)"",
		.kind = (char *)"block",
	};
	bool good;

	entry.id = g_strdup_printf("%s/%" G_GINT64_FORMAT, block->visit, block->number);
	entry.body = base_canonical(json);
	json_decref(json);
	good = store_append(s, &entry, 0, error);
	g_free(entry.id);
	g_free(entry.body);
	return good;
}

static bool insert_block(store *s, const struct store_block *b, const GByteArray *bytes,
			 const GByteArray *summary, GError **error)
{
	return STORE_RUN(s,
			 "INSERT INTO block (visit, number, first, n, time_first_us, time_last_us,"
			 " low, high, mean, numbers, previous, hash)"
			 " VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
			 NULL, NULL, error, sql_text(b->visit), sql_integer(b->number),
			 sql_integer(b->first), sql_integer(b->n), sql_time(b->time_first_us),
			 sql_time(b->time_last_us), sql_real(b->low), sql_real(b->high),
			 sql_real(b->mean), sql_integer(b->numbers), sql_text(b->previous),
			 sql_text(b->hash)) &&
	       STORE_RUN(s,
			 "INSERT INTO block_bytes (visit, number, time_us, summary, readings)"
			 " VALUES ($1, $2, $3, $4, $5)",
			 NULL, NULL, error, sql_text(b->visit), sql_integer(b->number),
			 sql_integer(b->time_first_us == BASE_NO_TIME ? 0 : b->time_first_us),
			 sql_bytes(summary->data, summary->len),
			 sql_bytes(bytes->data, bytes->len));
}

bool store_put_block(store *s, const char *visit, const struct store_reading *readings, size_t n,
		     const char *who, int64_t time_us, GError **error)
{
	g_autoptr(GByteArray) bytes = block_encode(readings, n);
	g_autoptr(GByteArray) summary = block_summarise(readings, n);
	struct block_bucket all = BLOCK_EMPTY_BUCKET;
	struct store_block b = {
		.visit = (char *)visit, .number = 1, .n = (int64_t)n, .previous = STORE_NO_HASH
	};

	if (!STORE_RUN(s,
		       "SELECT number, first + n, hash FROM block WHERE visit = $1"
		       " ORDER BY number DESC LIMIT 1",
		       take_last_block, &b, error, sql_text(visit)))
		return false;
	for (size_t i = 0; i < n; i++)
		block_bucket_add(&all, &readings[i]);
	b.time_first_us = all.time_first_us;
	b.time_last_us = all.time_last_us;
	b.numbers = all.numbers;
	b.low = all.numbers > 0 ? all.low : NAN;
	b.high = all.numbers > 0 ? all.high : NAN;
	b.mean = all.numbers > 0 ? all.sum / (double)all.numbers : NAN;
	store_block_hash(&b, bytes->data, bytes->len, b.hash);
	return insert_block(s, &b, bytes, summary, error) && log_block(s, &b, who, time_us, error);
}

bool store_add_sealed(store *s, const char *visit, const struct store_reading *readings, size_t n,
		      const char *who, int64_t time_us, GError **error)
{
	g_assert(s->in_transaction && s->writes);
	if (!store_seal(s, visit, who, time_us, error))
		return false;
	for (size_t first = 0; first < n; first += BLOCK_READINGS)
		if (!store_put_block(s, visit, readings + first, MIN(n - first, BLOCK_READINGS),
				     who, time_us, error))
			return false;
	return true;
}

/* Rows from `first` on into one block; they go when what the block gives back is what they hold. */
static bool seal_some(store *s, const char *visit, int64_t first, const char *who, int64_t time_us,
		      GError **error)
{
	struct store_readings rows = store_no_readings(), sealed = { NULL, NULL };
	bool good = read_rows(s, visit, first, first + BLOCK_READINGS, &rows, error) &&
		    store_put_block(s, visit, (struct store_reading *)(void *)rows.readings->data,
				    rows.readings->len, who, time_us, error) &&
		    store_read(s, visit, first, rows.readings->len, &sealed, error);

	for (guint i = 0; good && i < rows.readings->len; i++)
		if (!block_same_reading(&g_array_index(rows.readings, struct store_reading, i),
					&g_array_index(sealed.readings, struct store_reading, i))) {
			g_set_error(error, STORE_ERROR, STORE_FAILED,
				    "reading %" G_GINT64_FORMAT
				    " of %s came back changed from its block; nothing was sealed",
				    first + i, visit);
			good = false;
		}
	good =
	    good && STORE_RUN(s, "DELETE FROM reading WHERE visit = $1 AND number < $2", NULL, NULL,
			      error, sql_text(visit), sql_integer(first + rows.readings->len));
	store_readings_clear(&rows);
	store_readings_clear(&sealed);
	return good;
}

bool store_seal(store *s, const char *visit, const char *who, int64_t time_us, GError **error)
{
	int64_t sealed, all;

	g_assert(s->in_transaction && s->writes);
	for (;;) {
		if (!store_count_both(s, visit, &sealed, &all, error))
			return false;
		if (all == sealed)
			return true;
		if (!seal_some(s, visit, sealed, who, time_us, error))
			return false;
	}
}

/* ---- reading them ---- */

static bool take_blocks(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	if (values[0].type == SQL_INTEGER)
		*(struct store_blocks *)data = (struct store_blocks){
			.low = sql_to_integer(&values[0]),
			.high = sql_to_integer(&values[1]),
			.first = sql_to_integer(&values[2]),
			.time_low_us = sql_to_integer(&values[3]),
			.time_high_us = sql_to_integer(&values[4]),
		};
	return true;
}

/* By the number of the first and the last, which are few steps in an index. */
bool store_find_blocks(store *s, const char *visit, int64_t first, int64_t end,
		       struct store_blocks *ret, GError **error)
{
	*ret = (struct store_blocks){ .low = 1, .first = first };
	return STORE_RUN(s,
			 "SELECT min(number), max(number), min(first), min(coalesce(time_first_us,"
			 " 0)), max(coalesce(time_first_us, 0)) FROM block WHERE visit = $1 AND"
			 " number >= coalesce((SELECT number FROM block WHERE visit = $1 AND first"
			 " <= $2 ORDER BY first DESC LIMIT 1), 0) AND number <= coalesce((SELECT"
			 " number FROM block WHERE visit = $1 AND first < $3 ORDER BY first DESC"
			 " LIMIT 1), 0)",
			 take_blocks, ret, error, sql_text(visit), sql_integer(first),
			 sql_integer(end));
}

bool store_run_over_bytes(store *s, const char *text, const char *visit,
			  const struct store_blocks *blocks, sql_row *row, void *data,
			  GError **error)
{
	return STORE_RUN(s, text, row, data, error, sql_text(visit), sql_integer(blocks->low),
			 sql_integer(blocks->high), sql_integer(blocks->time_low_us),
			 sql_integer(blocks->time_high_us));
}

bool store_blocks_gone(const char *visit, GError **error)
{
	g_set_error(error, STORE_ERROR, STORE_DAMAGED,
		    "sealed readings of visit %s are gone; `firn book check` tells which, and a "
		    "backup has them",
		    visit);
	return false;
}

static bool take_block_readings(const struct sql_value *values, void *data, GError **error)
{
	return block_decode(values[0].bytes, values[0].n, data, error);
}

static bool read_sealed(store *s, const char *visit, int64_t first, int64_t end,
			struct store_readings *to, GError **error)
{
	struct store_blocks blocks;

	if (!store_find_blocks(s, visit, first, end, &blocks, error) ||
	    !store_run_over_bytes(s, STORE_BYTES_OF_BLOCKS("y.readings"), visit, &blocks,
				  take_block_readings, to, error))
		return false;
	if (blocks.first + to->readings->len < end)
		return store_blocks_gone(visit, error);
	g_array_remove_range(to->readings, 0, (guint)(first - blocks.first));
	g_array_set_size(to->readings, (guint)(end - first));
	return true;
}

static bool read_all(store *s, const char *visit, int64_t first, int64_t end,
		     struct store_readings *to, GError **error)
{
	int64_t sealed, all;

	return store_count_both(s, visit, &sealed, &all, error) &&
	       (first >= sealed || read_sealed(s, visit, first, MIN(end, sealed), to, error)) &&
	       (end <= sealed || read_rows(s, visit, MAX(first, sealed), end, to, error));
}

bool store_read(store *s, const char *visit, int64_t first, int64_t n, struct store_readings *ret,
		GError **error)
{
	bool begun, good;

	*ret = store_no_readings();
	if (first < 0 || n <= 0)
		return true;
	good = store_begin_reading(s, &begun, error);
	if (good) {
		good = read_all(s, visit, first, first + n, ret, error);
		store_end_reading(s, begun);
	}
	if (!good)
		store_readings_clear(ret);
	return good;
}

static bool take_name(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	g_ptr_array_add(data, g_strdup(sql_to_text(values)));
	return true;
}

bool store_visits_with_readings(store *s, GPtrArray *ret_names, GError **error)
{
	return STORE_RUN_PLAIN(s,
			       "SELECT visit FROM block UNION SELECT visit FROM reading ORDER BY 1",
			       take_name, ret_names, error);
}
