/* Everything read again: each block against its bytes, its chain, its summary and the log. */
#include "app/base/time.h"
#include "app/store/block.h"
#include "app/store/inside.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

struct inspection {
	store *store;
	store_fault *fault;
	void *data;
	char *visit; /* of the block before */
	int64_t number, end;
	char hash[STORE_HASH_SIZE];
	GHashTable *sealed; /* "visit/number" -> hash, from the log */
};

static bool note_sealing(const struct store_entry *entry, void *data, GError **error)
{
	struct inspection *in = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *hash = json_string_value(json_object_get(body, "sha256"));

	(void)error;
	g_hash_table_insert(in->sealed, g_strdup(entry->id), g_strdup(hash != NULL ? hash : ""));
	json_decref(body);
	return true;
}

static void tell(const struct inspection *in, const struct store_block *b, const char *what)
{
	g_autofree char *place =
	    g_strdup_printf("block %" G_GINT64_FORMAT " of visit %s (readings "
			    "%" G_GINT64_FORMAT " to %" G_GINT64_FORMAT ")",
			    b->number, b->visit, b->first, b->first + b->n - 1);

	in->fault(place, what, in->data);
}

/* A block follows the one before it of its visit, or begins the visit's chain. */
static void check_chain(struct inspection *in, const struct store_block *b)
{
	if (in->visit == NULL || strcmp(in->visit, b->visit) != 0) {
		g_free(in->visit);
		in->visit = g_strdup(b->visit);
		in->number = 0;
		in->end = 0;
		memcpy(in->hash, STORE_NO_HASH, sizeof in->hash);
	}
	if (b->number != in->number + 1 || b->first != in->end)
		tell(in, b, "readings before it are missing");
	else if (strcmp(b->previous, in->hash) != 0)
		tell(in, b, "it doesn't follow from the block before it");
	in->number = b->number;
	in->end = b->first + b->n;
	memcpy(in->hash, b->hash, sizeof in->hash);
}

static void check_log_knows(struct inspection *in, const struct store_block *b)
{
	g_autofree char *id = g_strdup_printf("%s/%" G_GINT64_FORMAT, b->visit, b->number);
	const char *hash = g_hash_table_lookup(in->sealed, id);

	if (hash == NULL)
		tell(in, b, "the log doesn't know it");
	else if (strcmp(hash, b->hash) != 0)
		tell(in, b, "the log holds another hash of it");
	g_hash_table_remove(in->sealed, id);
}

static bool same(double a, double b)
{
	return a == b || (isnan(a) && isnan(b));
}

/* What the row and the summary tell of the readings is what the readings say. */
static bool summary_holds(const struct store_block *b, const struct store_readings *readings,
			  const struct sql_value *summary)
{
	const struct store_reading *first = (const void *)readings->readings->data;
	g_autoptr(GByteArray) anew = block_summarise(first, readings->readings->len);
	struct block_bucket all = BLOCK_EMPTY_BUCKET;

	for (guint i = 0; i < readings->readings->len; i++)
		block_bucket_add(&all, &first[i]);
	if (b->n != all.n || b->numbers != all.numbers || b->time_first_us != all.time_first_us ||
	    b->time_last_us != all.time_last_us)
		return false;
	if (all.numbers > 0 && (!same(b->low, all.low) || !same(b->high, all.high) ||
				!same(b->mean, all.sum / (double)all.numbers)))
		return false;
	return summary->n == anew->len && memcmp(summary->bytes, anew->data, anew->len) == 0;
}

static void check_bytes(struct inspection *in, const struct store_block *b,
			const struct sql_value *bytes, const struct sql_value *summary)
{
	struct store_readings readings = { g_array_new(FALSE, TRUE, sizeof(struct store_reading)),
					   g_string_chunk_new(64) };
	char hash[STORE_HASH_SIZE];

	store_block_hash(b, bytes->bytes, bytes->n, hash);
	if (strcmp(hash, b->hash) != 0)
		tell(in, b, "its readings are not what was sealed: their hash differs");
	else if (!block_decode(bytes->bytes, bytes->n, &readings, NULL) ||
		 readings.readings->len != b->n)
		tell(in, b, "its readings can't be opened");
	else if (!summary_holds(b, &readings, summary))
		tell(in, b, "its summary doesn't say what its readings do");
	store_readings_clear(&readings);
}

static int64_t time_or_none(const struct sql_value *value)
{
	return value->type == SQL_INTEGER ? value->integer : BASE_NO_TIME;
}

static bool check_block(const struct sql_value *values, void *data, GError **error)
{
	struct inspection *in = data;
	struct store_block b = {
		.visit = (char *)sql_to_text(&values[0]),
		.number = sql_to_integer(&values[1]),
		.first = sql_to_integer(&values[2]),
		.n = sql_to_integer(&values[3]),
		.time_first_us = time_or_none(&values[4]),
		.time_last_us = time_or_none(&values[5]),
		.low = sql_to_real(&values[6]),
		.high = sql_to_real(&values[7]),
		.mean = sql_to_real(&values[8]),
		.numbers = sql_to_integer(&values[9]),
	};

	(void)error;
	(void)store_take_hash(&values[10], b.previous, NULL);
	(void)store_take_hash(&values[11], b.hash, NULL);
	check_chain(in, &b);
	check_log_knows(in, &b);
	if (values[13].type == SQL_NULL)
		tell(in, &b, "its readings are gone");
	else
		check_bytes(in, &b, &values[13], &values[12]);
	return true;
}

bool store_check_blocks(store *s, store_fault *fault, void *data, GError **error)
{
	struct inspection in = { .store = s, .fault = fault, .data = data };
	GHashTableIter left;
	gpointer id;
	bool good;

	in.sealed = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
	good = store_each(s, "block", note_sealing, &in, error) &&
	       STORE_RUN_PLAIN(s,
			       "SELECT b.visit, b.number, b.first, b.n, b.time_first_us,"
			       " b.time_last_us, b.low, b.high, b.mean, b.numbers, b.previous,"
			       " b.hash, y.summary, y.readings FROM block b LEFT JOIN block_bytes y"
			       " ON y.visit = b.visit AND y.number = b.number"
			       " AND y.time_us = coalesce(b.time_first_us, 0)"
			       " ORDER BY b.visit, b.number",
			       check_block, &in, error);
	g_hash_table_iter_init(&left, in.sealed);
	while (good && g_hash_table_iter_next(&left, &id, NULL))
		fault(id, "the log tells of this block of readings, and it is gone", data);
	g_hash_table_destroy(in.sealed);
	g_free(in.visit);
	return good;
}
