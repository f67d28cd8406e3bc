/*
 * The book's side of benchmarks/book_rows.py, and SQLite over plain rows. WHERE is a book (a file
 * or postgresql://...), its readings those of the visit V. Commands, each answered by wall seconds
 * unless said otherwise:
 *
 *   make WHERE N           a new book of N made-up readings
 *   csv FILE FIRST N       such readings, from FIRST on, as a file for `firn book readings`
 *   open WHERE             opens and closes it; the mean of 5
 *   outline WHERE FIRST N  readings FIRST to FIRST + N - 1 as 2,000 points
 *   rows FILE FIRST N      the same by SQL over the rows of a table `plain`
 *   wrong                  no seconds: 1 when an outline so far had other extremes than the rows
 *   read WHERE FIRST N     the readings themselves
 *   latest WHERE           the latest version of a record; the mean of 100
 *   durable WHERE FILE N   N readings, each in a transaction of its own, by turns with as many
 *                          writes at the end of a file, each with fdatasync; seconds of the former
 *   bare                   seconds of the latter, the last time
 */
#define _DEFAULT_SOURCE
#include "benchmarks/driver.h"

#include "app/base/time.h"
#include "app/store/store.h"
#include "firn/number.h"

#include <fcntl.h>
#include <math.h>
#include <sqlite3.h>
#include <unistd.h>

enum { POINTS = 2000, AT_ONCE = 1 << 20 };

struct bench {
	store *store; /* the one used last, open to read */
	char *where;
	sqlite3 *plain; /* the same of the plain tables */
	char *plain_path;
	double low, high; /* of the last outline */
	double bare;      /* seconds of the bare writes of the last `durable` */
	bool wrong;
};

static double now(void)
{
	return seconds(CLOCK_MONOTONIC);
}

/* Ends the run: a benchmark of what failed is no benchmark. */
static void check(bool good, GError *error)
{
	if (good)
		return;
	fprintf(stderr, "bench-book: %s\n", error != NULL ? error->message : "failed");
	exit(3);
}

static store *opened(const char *where, bool write)
{
	GError *error = NULL;
	store *s = store_open(where, write, &error);

	check(s != NULL, error);
	return s;
}

static store *kept_open(struct bench *b, const char *where)
{
	if (b->where == NULL || strcmp(b->where, where) != 0) {
		store_close(b->store);
		g_free(b->where);
		b->where = g_strdup(where);
		b->store = opened(where, false);
	}
	return b->store;
}

static void let_go(struct bench *b)
{
	store_close(b->store);
	b->store = NULL;
	g_clear_pointer(&b->where, g_free);
}

/* ---- made-up readings: two a second, each a function of its number; the clock jitters by
   milliseconds, the bridge by 0.03 ppm ---- */

/* Mixes the bits of a number: the finalizer of SplitMix64. */
static uint64_t mixed(uint64_t x)
{
	x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
	x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
	return x ^ (x >> 31);
}

static void make_readings(int64_t first, size_t n, struct store_reading *ret)
{
	for (size_t i = 0; i < n; i++) {
		const int64_t number = first + (int64_t)i;
		const uint64_t bits = mixed((uint64_t)number + 1);
		const int noise = (int)(bits % 256 + (bits >> 8) % 256 + (bits >> 16) % 256) - 384;

		ret[i] = (struct store_reading){
			.time_us = 1930000000000000 + number * 500000 +
				   (int64_t)((bits >> 24) % 10) * 1000,
			.current_mA = number % 64 < 48 ? 1.0 : 1.4142,
			.value = (double)(8611704980 + noise) / 1e10,
			.bath_C = (double)(23010 + (int64_t)((bits >> 32) % 8)) / 1e3,
			.quantity = STORE_RATIO,
		};
	}
}

static void write_number(FILE *file, double x, char after)
{
	char text[FIRN_NUMBER_SIZE];

	firn_number_print(x, text);
	fprintf(file, "%s%c", text, after);
}

static double write_csv(const char *path, int64_t first, int64_t n)
{
	FILE *file = fopen(path, "w");
	const double start = now();

	check(file != NULL, NULL);
	fputs("time,current_mA,ratio,bath_C\n", file);
	for (int64_t i = first; i < first + n; i++) {
		struct store_reading r;
		char time[BASE_TIME_SIZE];

		make_readings(i, 1, &r);
		base_time_print(r.time_us, time);
		fprintf(file, "%s,", time);
		write_number(file, r.current_mA, ',');
		write_number(file, r.value, ',');
		write_number(file, r.bath_C, '\n');
	}
	check(fclose(file) == 0, NULL);
	return now() - start;
}

static void append_record(store *s)
{
	struct store_entry entry = { .time_us = 1,
				     .who = (char *)"ada",
				     .action = (char *)"put",
				     .why = (char *)"",
				     .kind = (char *)"visit",
				     .id = (char *)"V",
				     .body = (char *)"{\"state\":\"open\"}" };
	GError *error = NULL;

	check(store_append(s, &entry, 0, &error), error);
}

static double make(struct bench *b, const char *where, int64_t n)
{
	const struct store_identity identity = {
		.book = (char *)"0123456789abcdef0123456789abcdef",
		.laboratory = (char *)"Hollowmere Thermometry",
		.created_us = 1,
		.simulated = true,
	};
	g_autofree struct store_reading *readings = g_new(struct store_reading, AT_ONCE);
	const double start = now();
	GError *error = NULL;
	store *s;

	let_go(b);
	check(store_create(where, &identity, &error), error);
	s = opened(where, true);
	check(store_begin(s, true, &error), error);
	append_record(s);
	check(store_commit(s, &error), error);
	for (int64_t first = 0; first < n; first += AT_ONCE) {
		const size_t some = (size_t)MIN(AT_ONCE, n - first);

		make_readings(first, some, readings);
		check(store_begin(s, true, &error), error);
		check(store_add_sealed(s, "V", readings, some, "ada", 1, &error), error);
		check(store_commit(s, &error), error);
	}
	store_close(s);
	return now() - start;
}

/* ---- reading ---- */

static double open_and_close(struct bench *b, const char *where)
{
	enum { TIMES = 5 };
	double start;

	let_go(b);
	start = now();
	for (int i = 0; i < TIMES; i++)
		store_close(opened(where, false));
	return (now() - start) / TIMES;
}

static double outline(struct bench *b, const char *where, int64_t first, int64_t n)
{
	g_autoptr(GArray) stretches = g_array_new(FALSE, FALSE, sizeof(struct store_stretch));
	store *s = kept_open(b, where);
	const double start = now();
	GError *error = NULL;
	double end;

	check(store_outline(s, "V", first, n, POINTS, stretches, &error), error);
	end = now();
	b->low = INFINITY;
	b->high = -INFINITY;
	for (guint i = 0; i < stretches->len; i++) {
		const struct store_stretch *one =
		    &g_array_index(stretches, struct store_stretch, i);

		b->low = fmin(b->low, one->low);
		b->high = fmax(b->high, one->high);
	}
	check(stretches->len >= POINTS * 9 / 10 && stretches->len <= POINTS, NULL);
	return end - start;
}

static double rows(struct bench *b, const char *path, int64_t first, int64_t n)
{
	static const char text[] =
	    "SELECT min(ratio), max(ratio), avg(ratio) FROM plain WHERE rowid > ?1"
	    " AND rowid <= ?1 + ?2 GROUP BY (rowid - 1 - ?1) * ?3 / ?2";
	double low = INFINITY, high = -INFINITY, start;
	sqlite3_stmt *statement = NULL;
	int n_points = 0;

	if (b->plain_path == NULL || strcmp(b->plain_path, path) != 0) {
		sqlite3_close(b->plain);
		g_free(b->plain_path);
		b->plain_path = g_strdup(path);
		check(sqlite3_open(path, &b->plain) == SQLITE_OK, NULL);
		sqlite3_exec(b->plain, "PRAGMA mmap_size = 1073741824", NULL, NULL, NULL);
	}
	start = now();
	check(sqlite3_prepare_v2(b->plain, text, -1, &statement, NULL) == SQLITE_OK, NULL);
	sqlite3_bind_int64(statement, 1, first);
	sqlite3_bind_int64(statement, 2, n);
	sqlite3_bind_int64(statement, 3, POINTS);
	for (; sqlite3_step(statement) == SQLITE_ROW; n_points++) {
		low = fmin(low, sqlite3_column_double(statement, 0));
		high = fmax(high, sqlite3_column_double(statement, 1));
	}
	sqlite3_finalize(statement);
	check(n_points == POINTS, NULL);
	b->wrong = b->wrong || low != b->low || high != b->high;
	return now() - start;
}

static double read_some(struct bench *b, const char *where, int64_t first, int64_t n)
{
	store *s = kept_open(b, where);
	struct store_readings readings;
	const double start = now();
	GError *error = NULL;
	double end;

	check(store_read(s, "V", first, n, &readings, &error), error);
	end = now();
	check(readings.readings->len == n, NULL);
	store_readings_clear(&readings);
	return end - start;
}

static double latest(struct bench *b, const char *where)
{
	enum { TIMES = 100 };
	store *s = kept_open(b, where);
	const double start = now();

	for (int i = 0; i < TIMES; i++) {
		struct store_entry entry;
		GError *error = NULL;

		check(store_latest(s, "visit", "V", &entry, &error), error);
		store_entry_clear(&entry);
	}
	return (now() - start) / TIMES;
}

/* ---- durable appends ---- */

static void append(store *s, int64_t i)
{
	struct store_reading reading;
	GError *error = NULL;

	make_readings(i, 1, &reading);
	check(store_begin(s, true, &error), error);
	check(store_add_readings(s, "W", &reading, 1, NULL, &error), error);
	check(store_commit(s, &error), error);
}

static void write_bare(int fd)
{
	static const char reading[64] = "a reading, as many bytes as one has in a line of CSV";

	check(write(fd, reading, sizeof reading) == (ssize_t)sizeof reading && fdatasync(fd) == 0,
	      NULL);
}

static double durable(struct bench *b, const char *where, const char *path, int64_t n)
{
	const int fd = open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
	double appending = 0;
	store *s;

	let_go(b);
	s = opened(where, true);
	check(fd >= 0, NULL);
	b->bare = 0;
	for (int64_t i = 0; i < n; i++) {
		const double start = now();
		double between;

		append(s, i);
		between = now();
		write_bare(fd);
		appending += between - start;
		b->bare += now() - between;
	}
	close(fd);
	store_close(s);
	return appending;
}

static int64_t number(size_t n, char **words, size_t i)
{
	return i < n ? g_ascii_strtoll(words[i], NULL, 10) : 0;
}

static double answer(void *context, size_t n, char **words)
{
	struct bench *b = context;
	const int64_t x = number(n, words, 2), y = number(n, words, 3);
	const char *what = words[0];

	if (n == 1)
		return strcmp(what, "bare") == 0 ? b->bare : b->wrong;
	if (strcmp(what, "make") == 0)
		return make(b, words[1], x);
	if (strcmp(what, "csv") == 0)
		return write_csv(words[1], x, y);
	if (strcmp(what, "open") == 0)
		return open_and_close(b, words[1]);
	if (strcmp(what, "outline") == 0)
		return outline(b, words[1], x, y);
	if (strcmp(what, "rows") == 0)
		return rows(b, words[1], x, y);
	if (strcmp(what, "read") == 0)
		return read_some(b, words[1], x, y);
	if (strcmp(what, "latest") == 0)
		return latest(b, words[1]);
	return durable(b, words[1], words[2], y);
}

int main(void)
{
	struct bench b = { 0 };
	const int status = driver_run(answer, &b);

	let_go(&b);
	sqlite3_close(b.plain);
	g_free(b.plain_path);
	return status;
}
