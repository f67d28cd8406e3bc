/* SQLite: one file, a write-ahead log beside it, every commit on the disk before it is told. */
#define _POSIX_C_SOURCE 200809L

#include "app/store/error.h"
#include "app/store/sql.h"
#include "app/store/sqlite/migrations.h"

#include <sqlite3.h>
#include <string.h>
#include <unistd.h>

#define BUSY_MS 20000 /* how long a writer waits for another */

/* Marks the file as ours: "FIRN" as a number, in the place SQLite has for it. */
#define APPLICATION_ID "1179210318"

struct sqlite_connection {
	struct sql_connection base;
	sqlite3 *db;
	GHashTable *statements; /* text's address -> sqlite3_stmt */
};

static enum store_error error_code(int code)
{
	switch (code & 0xff) {
	case SQLITE_BUSY:
	case SQLITE_LOCKED:
		return STORE_BUSY;
	case SQLITE_FULL:
		return STORE_FULL;
	case SQLITE_READONLY:
	case SQLITE_PERM:
		return STORE_READ_ONLY;
	case SQLITE_CONSTRAINT:
		return STORE_REFUSED;
	case SQLITE_NOTADB:
		return STORE_NOT_BOOK;
	case SQLITE_CORRUPT:
		return STORE_DAMAGED;
	case SQLITE_CANTOPEN:
		return STORE_ABSENT;
	default:
		return STORE_FAILED;
	}
}

static const char *error_advice(enum store_error kind, int code)
{
	if ((code & 0xff) == SQLITE_IOERR)
		return "; the disk, or the way to it, has failed: see to it, then look what the "
		       "book holds and repeat the command";
	switch (kind) {
	case STORE_BUSY:
		return "; another program has been writing to the book for a long time, try again";
	case STORE_FULL:
		return "; make room on the disk and repeat the command: nothing was written";
	case STORE_READ_ONLY:
		return "; the file or its folder can't be written by you: check their permissions";
	case STORE_NOT_BOOK:
		return "; name a file that `firn book init` has made";
	case STORE_DAMAGED:
		return "; keep the file as it is and restore the last backup beside it";
	case STORE_ABSENT:
		return "; check the name, its folder, and what you may do there";
	default:
		return "";
	}
}

static bool fail(const struct sqlite_connection *c, int code, GError **error)
{
	const enum store_error kind = error_code(code);

	/* A rule of the book speaks for itself (RAISE in a trigger). */
	g_set_error(error, STORE_ERROR, kind, "%s%s",
		    c->db != NULL ? sqlite3_errmsg(c->db) : sqlite3_errstr(code),
		    error_advice(kind, code));
	return false;
}

static int bind_one(sqlite3_stmt *s, int i, const struct sql_value *v)
{
	switch (v->type) {
	case SQL_INTEGER:
		return sqlite3_bind_int64(s, i, v->integer);
	case SQL_REAL:
		return sqlite3_bind_double(s, i, v->real);
	case SQL_TEXT:
		return sqlite3_bind_text64(s, i, v->bytes, v->n, SQLITE_STATIC, SQLITE_UTF8);
	case SQL_BYTES:
		return sqlite3_bind_blob64(s, i, v->n > 0 ? v->bytes : "", v->n, SQLITE_STATIC);
	default:
		return sqlite3_bind_null(s, i);
	}
}

static struct sql_value column(sqlite3_stmt *s, int i)
{
	struct sql_value v = { .type = SQL_NULL };

	switch (sqlite3_column_type(s, i)) {
	case SQLITE_INTEGER:
		return sql_integer(sqlite3_column_int64(s, i));
	case SQLITE_FLOAT:
		return sql_real(sqlite3_column_double(s, i));
	case SQLITE_TEXT:
		v.type = SQL_TEXT;
		v.bytes = sqlite3_column_text(s, i);
		break;
	case SQLITE_BLOB:
		v.type = SQL_BYTES;
		v.bytes = sqlite3_column_blob(s, i);
		break;
	default:
		return v;
	}
	v.n = (size_t)sqlite3_column_bytes(s, i);
	return v;
}

static sqlite3_stmt *prepared(struct sqlite_connection *c, const char *text, GError **error)
{
	sqlite3_stmt *s = g_hash_table_lookup(c->statements, text);
	int code;

	if (s != NULL && !sqlite3_stmt_busy(s))
		return s;
	code = sqlite3_prepare_v3(c->db, text, -1, SQLITE_PREPARE_PERSISTENT, &s, NULL);
	if (code != SQLITE_OK) {
		fail(c, code, error);
		return NULL;
	}
	/* One that is still giving rows to somebody stays theirs; this one takes its place, and the
	   other is ended by whoever runs it. */
	if (g_hash_table_lookup(c->statements, text) == NULL)
		g_hash_table_insert(c->statements, (gpointer)text, s);
	return s;
}

#define MOST_COLUMNS 24

static bool give_rows(struct sqlite_connection *c, sqlite3_stmt *s, sql_row *row, void *data,
		      GError **error)
{
	struct sql_value values[MOST_COLUMNS];
	int code;

	while ((code = sqlite3_step(s)) == SQLITE_ROW) {
		if (row == NULL)
			continue;
		g_assert(sqlite3_column_count(s) <= MOST_COLUMNS);
		for (int i = 0; i < sqlite3_column_count(s); i++)
			values[i] = column(s, i);
		if (!row(values, data, error))
			return false;
	}
	return code == SQLITE_DONE || fail(c, code, error);
}

static bool run(struct sql_connection *connection, const char *text,
		const struct sql_value *parameters, int n, sql_row *row, void *data, GError **error)
{
	struct sqlite_connection *c = (struct sqlite_connection *)connection;
	sqlite3_stmt *s = prepared(c, text, error);
	int code = SQLITE_OK;
	bool done;

	if (s == NULL)
		return false;
	for (int i = 0; i < n && code == SQLITE_OK; i++)
		code = bind_one(s, i + 1, &parameters[i]);
	done = code == SQLITE_OK ? give_rows(c, s, row, data, error) : fail(c, code, error);
	if (g_hash_table_lookup(c->statements, text) == s) {
		sqlite3_reset(s);
		sqlite3_clear_bindings(s);
	} else {
		sqlite3_finalize(s);
	}
	return done;
}

static bool say(struct sqlite_connection *c, const char *text, GError **error)
{
	const int code = sqlite3_exec(c->db, text, NULL, NULL, NULL);

	return code == SQLITE_OK || fail(c, code, error);
}

static bool begin(struct sql_connection *connection, bool write, GError **error)
{
	return say((struct sqlite_connection *)connection, write ? "BEGIN IMMEDIATE" : "BEGIN",
		   error);
}

static void rollback(struct sql_connection *connection)
{
	struct sqlite_connection *c = (struct sqlite_connection *)connection;

	if (c->db != NULL && !sqlite3_get_autocommit(c->db))
		sqlite3_exec(c->db, "ROLLBACK", NULL, NULL, NULL);
}

static bool commit(struct sql_connection *connection, GError **error)
{
	if (say((struct sqlite_connection *)connection, "COMMIT", error))
		return true;
	rollback(connection);
	return false;
}

/* The pages as they are at one moment, by SQLite's own online backup. */
static bool copy(struct sql_connection *connection, const char *path, GError **error)
{
	struct sqlite_connection *c = (struct sqlite_connection *)connection;
	struct sqlite_connection to = { .db = NULL };
	sqlite3_backup *backup = NULL;
	int code = sqlite3_open_v2(path, &to.db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, NULL);

	if (code == SQLITE_OK)
		backup = sqlite3_backup_init(to.db, "main", c->db, "main");
	if (backup != NULL) {
		do {
			code = sqlite3_backup_step(backup, -1);
			if ((code & 0xff) == SQLITE_BUSY || (code & 0xff) == SQLITE_LOCKED)
				sqlite3_sleep(20);
		} while ((code & 0xff) == SQLITE_BUSY || (code & 0xff) == SQLITE_LOCKED);
		sqlite3_backup_finish(backup);
		if (code == SQLITE_DONE)
			code = sqlite3_errcode(to.db);
	} else if (code == SQLITE_OK) {
		code = sqlite3_errcode(to.db);
	}
	if (code != SQLITE_OK)
		fail(&to, code, error);
	sqlite3_close(to.db);
	return code == SQLITE_OK;
}

struct complaint {
	sql_row *row;
	void *data;
};

static bool pass_complaint(const struct sql_value *values, void *data, GError **error)
{
	const struct complaint *complaint = data;

	if (values->type == SQL_TEXT && strcmp(values->bytes, "ok") == 0)
		return true;
	return complaint->row(values, complaint->data, error);
}

static bool inspect(struct sql_connection *connection, sql_row *row, void *data, GError **error)
{
	struct complaint complaint = { row, data };

	return run(connection, "PRAGMA integrity_check(20)", NULL, 0, pass_complaint, &complaint,
		   error);
}

static void end_statement(gpointer statement)
{
	sqlite3_finalize(statement);
}

static void disconnect(struct sql_connection *connection)
{
	struct sqlite_connection *c = (struct sqlite_connection *)connection;

	rollback(connection);
	g_hash_table_destroy(c->statements);
	sqlite3_close(c->db);
	g_free(c);
}

static const struct sql_class class = {
	.name = "SQLite",
	.run = run,
	.begin = begin,
	.commit = commit,
	.rollback = rollback,
	.copy = copy,
	.has_book = "SELECT 1 FROM sqlite_schema WHERE name = 'migration'",
	.inspect = inspect,
	.close = disconnect,
	.migrations = sqlite_migrations,
	.n_migrations = SQLITE_MIGRATIONS,
};

/* Settings of a connection. FULL: a commit is on the disk when it returns, in WAL mode too. */
static bool set_up(struct sqlite_connection *c, bool create, bool write, GError **error)
{
	sqlite3_busy_timeout(c->db, BUSY_MS);
	sqlite3_extended_result_codes(c->db, 1);
	if (!say(c,
		 "PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;"
		 "PRAGMA synchronous = FULL; PRAGMA mmap_size = 1073741824;",
		 error))
		return false;
	if (create && !say(c, "PRAGMA application_id = " APPLICATION_ID, error))
		return false;
	/* Reads the first page, so that what is no database is found here. */
	return write ? say(c, "PRAGMA journal_mode = WAL", error)
		     : say(c, "SELECT count(*) FROM sqlite_schema", error);
}

/*
 * A book on a medium, or in a folder, that nobody here can write: SQLite would want a file of
 * shared memory beside it even to read, or leave one that can't be written later. It is opened as
 * one that doesn't change. Where a write-ahead log stands beside it, somebody is at work, and it is
 * not.
 */
static bool is_at_rest(const char *path)
{
	g_autofree char *log = g_strconcat(path, "-wal", NULL), *folder = g_path_get_dirname(path);

	return (access(path, W_OK) != 0 || access(folder, W_OK) != 0) &&
	       !g_file_test(log, G_FILE_TEST_EXISTS);
}

static int open_database(const char *path, bool create, bool write, sqlite3 **ret)
{
	const int flags = (write ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY) |
			  (create ? SQLITE_OPEN_CREATE : 0) | SQLITE_OPEN_NOMUTEX;
	g_autofree char *escaped = g_uri_escape_string(path, "/", TRUE);
	g_autofree char *uri = g_strdup_printf("file:%s?immutable=1", escaped);

	if (!write && is_at_rest(path))
		return sqlite3_open_v2(uri, ret, flags | SQLITE_OPEN_URI, NULL);
	/* SQLite would open it to read, and leave beside it what can't be written later. */
	if (write && !create && access(path, W_OK) != 0 && access(path, R_OK) == 0)
		return SQLITE_READONLY;
	return sqlite3_open_v2(path, ret, flags, NULL);
}

/* What a statement may have to undo, a block's pages among it, stays in memory; by itself SQLite
   writes more than 64 kB of it into a temporary file. To be said before anything else. */
static void keep_undo_in_memory(void)
{
	static gsize said;

	if (g_once_init_enter(&said)) {
		(void)sqlite3_config(SQLITE_CONFIG_STMTJRNL_SPILL, 1 << 20);
		g_once_init_leave(&said, 1);
	}
}

struct sql_connection *sqlite_connect(const char *path, bool create, bool write, GError **error)
{
	struct sqlite_connection *c = g_new0(struct sqlite_connection, 1);
	int code;

	keep_undo_in_memory();
	c->base.class = &class;
	c->statements = g_hash_table_new_full(NULL, NULL, NULL, end_statement);
	code = open_database(path, create, write, &c->db);
	if (code == SQLITE_OK ? set_up(c, create, write, error) : fail(c, code, error))
		return &c->base;
	disconnect(&c->base);
	return NULL;
}
