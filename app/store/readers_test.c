/* One process writes and seals readings, another reads them all the while: none is ever missing. */
#define _POSIX_C_SOURCE 200809L

#include "app/store/store.h"

#include "tests/support/near.h"

#include <glib/gstdio.h>
#include <sys/wait.h>
#include <unistd.h>

enum { ROUNDS = 60, AT_ONCE = 25 };

static void must(bool good, GError *error)
{
	if (good)
		return;
	fprintf(stderr, "%s\n", error != NULL ? error->message : "no error was given");
	_exit(3);
}

/* Every reading is its number. */
static void write_and_seal(const char *where)
{
	GError *error = NULL;
	store *s = store_open(where, true, &error);

	must(s != NULL, error);
	for (int round = 0; round < ROUNDS; round++) {
		struct store_reading readings[AT_ONCE] = { 0 };

		for (int i = 0; i < AT_ONCE; i++)
			readings[i] =
			    (struct store_reading){ .current_mA = 1, .value = round * AT_ONCE + i };
		must(store_begin(s, true, &error), error);
		must(store_add_readings(s, "v", readings, AT_ONCE, NULL, &error), error);
		must(store_commit(s, &error), error);
		must(store_begin(s, true, &error), error);
		must(store_seal(s, "v", "ada", 1 + round, &error), error);
		must(store_commit(s, &error), error);
	}
	store_close(s);
	_exit(0);
}

static int64_t look(store *s, int64_t before)
{
	struct store_readings found = { NULL, NULL };
	g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(struct store_stretch));
	GError *error = NULL;
	int64_t n = 0, drawn = 0;

	must(store_count_readings(s, "v", &n, &error), error);
	assert_true(n >= before && n % AT_ONCE == 0);
	must(store_read(s, "v", 0, n, &found, &error), error);
	assert_int_equal(found.readings->len, n);
	for (guint i = 0; i < found.readings->len; i++)
		assert_true(g_array_index(found.readings, struct store_reading, i).value == i);
	must(store_outline(s, "v", 0, n, 10, points, &error), error);
	for (guint i = 0; i < points->len; i++)
		drawn += g_array_index(points, struct store_stretch, i).n;
	assert_int_equal(drawn, n);
	store_readings_clear(&found);
	return n;
}

static void none_is_missing(void **state)
{
	g_autofree char *folder = g_dir_make_tmp("firn-readers-XXXXXX", NULL);
	g_autofree char *where = g_build_filename(folder, "book.firn", NULL);
	const struct store_identity identity = { (char *)"0123456789abcdef0123456789abcdef",
						 (char *)"Hollowmere", 1, true };
	GError *error = NULL;
	int64_t n = 0;
	int status;
	store *s;
	pid_t writer;

	(void)state;
	must(store_create(where, &identity, &error), error);
	writer = fork();
	assert_true(writer >= 0);
	if (writer == 0)
		write_and_seal(where);
	s = store_open(where, false, &error);
	must(s != NULL, error);
	while (waitpid(writer, &status, WNOHANG) == 0)
		n = look(s, n);
	assert_int_equal(status, 0);
	assert_int_equal(look(s, n), ROUNDS * AT_ONCE);
	store_close(s);
	for (const char *end[] = { "", "-wal", "-shm", NULL }, **e = end; *e != NULL; e++) {
		g_autofree char *name = g_strconcat(where, *e, NULL);

		g_unlink(name);
	}
	assert_int_equal(g_rmdir(folder), 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = { cmocka_unit_test(none_is_missing) };

	return cmocka_run_group_tests(tests, NULL, NULL);
}
