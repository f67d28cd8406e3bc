/*
 * A bench that records until it is killed, and who looks afterwards at what it has left.
 *
 *   record BOOK VISIT SEED [N [rows]]
 *
 * adds a few readings at a time, seals now and then (never with `rows`), and writes after each
 * commit how many readings of the visit the book has acknowledged, one number a line; N
 * transactions, or for ever.
 *
 *   verify BOOK VISIT LEAST
 *
 * the book is sound and has at least so many readings of the visit, each with the bits that were
 * recorded.
 *
 * Exit status 0, or 1 with words on stderr.
 */
#define _POSIX_C_SOURCE 200809L

#include "tests/fault/made_reading.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MOST 8 /* readings in a transaction */

static int fail(GError *error)
{
	fprintf(stderr, "%s\n", error->message);
	g_error_free(error);
	return 1;
}

/* By one write: a number is told whole or not at all. */
static bool acknowledge(int64_t n)
{
	char line[32];
	const int length = snprintf(line, sizeof line, "%" G_GINT64_FORMAT "\n", n);

	return write(STDOUT_FILENO, line, (size_t)length) == length;
}

static bool add(store *s, const char *visit, int64_t from, size_t n, bool seal, GError **error)
{
	struct store_reading readings[MOST];
	int64_t first;

	for (size_t i = 0; i < n; i++)
		readings[i] = made_reading(visit, from + (int64_t)i);
	if (!store_begin(s, true, error))
		return false;
	if (store_add_readings(s, visit, readings, n, &first, error) &&
	    (!seal || store_seal(s, visit, "ada", INT64_C(1900000000000000), error))) {
		g_assert(first == from); /* nobody else writes to this visit */
		return store_commit(s, error);
	}
	store_rollback(s);
	return false;
}

static int record(const char *where, const char *visit, uint64_t seed, uint64_t transactions,
		  bool seals)
{
	GError *error = NULL;
	g_autoptr(store) s = store_open(where, true, &error);
	int64_t n;

	if (s == NULL || !store_count_readings(s, visit, &n, &error))
		return fail(error);
	for (uint64_t i = 0; transactions == 0 || i < transactions; i++) {
		const uint64_t bits = made_bits(seed ^ made_bits(i));
		const size_t some = 1 + bits % MOST;

		if (!add(s, visit, n, some, seals && (bits >> 32) % 8 == 0, &error))
			return fail(error);
		n += (int64_t)some;
		if (!acknowledge(n))
			return 1;
	}
	return 0;
}

static void tell_fault(const char *place, const char *what, void *data)
{
	fprintf(stderr, "%s: %s\n", place, what);
	(*(int *)data)++;
}

static int verify(const char *where, const char *visit, int64_t least)
{
	GError *error = NULL;
	g_autoptr(store) s = store_open(where, false, &error);
	struct store_readings found = { NULL, NULL };
	int64_t n, wrong;
	int faults = 0;

	if (s == NULL || !store_check(s, tell_fault, &faults, &error) ||
	    !store_count_readings(s, visit, &n, &error) ||
	    !store_read(s, visit, 0, n, &found, &error))
		return fail(error);
	wrong = made_difference(visit, &found);
	if (wrong >= 0)
		tell_fault(visit, "a reading has other bits than were recorded", &faults);
	if (n < least || found.readings->len != n)
		tell_fault(visit, "readings that were acknowledged are not there", &faults);
	store_readings_clear(&found);
	return faults > 0;
}

int main(int argc, char **argv)
{
	if (argc >= 5 && strcmp(argv[1], "record") == 0)
		return record(argv[2], argv[3], g_ascii_strtoull(argv[4], NULL, 10),
			      argc > 5 ? g_ascii_strtoull(argv[5], NULL, 10) : 0, argc <= 6);
	if (argc == 5 && strcmp(argv[1], "verify") == 0)
		return verify(argv[2], argv[3], g_ascii_strtoll(argv[4], NULL, 10));
	fprintf(stderr, "usage: record BOOK VISIT SEED [N], or verify BOOK VISIT LEAST\n");
	return 2;
}
