/*
 * One suite for both databases: SQLite always; PostgreSQL when FIRN_BOOK_SERVER names a server in
 * which this test may make databases (tests/support/book_server.py starts one).
 */
#define _POSIX_C_SOURCE 200809L

#include "app/store/store.h"

#include "app/base/time.h"
#include "app/store/block.h"
#include "app/store/sql.h"
#include "tests/support/near.h"

#include <glib/gstdio.h>
#include <libpq-fe.h>
#include <string.h>
#include <unistd.h>

/* ---- a fresh book for each test ---- */

static const char *server; /* NULL: books are files */
static char *folder;

static void make_database(const char *name)
{
	g_autofree char *text = g_strdup_printf("CREATE DATABASE %s", name);
	PGconn *pg = PQconnectdb(server);
	PGresult *result = PQexec(pg, text);

	if (PQresultStatus(result) != PGRES_COMMAND_OK)
		fail_msg("%s: %s", server, PQerrorMessage(pg));
	PQclear(result);
	PQfinish(pg);
}

/* A server's address is postgresql://user@/?host=FOLDER; the database stands after the slash. */
static char *new_place(void)
{
	static int n;
	g_autofree char *name = g_strdup_printf("book_%d_%d", (int)getpid(), n++);
	const char *slash;

	if (server == NULL)
		return g_strdup_printf("%s/%s.firn", folder, name);
	make_database(name);
	slash = strchr(strchr(server, ':') + 3, '/');
	return g_strdup_printf("%.*s/%s%s", (int)(slash - server), server, name,
			       strchr(slash, '?'));
}

static char *new_book(void)
{
	char *where = new_place();
	GError *error = NULL;
	const struct store_identity identity = { (char *)"0123456789abcdef0123456789abcdef",
						 (char *)"Hollowmere", INT64_C(1900000000000000),
						 true };

	if (!store_create(where, &identity, &error))
		fail_msg("%s: %s", where, error->message);
	return where;
}

static store *open_book(const char *where)
{
	GError *error = NULL;
	store *s = store_open(where, true, &error);

	if (s == NULL)
		fail_msg("%s: %s", where, error->message);
	return s;
}

#define MUST(call)                                                                                 \
	do {                                                                                       \
		GError *error = NULL;                                                              \
		if (!(call))                                                                       \
			fail_msg("%s: %s", #call, error->message);                                 \
	} while (0)

#define REFUSED(call, why)                                                                         \
	do {                                                                                       \
		GError *error = NULL;                                                              \
		assert_false(call);                                                                \
		assert_non_null(error);                                                            \
		if (error->code != (why))                                                          \
			fail_msg("%s: %d %s", #call, error->code, error->message);                 \
		g_clear_error(&error);                                                             \
	} while (0)

static void append(store *s, const char *id, int64_t expected, const char *body)
{
	struct store_entry e = { .time_us = INT64_C(1900000000000001),
				 .who = (char *)"ada",
				 .action = (char *)"register",
				 .why = (char *)"",
				 .kind = (char *)"cell",
				 .id = (char *)id,
				 .body = (char *)body };

	MUST(store_append(s, &e, expected, &error));
}

static void note_fault(const char *place, const char *what, void *data)
{
	g_string_append_printf(data, "%s: %s\n", place, what);
}

static void assert_sound(store *s)
{
	g_autoptr(GString) faults = g_string_new(NULL);

	MUST(store_check(s, note_fault, faults, &error));
	assert_string_equal(faults->str, "");
}

/* ---- the log ---- */

static void records_have_versions(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	struct store_entry e = { .time_us = 1,
				 .who = (char *)"ada",
				 .action = (char *)"register",
				 .why = (char *)"",
				 .kind = (char *)"cell",
				 .id = (char *)"W1",
				 .body = (char *)"{}" };
	struct store_entry found;

	(void)state;
	MUST(store_begin(s, true, &error));
	append(s, "W1", 0, "{\"point\":\"H2O\"}");
	append(s, "W2", 0, "{}");
	append(s, "W1", 1, "{\"point\":\"H2O\",\"state\":\"broken\"}");
	REFUSED(store_append(s, &e, 0, &error), STORE_CHANGED);
	REFUSED(store_append(s, &e, 1, &error), STORE_CHANGED);
	MUST(store_commit(s, &error));

	MUST(store_latest(s, "cell", "W1", &found, &error));
	assert_int_equal(found.version, 2);
	assert_int_equal(found.seq, 3);
	assert_string_equal(found.body, "{\"point\":\"H2O\",\"state\":\"broken\"}");
	store_entry_clear(&found);
	MUST(store_version(s, "cell", "W1", 1, &found, &error));
	assert_string_equal(found.body, "{\"point\":\"H2O\"}");
	store_entry_clear(&found);
	REFUSED(store_latest(s, "cell", "W3", &found, &error), STORE_ABSENT);
	REFUSED(store_latest(s, "visit", "W1", &found, &error), STORE_ABSENT);
	assert_sound(s);
}

static bool join_ids(const struct store_entry *entry, void *data, GError **error)
{
	(void)error;
	g_string_append_printf(data, "%s.%d ", entry->id, (int)entry->version);
	return true;
}

static void lists_are_in_order(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	g_autoptr(GString) ids = g_string_new(NULL);

	(void)state;
	MUST(store_begin(s, true, &error));
	append(s, "b", 0, "{}");
	append(s, "B", 0, "{}");
	append(s, "a", 0, "{}");
	append(s, "b", 1, "{}");
	MUST(store_commit(s, &error));
	MUST(store_each(s, "cell", join_ids, ids, &error));
	assert_string_equal(ids->str, "B.1 a.1 b.2 ");
	g_string_truncate(ids, 0);
	MUST(store_history(s, "cell", "b", join_ids, ids, &error));
	assert_string_equal(ids->str, "b.1 b.2 ");
	g_string_truncate(ids, 0);
	MUST(store_log(s, 2, join_ids, ids, &error));
	assert_string_equal(ids->str, "a.1 b.2 ");
}

static void what_is_rolled_back_was_not(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	struct store_entry found;

	(void)state;
	MUST(store_begin(s, true, &error));
	append(s, "W1", 0, "{}");
	store_rollback(s);
	REFUSED(store_latest(s, "cell", "W1", &found, &error), STORE_ABSENT);
	assert_sound(s);
}

/* ---- readings ---- */

static void fill(struct store_reading *r, size_t n, double from)
{
	memset(r, 0, n * sizeof *r);
	for (size_t i = 0; i < n; i++) {
		r[i].time_us = INT64_C(1900000000000000) + (int64_t)i * 1000000;
		r[i].current_mA = 1;
		r[i].value = from + (double)i * 1e-9;
		r[i].bath_C = i % 2 == 0 ? 23.013 : NAN;
		r[i].flag = i % 50 == 7 ? "set aside: knock" : NULL;
	}
}

static void assert_readings(store *s, const char *visit, int64_t first,
			    const struct store_reading *r, size_t n)
{
	struct store_readings found;

	MUST(store_read(s, visit, first, (int64_t)n, &found, &error));
	assert_int_equal(found.readings->len, n);
	for (size_t i = 0; i < n; i++)
		assert_true(block_same_reading(
		    &r[i], &g_array_index(found.readings, struct store_reading, (guint)i)));
	store_readings_clear(&found);
}

#define MANY 20000

static void readings_come_back(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	g_autofree struct store_reading *r = g_new(struct store_reading, MANY);
	int64_t first, n;

	(void)state;
	fill(r, MANY, 0.86);
	MUST(store_begin(s, true, &error));
	MUST(store_add_readings(s, "v1", r, 300, &first, &error));
	assert_int_equal(first, 0);
	MUST(store_add_readings(s, "v1", r + 300, 200, &first, &error));
	assert_int_equal(first, 300);
	MUST(store_commit(s, &error));
	assert_readings(s, "v1", 0, r, 500);
	MUST(store_begin(s, true, &error));
	MUST(store_seal(s, "v1", "ada", 5, &error));
	MUST(store_seal(s, "v1", "ada", 5, &error)); /* nothing is left to seal */
	MUST(store_add_readings(s, "v1", r + 500, 500, &first, &error));
	assert_int_equal(first, 500);
	MUST(store_commit(s, &error));
	assert_readings(s, "v1", 0, r, 1000);
	assert_readings(s, "v1", 490, r + 490, 20);
	MUST(store_begin(s, true, &error));
	MUST(store_add_sealed(s, "v1", r + 1000, MANY - 1000, "ada", 6, &error));
	MUST(store_commit(s, &error));
	MUST(store_count_readings(s, "v1", &n, &error));
	assert_int_equal(n, MANY);
	assert_readings(s, "v1", 0, r, MANY);
	assert_readings(s, "v1", 9000, r + 9000, 9000);
	assert_readings(s, "v1", MANY, r, 0);
	assert_sound(s);
}

/* Against a plain pass over all readings. */
static void outlines_keep_extremes(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	g_autoptr(GRand) rand = g_rand_new_with_seed(3);
	const size_t all = 40 * BLOCK_READINGS + 1234;
	g_autofree struct store_reading *r = g_new(struct store_reading, all);
	static const int points[] = { 1, 3, 40, 600, 5000 };

	(void)state;
	fill(r, all, 0.86);
	for (size_t i = 0; i < all; i++)
		r[i].value = g_rand_double(rand);
	MUST(store_begin(s, true, &error));
	MUST(store_add_sealed(s, "v", r, 40 * BLOCK_READINGS, "ada", 6, &error));
	MUST(store_add_readings(s, "v", r + 40 * BLOCK_READINGS, 1234, NULL, &error));
	MUST(store_commit(s, &error));
	for (size_t p = 0; p < G_N_ELEMENTS(points); p++) {
		g_autoptr(GArray) found = g_array_new(FALSE, FALSE, sizeof(struct store_stretch));
		const size_t first = 777, n = all - 1000;
		size_t at = first;

		MUST(store_outline(s, "v", (int64_t)first, (int64_t)n, points[p], found, &error));
		assert_true(found->len <= (guint)points[p] &&
			    found->len * 10 >= (guint)points[p] * 9);
		for (guint i = 0; i < found->len; i++) {
			const struct store_stretch *x =
			    &g_array_index(found, struct store_stretch, i);
			double low = INFINITY, high = -INFINITY, sum = 0;

			assert_int_equal(x->first, at);
			for (int64_t j = 0; j < x->n; j++, at++) {
				low = fmin(low, r[at].value);
				high = fmax(high, r[at].value);
				sum += r[at].value;
			}
			assert_near(x->low, low, 0);
			assert_near(x->high, high, 0);
			assert_near_relative(x->mean, sum / (double)x->n, 1e-12);
			assert_true(x->time_first_us == r[x->first].time_us &&
				    x->time_last_us == r[at - 1].time_us);
		}
		assert_int_equal(at, first + n);
	}
}

/* ---- files ---- */

static void files_are_kept(void **state)
{
	g_autofree char *where = new_book();
	g_autoptr(store) s = open_book(where);
	char name[STORE_HASH_SIZE], again[STORE_HASH_SIZE];
	g_autoptr(GBytes) bytes = NULL;

	(void)state;
	MUST(store_begin(s, true, &error));
	MUST(store_put_file(s, "a\0b", 3, name, &error));
	MUST(store_put_file(s, "a\0b", 3, again, &error));
	MUST(store_commit(s, &error));
	assert_string_equal(name, again);
	bytes = store_get_file(s, name, NULL);
	assert_non_null(bytes);
	assert_int_equal(g_bytes_get_size(bytes), 3);
	assert_memory_equal(g_bytes_get_data(bytes, NULL), "a\0b", 3);
	REFUSED(store_get_file(s, STORE_ERROR ? "00" : "", &error), STORE_ABSENT);
	assert_sound(s);
}

/* ---- the rules stand in the database ---- */

static struct sql_connection *connect_plainly(const char *where)
{
	GError *error = NULL;
	struct sql_connection *sql = store_is_remote(where)
					 ? postgres_connect(where, false, true, &error)
					 : sqlite_connect(where, false, true, &error);

	if (sql == NULL)
		fail_msg("%s", error->message);
	return sql;
}

static void the_database_refuses(void **state)
{
	static const char *const statements[] = {
		"UPDATE entry SET body = '{\"a\":1}'",
		"DELETE FROM entry",
		"DELETE FROM entry WHERE seq = 2",
		"UPDATE reading SET value = 1",
		"DELETE FROM reading",
		"UPDATE block SET first = 1",
		"DELETE FROM block",
		"UPDATE block_bytes SET number = 9",
		"DELETE FROM block_bytes",
		"UPDATE file SET sha256 = 'a'",
		"DELETE FROM file",
		"UPDATE identity SET value = 'no' WHERE key = 'simulated'",
		"DELETE FROM identity",
		"UPDATE migration SET number = 7",
		"DELETE FROM migration",
		"INSERT INTO entry (seq, time_us, who, action, why, kind, id, version, body,"
		" previous, hash) VALUES (9, 1, 'x', 'x', '', 'cell', 'W9', 1, '{}', 'a', 'b')",
		"INSERT INTO reading (visit, number, time_us, current_mA, value, bath_C, quantity,"
		" flag) VALUES ('v', 3, 1, 1, 1, 1, 0, NULL)",
	};
	g_autofree char *where = new_book();
	store *s = open_book(where);
	struct store_reading r[20];
	struct sql_connection *sql;
	char name[STORE_HASH_SIZE];

	(void)state;
	fill(r, 20, 0.86);
	MUST(store_begin(s, true, &error));
	append(s, "W1", 0, "{}");
	append(s, "W2", 0, "{}");
	MUST(store_add_sealed(s, "v", r, 10, "ada", 6, &error));
	MUST(store_add_readings(s, "v", r + 10, 10, NULL, &error));
	MUST(store_put_file(s, "abc", 3, name, &error));
	MUST(store_commit(s, &error));
	store_close(s);
	sql = connect_plainly(where);
	for (size_t i = 0; i < G_N_ELEMENTS(statements); i++)
		REFUSED(sql->class->run(sql, statements[i], NULL, 0, NULL, NULL, &error),
			STORE_REFUSED);
	sql->class->close(sql);
	s = open_book(where);
	assert_sound(s);
	assert_readings(s, "v", 0, r, 20);
	store_close(s);
}

/* ---- whole books ---- */

static void a_copy_is_the_same(void **state)
{
	g_autofree char *where = new_book(),
			*copied = g_strdup_printf("%s/%d.firn", folder, rand());
	g_autofree char *moved = new_place();
	g_autoptr(store) s = open_book(where);
	g_autoptr(store) copy = NULL, other = NULL;
	struct store_reading r[100];

	(void)state;
	fill(r, 100, 0.5);
	MUST(store_begin(s, true, &error));
	append(s, "W1", 0, "{}");
	MUST(store_add_sealed(s, "v", r, 60, "ada", 6, &error));
	MUST(store_add_readings(s, "v", r + 60, 40, NULL, &error));
	MUST(store_commit(s, &error));
	MUST(store_backup(s, copied, &error));
	REFUSED(store_backup(s, copied, &error), STORE_EXISTS);
	copy = open_book(copied);
	assert_sound(copy);
	assert_readings(copy, "v", 0, r, 100);
	assert_string_equal(store_identity(copy)->laboratory, "Hollowmere");
	MUST(store_move(copy, moved, &error));
	other = open_book(moved);
	assert_sound(other);
	assert_readings(other, "v", 0, r, 100);
	assert_true(store_identity(other)->simulated);
}

static void what_is_no_book_is_left_alone(void **state)
{
	g_autofree char *path = g_strdup_printf("%s/text.firn", folder), *text = NULL;
	g_autofree char *none = g_strdup_printf("%s/none.firn", folder);
	const struct store_identity identity = { (char *)"ab", (char *)"x", 1, false };

	(void)state;
	assert_true(g_file_set_contents(path, "Not a database, but a letter.\n", -1, NULL));
	REFUSED(store_open(path, true, &error), STORE_NOT_BOOK);
	REFUSED(store_create(path, &identity, &error), STORE_EXISTS);
	assert_true(g_file_get_contents(path, &text, NULL, NULL));
	assert_string_equal(text, "Not a database, but a letter.\n");
	REFUSED(store_open(none, true, &error), STORE_ABSENT);
	assert_false(g_file_test(none, G_FILE_TEST_EXISTS));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(records_have_versions),
		cmocka_unit_test(lists_are_in_order),
		cmocka_unit_test(what_is_rolled_back_was_not),
		cmocka_unit_test(readings_come_back),
		cmocka_unit_test(outlines_keep_extremes),
		cmocka_unit_test(files_are_kept),
		cmocka_unit_test(the_database_refuses),
		cmocka_unit_test(a_copy_is_the_same),
		cmocka_unit_test(what_is_no_book_is_left_alone),
	};
	int failed;

	server = g_getenv("FIRN_BOOK_SERVER");
	folder = g_dir_make_tmp("firn-store-XXXXXX", NULL);
	failed = cmocka_run_group_tests_name(server == NULL ? "SQLite" : "PostgreSQL", tests, NULL,
					     NULL);
	{
		g_autofree char *command = g_strdup_printf("rm -rf '%s'", folder);

		if (system(command) != 0)
			failed++;
	}
	g_free(folder);
	return failed;
}
