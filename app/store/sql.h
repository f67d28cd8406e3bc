/*
 * A connection to a database that speaks SQL: SQLite or PostgreSQL. What the book keeps and how is
 * written once, above this (store.h); only what the two say differently stands in their folders.
 *
 * Parameters are $1, $2, ... in both, each used in the order of its number at first mention.
 * Doubles and integers travel as such and never as text.
 */
#ifndef STORE_SQL_H
#define STORE_SQL_H

#include <glib.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum sql_type { SQL_NULL, SQL_INTEGER, SQL_REAL, SQL_TEXT, SQL_BYTES };

/* A parameter, or a value of a row: then good until the row function returns. */
struct sql_value {
	enum sql_type type;
	int64_t integer;
	double real;       /* NaN travels as NULL */
	const void *bytes; /* of a text or of bytes; a text ends with a NUL that n doesn't count */
	size_t n;
};

struct sql_value sql_integer(int64_t x);
struct sql_value sql_real(double x);
struct sql_value sql_text(const char *text); /* NULL: NULL */
struct sql_value sql_bytes(const void *bytes, size_t n);

/* What a row holds there, as the caller expects it; NULL is 0, NaN and NULL. */
int64_t sql_to_integer(const struct sql_value *value);
double sql_to_real(const struct sql_value *value);
const char *sql_to_text(const struct sql_value *value);

/* Called for each row; false with an error ends the statement and makes it fail. */
typedef bool sql_row(const struct sql_value *values, void *data, GError **error);

struct sql_connection {
	const struct sql_class *class;
};

/* One step of the numbered migrations: statements that make format n from format n - 1. */
struct sql_migration {
	const char *const *statements; /* ends with NULL */
	const char *what;              /* for people: "readings of a visit in sealed blocks" */
};

struct sql_class {
	const char *name; /* "SQLite", "PostgreSQL" */

	/* Runs one statement to its end. The text must stay as long as the connection: prepared
	   statements are kept by its address. */
	bool (*run)(struct sql_connection *c, const char *text, const struct sql_value *parameters,
		    int n, sql_row *row, void *data, GError **error);

	/* A transaction that may write holds the one right to write from its beginning, so that
	   two writers wait for one another and never deadlock. */
	bool (*begin)(struct sql_connection *c, bool write, GError **error);
	bool (*commit)(struct sql_connection *c, GError **error);
	void (*rollback)(struct sql_connection *c);

	/* A second copy of the whole book, consistent, made while others may be writing. */
	bool (*copy)(struct sql_connection *c, const char *path, GError **error);

	/* A statement that gives a row where there are the tables of a book. */
	const char *has_book;

	/* What the database says of its own soundness; each complaint is one row, none: sound. */
	bool (*inspect)(struct sql_connection *c, sql_row *row, void *data, GError **error);

	void (*close)(struct sql_connection *c);

	const struct sql_migration *migrations;
	int n_migrations;
};

/* path: a file. must_exist false: it is made (and must not be there yet). */
struct sql_connection *sqlite_connect(const char *path, bool create, bool write, GError **error);

/* where: postgresql://... A server that could lose what it has acknowledged (fsync,
   full_page_writes or synchronous_commit off) is refused. */
struct sql_connection *postgres_connect(const char *where, bool create, bool write, GError **error);

#endif
