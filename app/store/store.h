/*
 * The book: everything a laboratory must still be able to show in ten years. One interface; SQLite
 * (one file) or PostgreSQL (a server) behind it.
 *
 * Three things are kept, and none of them is ever changed or taken away:
 *
 *   entries    A log in which each entry holds a new version of one record (a person, a cell, a
 *              calibration, ...), who wrote it, when and why, and the hash of the entry before it.
 *              The latest version of a record is the record.
 *   readings   Of a visit, in the order they came: the newest as rows, older ones in sealed,
 *              compressed blocks; each visit's blocks are a hash chain of their own, and the log
 *              takes the hash of a block when it is sealed.
 *   files      Bytes by their SHA-256: what was imported, what was issued.
 *
 * The database itself refuses UPDATE of all of it and DELETE of all but rows of readings that a
 * sealed block covers. Whoever may write a file of a disk may still destroy it; the chains make
 * that show (docs/book.md).
 *
 * One thread at a time for a store. Errors are in STORE_ERROR (error.h); texts in results are the
 * caller's to free unless said otherwise. Times are microseconds UTC and are given by the caller:
 * a store has no clock.
 */
#ifndef STORE_STORE_H
#define STORE_STORE_H

#include "app/store/error.h"

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

typedef struct store store;

#define STORE_HASH_SIZE 65 /* SHA-256 in hexadecimal digits, with its end */

/* What a book is, for good. */
struct store_identity {
	char *book;       /* a random name of 32 hexadecimal digits: no two books share it */
	char *laboratory; /* name of the laboratory */
	int64_t created_us;
	bool simulated; /* made of simulated work: never a real laboratory's book */
};

/* where: the path of a file, or postgresql://... Refused where something stands already. */
bool store_create(const char *where, const struct store_identity *identity, GError **error);

/* The same with what a book begins with, in the transaction that makes it: whole or not at all.
   fill writes it, and returns false with an error, or without one when it has told the reason
   itself. */
typedef bool store_fill(store *s, void *data, GError **error);
bool store_create_filled(const char *where, const struct store_identity *identity, store_fill *fill,
			 void *data, GError **error);

/* An older format is brought forward when the book is opened to write: tried on a copy first, then
   in one transaction. A book that can't be opened is left as it is. */
store *store_open(const char *where, bool write, GError **error);
void store_close(store *s);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(store, store_close)

const struct store_identity *store_identity(const store *s);
const char *store_backend(const store *s); /* "SQLite", "PostgreSQL" */
int store_format(const store *s);          /* number of the last migration */

/* Whether a text names a PostgreSQL book. */
bool store_is_remote(const char *where);

/* ---- transactions: everything below that writes stands between begin and commit ---- */

bool store_begin(store *s, bool write, GError **error);
void store_rollback(store *s);

/* When it returns true, it is on the disk. What was written rests on what was read: a transaction
   in which a statement failed is rolled back, and the error is that statement's, though its own
   caller may have gone on without a word. */
bool store_commit(store *s, GError **error);

/* Why a statement failed since the last store_begin, the first that did; NULL: none. The store's.
 */
const GError *store_trouble(const store *s);

/* ---- the log ---- */

struct store_entry {
	int64_t seq; /* 1, 2, 3, ... without a gap */
	int64_t time_us;
	char *who;    /* id of a person, or "import", "demo" */
	char *action; /* the use case: "register", "issue", "seal" */
	char *why;    /* in the person's words; may be empty */
	char *kind, *id;
	int64_t version; /* 1, 2, 3, ... of this record */
	char *body;      /* the record, RFC 8785 JSON */
	char hash[STORE_HASH_SIZE], previous[STORE_HASH_SIZE];
};
void store_entry_clear(struct store_entry *entry);

/*
 * store_append - a new version of a record at the end of the log.
 *
 * Given: all of the entry but seq, version, hash and previous, which are filled in. expected: the
 * version that the writer has seen, 0 for a new record; STORE_CHANGED when the record has moved on.
 * The body must be canonical; a body that equals the last version's is written all the same.
 */
bool store_append(store *s, struct store_entry *entry, int64_t expected, GError **error);

/* The latest version of a record; or one version of it. STORE_ABSENT when there is none. */
bool store_latest(store *s, const char *kind, const char *id, struct store_entry *ret,
		  GError **error);
bool store_version(store *s, const char *kind, const char *id, int64_t version,
		   struct store_entry *ret, GError **error);

/* The last entry of the log; seq 0 when there is none. */
bool store_last(store *s, struct store_entry *ret, GError **error);

/* Called for each entry, in rising order of what the query orders by; the entry is the store's. */
typedef bool store_each_entry(const struct store_entry *entry, void *data, GError **error);

bool store_each(store *s, const char *kind, store_each_entry *each, void *data,
		GError **error); /* latest version of every record of a kind, by id */
bool store_history(store *s, const char *kind, const char *id, store_each_entry *each, void *data,
		   GError **error); /* all versions of one record */
bool store_log(store *s, int64_t after_seq, store_each_entry *each, void *data,
	       GError **error); /* the log behind an entry, all of it for 0 */

/* ---- readings ---- */

enum store_quantity { STORE_RATIO, STORE_OHM };

/* As it was read. */
struct store_reading {
	int64_t time_us; /* BASE_NO_TIME: not given */
	double current_mA;
	double value;  /* ratio, or ohm; NaN: no number (an overload that was set aside) */
	double bath_C; /* NaN: not given */
	enum store_quantity quantity;
	const char *flag; /* NULL: none */
};

/* n readings at the end of a visit's. ret_first: number of the first of them, from 0. */
bool store_add_readings(store *s, const char *visit, const struct store_reading *readings, size_t n,
			int64_t *ret_first, GError **error);

#define STORE_BLOCK_READINGS 8192 /* most in a block */

/* The same straight into sealed blocks, for many at once; who and time for the log's entries. */
bool store_add_sealed(store *s, const char *visit, const struct store_reading *readings, size_t n,
		      const char *who, int64_t time_us, GError **error);

/* Rows of the visit become blocks; they go only when the blocks have been read back and hold the
   same. Without rows nothing happens. */
bool store_seal(store *s, const char *visit, const char *who, int64_t time_us, GError **error);

bool store_count_readings(store *s, const char *visit, int64_t *ret_n, GError **error);

/* Readings first to first + n - 1 of a visit, fewer where it ends; where it fails, nothing is left
   to clear. The array owns its flags. */
struct store_readings {
	GArray *readings; /* struct store_reading */
	GStringChunk *flags;
};
void store_readings_clear(struct store_readings *readings);
bool store_read(store *s, const char *visit, int64_t first, int64_t n, struct store_readings *ret,
		GError **error);

/* A stretch of readings drawn as one point of a curve. */
struct store_stretch {
	int64_t first, n; /* readings of it; n counts those without a number too */
	int64_t time_first_us, time_last_us;
	double low, high, mean; /* of the values; NaN when none is a number */
};

/*
 * store_outline - readings first to first + n - 1 in at most `points` stretches of nearly equal
 * length, extremes kept. Where a stretch is long its ends fall on whole buckets of the blocks'
 * summaries (BLOCK_BUCKET readings), so that readings themselves are not opened.
 */
bool store_outline(store *s, const char *visit, int64_t first, int64_t n, int points,
		   GArray *ret_stretches, GError **error);

/* Names of the visits that have readings, in order. */
bool store_visits_with_readings(store *s, GPtrArray *ret_names, GError **error);

/* ---- files ---- */

/* Keeps bytes; the same bytes twice are kept once. ret_sha256: their name. */
bool store_put_file(store *s, const void *bytes, size_t n, char ret_sha256[STORE_HASH_SIZE],
		    GError **error);
GBytes *store_get_file(store *s, const char *sha256, GError **error);

/* ---- the whole ---- */

/*
 * store_check - reads everything and computes every hash anew.
 *
 * Each fault found is told to `fault` as a sentence with its place; false only when the check could
 * not be carried out.
 */
typedef void store_fault(const char *place, const char *what, void *data);
bool store_check(store *s, store_fault *fault, void *data, GError **error);

/* A copy as one SQLite file, made while others may write; opened and checked before it takes its
   name. */
bool store_backup(store *s, const char *path, GError **error);

/* The whole book to another database, empty until then: from SQLite to PostgreSQL and back. The
   book itself stays where it is. */
bool store_move(store *s, const char *where, GError **error);

#endif
