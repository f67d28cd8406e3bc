/*
 * The newest readings, which are rows until they are sealed. A row carries a digest of itself: the
 * first eight bytes, the highest first, of the SHA-256 of
 *
 *   visit, NUL, number, time, current, value, bath, quantity, flag
 *
 * with the numbers as eight bytes each, the lowest first: integers, and doubles by their bits (0
 * for both zeros, all bits set for none); of time not given the lowest integer, of no flag nothing.
 * Rows of a book of format 1 have none.
 */
#include "app/base/time.h"
#include "app/store/inside.h"

#include <math.h>
#include <string.h>

static int64_t bits_of(double x)
{
	int64_t bits = -1;

	if (isnan(x))
		return bits;
	x = x == 0.0 ? 0.0 : x;
	memcpy(&bits, &x, sizeof bits);
	return bits;
}

int64_t store_row_digest(const char *visit, int64_t number, const struct store_reading *r)
{
	GChecksum *checksum = g_checksum_new(G_CHECKSUM_SHA256);
	const int64_t numbers[] = { number,
				    r->time_us == BASE_NO_TIME ? INT64_MIN : r->time_us,
				    bits_of(r->current_mA),
				    bits_of(r->value),
				    bits_of(r->bath_C),
				    r->quantity };
	guint8 hash[32];
	gsize n = sizeof hash;
	uint64_t digest;

	g_checksum_update(checksum, (const guchar *)visit, (gssize)strlen(visit) + 1);
	for (size_t i = 0; i < G_N_ELEMENTS(numbers); i++) {
		const int64_t word = GINT64_TO_LE(numbers[i]);

		g_checksum_update(checksum, (const guchar *)&word, sizeof word);
	}
	if (r->flag != NULL)
		g_checksum_update(checksum, (const guchar *)r->flag, (gssize)strlen(r->flag));
	g_checksum_get_digest(checksum, hash, &n);
	g_checksum_free(checksum);
	memcpy(&digest, hash, sizeof digest);
	return (int64_t)GUINT64_FROM_BE(digest);
}

struct store_reading store_row_reading(const struct sql_value *values)
{
	return (struct store_reading){
		.time_us =
		    values[1].type == SQL_INTEGER ? sql_to_integer(&values[1]) : BASE_NO_TIME,
		.current_mA = sql_to_real(&values[2]),
		.value = sql_to_real(&values[3]),
		.bath_C = sql_to_real(&values[4]),
		.quantity = sql_to_integer(&values[5]) == STORE_OHM ? STORE_OHM : STORE_RATIO,
		.flag = sql_to_text(&values[6]),
	};
}

bool store_row_holds(const char *visit, const struct sql_value *values)
{
	const struct store_reading r = store_row_reading(values);

	return values[7].type == SQL_NULL || (sql_to_integer(&values[5]) == r.quantity &&
					      store_row_digest(visit, sql_to_integer(&values[0]),
							       &r) == sql_to_integer(&values[7]));
}

/* ---- all of them ---- */

struct inspection {
	store_fault *fault;
	void *data;
	GHashTable *ends; /* visit -> how many readings of it are sealed */
	char *visit;      /* of the row before */
	int64_t next;
};

static bool note_end(const struct sql_value *values, void *data, GError **error)
{
	const struct inspection *in = data;
	int64_t *end = g_new(int64_t, 1);

	(void)error;
	*end = sql_to_integer(&values[1]);
	g_hash_table_insert(in->ends, g_strdup(sql_to_text(&values[0])), end);
	return true;
}

static void begin_visit(struct inspection *in, const char *visit)
{
	const int64_t *end = g_hash_table_lookup(in->ends, visit);

	g_free(in->visit);
	in->visit = g_strdup(visit);
	in->next = end != NULL ? *end : 0;
}

static bool check_row(const struct sql_value *values, void *data, GError **error)
{
	struct inspection *in = data;
	const char *visit = sql_to_text(&values[0]);
	const int64_t number = sql_to_integer(&values[1]);
	g_autofree char *place =
	    g_strdup_printf("reading %" G_GINT64_FORMAT " of visit %s", number, visit);

	(void)error;
	if (g_strcmp0(in->visit, visit) != 0)
		begin_visit(in, visit);
	if (number != in->next)
		in->fault(place, "it doesn't follow from the reading before it", in->data);
	if (!store_row_holds(visit, values + 1))
		in->fault(place, "it is not what was written: its digest differs", in->data);
	in->next = number + 1;
	return true;
}

bool store_check_rows(store *s, store_fault *fault, void *data, GError **error)
{
	struct inspection in = { .fault = fault, .data = data };
	bool good;

	in.ends = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
	good = STORE_RUN_PLAIN(s, "SELECT visit, max(first + n) FROM block GROUP BY visit",
			       note_end, &in, error) &&
	       STORE_RUN_PLAIN(
		   s, "SELECT visit, " STORE_ROW_COLUMNS " FROM reading ORDER BY visit, number",
		   check_row, &in, error);
	g_hash_table_destroy(in.ends);
	g_free(in.visit);
	return good;
}
