/*
 * Power cuts: a book on a disk that forgets what was not synced and tears what it was writing
 * (weak_disk.h). After each cut the book opens, is sound, and holds every transaction that
 * store_commit acknowledged, whole; of the one under way, all or nothing.
 *
 *   test_fault_power [CUTS [SEED]]
 */
#define _POSIX_C_SOURCE 200809L

#include "tests/fault/made_reading.h"
#include "tests/fault/weak_disk.h"
#include "tests/support/near.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>

#define CUTS         1000
#define CUTS_OF_BOOK 20  /* then a new one: each check reads the whole book */
#define MOST         200 /* readings in a transaction */
#define LONGEST      300 /* writes until the power goes */
#define VISIT        "v"
#define TIME_US      INT64_C(1900000000000000)

static long cuts = CUTS;
static uint64_t first_seed = 1;
static char *folder;

/* ---- what is written: everything follows from its number ---- */

/* What a transaction leaves: its record says how many readings and files there are with it. */
struct tally {
	int64_t version, readings, files;
};

static GBytes *made_file(int64_t number)
{
	const uint64_t bits = made_bits((uint64_t)number ^ 77);
	const size_t words = bits % 8 == 0 ? 50000 : bits % 800; /* 0.4 MB: checkpoints */
	uint64_t *all = g_new(uint64_t, words + 1);

	for (size_t i = 0; i < words; i++)
		all[i] = made_bits(bits + i);
	return g_bytes_new_take(all, words * sizeof *all);
}

static bool write_readings(store *s, const struct tally *t, size_t n, uint64_t bits, GError **error)
{
	static struct store_reading readings[MOST];

	for (size_t i = 0; i < n; i++)
		readings[i] = made_reading(VISIT, t->readings + (int64_t)i);
	if (bits % 4 == 0)
		return store_add_sealed(s, VISIT, readings, n, "ada", TIME_US, error);
	return store_add_readings(s, VISIT, readings, n, NULL, error) &&
	       (bits % 4 == 1 || store_seal(s, VISIT, "ada", TIME_US, error));
}

static bool write_file(store *s, int64_t number, GError **error)
{
	g_autoptr(GBytes) bytes = made_file(number);
	char name[STORE_HASH_SIZE];

	return store_put_file(s, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), name,
			      error);
}

static bool write_tally(store *s, const struct tally *before, const struct tally *t, GError **error)
{
	g_autofree char *body =
	    g_strdup_printf("{\"files\":%" G_GINT64_FORMAT ",\"readings\":%" G_GINT64_FORMAT "}",
			    t->files, t->readings);
	struct store_entry e = { .time_us = TIME_US,
				 .who = (char *)"ada",
				 .action = (char *)"count",
				 .why = (char *)"",
				 .kind = (char *)"tally",
				 .id = (char *)"T",
				 .body = body };

	return store_append(s, &e, before->version, error);
}

/* One transaction, acknowledged or not. */
static bool transact(store *s, struct tally *acknowledged, uint64_t bits)
{
	struct tally t = *acknowledged;
	const size_t n = bits % 5 == 0 ? bits % MOST : bits % 9;
	g_autoptr(GError) error = NULL;

	if (!store_begin(s, true, &error))
		return false;
	t.version++;
	t.readings += (int64_t)n;
	t.files += bits % 3 == 0;
	if (write_readings(s, acknowledged, n, bits >> 20, &error) &&
	    (t.files == acknowledged->files || write_file(s, t.files, &error)) &&
	    write_tally(s, acknowledged, &t, &error)) {
		if (!store_commit(s, &error))
			return false;
		*acknowledged = t;
		return true;
	}
	store_rollback(s);
	return false;
}

/* Works until the power goes, leaving and opening the book now and then. */
static void work(const char *where, struct tally *acknowledged, uint64_t seed)
{
	store *s = NULL;

	for (uint64_t i = 0; !weak_disk_has_failed(); i++) {
		const uint64_t bits = made_bits(seed ^ made_bits(i));

		if (s == NULL)
			s = store_open(where, true, NULL);
		if (s != NULL && !transact(s, acknowledged, bits) && !weak_disk_has_failed())
			fail_msg("seed %" G_GUINT64_FORMAT ": refused, with the power on", seed);
		if ((bits >> 40) % 6 == 0)
			g_clear_pointer(&s, store_close);
	}
	store_close(s);
}

/* ---- what is found ---- */

static void note_fault(const char *place, const char *what, void *data)
{
	g_string_append_printf(data, "%s: %s\n", place, what);
}

static bool take_tally(const struct store_entry *entry, void *data, GError **error)
{
	struct tally *t = data;
	const char *readings = strstr(entry->body, "\"readings\":");

	(void)error;
	t->version = entry->version;
	t->files = g_ascii_strtoll(entry->body + strlen("{\"files\":"), NULL, 10);
	t->readings = g_ascii_strtoll(readings + strlen("\"readings\":"), NULL, 10);
	return true;
}

/* The SHA-256 of a made file, computed once. */
static const char *name_of_file(int64_t number)
{
	static GPtrArray *names;

	if (names == NULL)
		names = g_ptr_array_new_with_free_func(g_free);
	while (names->len < number) {
		g_autoptr(GBytes) bytes = made_file(names->len + 1);

		g_ptr_array_add(names, g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes));
	}
	return g_ptr_array_index(names, number - 1);
}

/* store_check has held the bytes of those that are there to their names. */
static bool has_files(store *s, int64_t n)
{
	for (int64_t i = 1; i <= n; i++) {
		g_autoptr(GBytes) found = store_get_file(s, name_of_file(i), NULL);

		if (found == NULL)
			return false;
	}
	return true;
}

static void inspect(store *s, struct tally *acknowledged, uint64_t seed)
{
	g_autoptr(GString) faults = g_string_new(NULL);
	g_autoptr(GError) error = NULL;
	struct store_readings found = { NULL, NULL };
	struct tally t = { 0, 0, 0 };
	int64_t n = 0;

	if (!store_check(s, note_fault, faults, &error) ||
	    !store_history(s, "tally", "T", take_tally, &t, &error) ||
	    !store_count_readings(s, VISIT, &n, &error) ||
	    !store_read(s, VISIT, 0, n, &found, &error))
		fail_msg("seed %" G_GUINT64_FORMAT ": %s", seed, error->message);
	if (faults->len > 0)
		fail_msg("seed %" G_GUINT64_FORMAT ": %s", seed, faults->str);
	if (t.version < acknowledged->version || t.version > acknowledged->version + 1)
		fail_msg("seed %" G_GUINT64_FORMAT ": transaction %d is the last, %d was "
			 "acknowledged",
			 seed, (int)t.version, (int)acknowledged->version);
	if (n != t.readings || found.readings->len != n || made_difference(VISIT, &found) >= 0 ||
	    !has_files(s, t.files))
		fail_msg("seed %" G_GUINT64_FORMAT ": transaction %d is not there whole", seed,
			 (int)t.version);
	store_readings_clear(&found);
	*acknowledged = t;
}

/* ---- cuts ---- */

static char *new_book(uint64_t seed)
{
	const struct store_identity identity = { (char *)"0123456789abcdef0123456789abcdef",
						 (char *)"Hollowmere", TIME_US, true };
	char *where = g_strdup_printf("%s/%" G_GUINT64_FORMAT ".firn", folder, seed);
	g_autoptr(GError) error = NULL;

	if (!store_create(where, &identity, &error))
		fail_msg("%s: %s", where, error->message);
	return where;
}

/* Returns how many transactions were acknowledged in this life. */
static int64_t cut(const char *where, struct tally *acknowledged, uint64_t seed)
{
	const int64_t before = acknowledged->version;
	g_autoptr(GError) error = NULL;
	store *s;

	weak_disk_fail_at(WEAK_DISK_POWER, 1 + (long)(made_bits(seed) % LONGEST), true);
	work(where, acknowledged, seed);
	weak_disk_restore(seed);
	const int64_t done = acknowledged->version - before;
	s = store_open(where, seed % 2 == 0, &error);
	if (s == NULL)
		fail_msg("seed %" G_GUINT64_FORMAT ": the book doesn't open: %s", seed,
			 error->message);
	inspect(s, acknowledged, seed);
	store_close(s);
	return done;
}

static void test_power_cuts(void **state)
{
	struct tally acknowledged = { 0, 0, 0 };
	int64_t transactions = 0;
	char *where = NULL;

	(void)state;
	for (long i = 0; i < cuts; i++) {
		const uint64_t seed = first_seed + (uint64_t)i;

		if (i % CUTS_OF_BOOK == 0) {
			g_free(where);
			where = new_book(seed);
			memset(&acknowledged, 0, sizeof acknowledged);
		}
		transactions += cut(where, &acknowledged, seed);
	}
	g_free(where);
	print_message("# %ld cuts, %ld transactions acknowledged\n", cuts, (long)transactions);
	assert_true(transactions > cuts); /* the power went while something was done */
}

int main(int argc, char **argv)
{
	const struct CMUnitTest tests[] = { cmocka_unit_test(test_power_cuts) };
	int failed;

	if (argc > 1)
		cuts = (long)g_ascii_strtoll(argv[1], NULL, 10);
	if (argc > 2)
		first_seed = g_ascii_strtoull(argv[2], NULL, 10);
	folder = g_dir_make_tmp("firn-power-XXXXXX", NULL);
	weak_disk_install();
	failed = cmocka_run_group_tests_name("power cuts", tests, NULL, NULL);
	{
		g_autofree char *command = g_strdup_printf("rm -rf '%s'", folder);

		if (system(command) != 0)
			failed++;
	}
	g_free(folder);
	return failed;
}
