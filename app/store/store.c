#define _POSIX_C_SOURCE 200809L

#include "app/store/store.h"

#include "app/base/canonical.h"
#include "app/base/time.h"
#include "app/store/inside.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

bool store_is_remote(const char *where)
{
	return g_str_has_prefix(where, "postgresql://") || g_str_has_prefix(where, "postgres://");
}

bool store_take_integer(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	*(int64_t *)data = sql_to_integer(values);
	return true;
}

bool store_take_presence(const struct sql_value *values, void *data, GError **error)
{
	(void)values, (void)error;
	*(bool *)data = true;
	return true;
}

bool store_take_hash(const struct sql_value *values, void *data, GError **error)
{
	const char *hash = sql_to_text(values);

	(void)error;
	g_strlcpy(data, hash != NULL ? hash : "", STORE_HASH_SIZE);
	return true;
}

/* ---- formats ---- */

bool store_bring_forward(struct sql_connection *sql, int format, GError **error)
{
	for (int i = format; i < sql->class->n_migrations; i++) {
		const struct sql_migration *step = &sql->class->migrations[i];
		const struct sql_value row[] = { sql_integer(i + 1), sql_text(step->what) };

		for (const char *const *text = step->statements; *text != NULL; text++)
			if (!sql->class->run(sql, *text, NULL, 0, NULL, NULL, error))
				return false;
		if (!sql->class->run(sql, "INSERT INTO migration (number, what) VALUES ($1, $2)",
				     row, 2, NULL, NULL, error))
			return false;
	}
	return true;
}

static bool in_one_transaction(struct sql_connection *sql, int format, GError **error)
{
	if (!sql->class->begin(sql, true, error))
		return false;
	if (store_bring_forward(sql, format, error))
		return sql->class->commit(sql, error);
	sql->class->rollback(sql);
	return false;
}

/* What is in the way of a later format is found on a copy, which is thrown away. */
static bool try_on_a_copy(struct sql_connection *sql, int format, GError **error)
{
	g_autofree char *folder = g_dir_make_tmp("firn-XXXXXX", error);
	g_autofree char *path = NULL;
	struct sql_connection *copy;
	bool good = false;

	if (folder == NULL)
		return false;
	path = g_build_filename(folder, "copy.firn", NULL);
	if (sql->class->copy(sql, path, error)) {
		copy = sqlite_connect(path, false, true, error);
		good = copy != NULL && in_one_transaction(copy, format, error);
		if (copy != NULL)
			copy->class->close(copy);
	}
	g_unlink(path);
	g_rmdir(folder);
	return good;
}

static bool read_format(struct sql_connection *sql, int *ret, GError **error)
{
	int64_t format = 0;

	if (!sql->class->run(sql, "SELECT max(number) FROM migration", NULL, 0, store_take_integer,
			     &format, error)) {
		g_clear_error(error);
		g_set_error_literal(error, STORE_ERROR, STORE_NOT_BOOK,
				    "this is a database, but no book of firn; name one that `firn "
				    "book init` has made");
		return false;
	}
	if (format > sql->class->n_migrations) {
		g_set_error(error, STORE_ERROR, STORE_NOT_BOOK,
			    "the book has format %d and this program knows formats up to %d; open "
			    "it with the program that wrote it, or a later one",
			    (int)format, sql->class->n_migrations);
		return false;
	}
	*ret = (int)format;
	return true;
}

/* ---- identity ---- */

static bool write_identity(struct sql_connection *sql, const struct store_identity *identity,
			   GError **error)
{
	char created[BASE_TIME_SIZE];
	const char *rows[][2] = {
		{ "book", identity->book },
		{ "laboratory", identity->laboratory },
		{ "created", created },
		{ "simulated", identity->simulated ? "yes" : "no" },
	};

	base_time_print(identity->created_us, created);
	for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
		const struct sql_value row[] = { sql_text(rows[i][0]), sql_text(rows[i][1]) };

		if (!sql->class->run(sql, "INSERT INTO identity (key, value) VALUES ($1, $2)", row,
				     2, NULL, NULL, error))
			return false;
	}
	return true;
}

static bool take_identity(const struct sql_value *values, void *data, GError **error)
{
	struct store_identity *identity = data;
	const char *key = sql_to_text(&values[0]), *value = sql_to_text(&values[1]);

	(void)error;
	if (strcmp(key, "book") == 0)
		identity->book = g_strdup(value);
	else if (strcmp(key, "laboratory") == 0)
		identity->laboratory = g_strdup(value);
	else if (strcmp(key, "simulated") == 0)
		identity->simulated = strcmp(value, "yes") == 0;
	else if (strcmp(key, "created") == 0)
		(void)base_time_parse(value, strlen(value), &identity->created_us);
	return true;
}

/* ---- opening ---- */

struct sql_connection *store_connect(const char *where, bool create, bool write, GError **error)
{
	return store_is_remote(where) ? postgres_connect(where, create, write, error)
				      : sqlite_connect(where, create, write, error);
}

static bool fill(struct sql_connection *sql, const struct store_identity *identity, GError **error)
{
	if (!sql->class->begin(sql, true, error))
		return false;
	if (store_bring_forward(sql, 0, error) && write_identity(sql, identity, error))
		return sql->class->commit(sql, error);
	sql->class->rollback(sql);
	return false;
}

static bool create_remote(const char *where, const struct store_identity *identity, GError **error)
{
	struct sql_connection *sql = postgres_connect(where, true, true, error);
	const bool good = sql != NULL && fill(sql, identity, error);

	if (sql != NULL)
		sql->class->close(sql);
	return good;
}

/* The file takes its name only when it is a whole book, and never another's. */
static bool take_name(const char *made, const char *where, GError **error)
{
	if (link(made, where) == 0)
		return true;
	if (errno == EEXIST)
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "there is a file of this name; name another for the new book");
	else
		g_set_error(error, STORE_ERROR, STORE_FAILED, "the book can't take its name: %s",
			    g_strerror(errno));
	return false;
}

static bool create_file(const char *where, const struct store_identity *identity, GError **error)
{
	g_autofree char *made = g_strdup_printf("%s.%s.new", where, identity->book);
	struct sql_connection *sql;
	bool good = false;

	if (g_file_test(where, G_FILE_TEST_EXISTS)) {
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "there is a file of this name; name another for the new book");
		return false;
	}
	sql = sqlite_connect(made, true, true, error);
	if (sql != NULL) {
		good = fill(sql, identity, error);
		sql->class->close(sql); /* brings the write-ahead log into the file */
		good = good && take_name(made, where, error);
	}
	g_unlink(made);
	return good;
}

bool store_create(const char *where, const struct store_identity *identity, GError **error)
{
	return store_is_remote(where) ? create_remote(where, identity, error)
				      : create_file(where, identity, error);
}

static bool make_current(store *s, bool write, GError **error)
{
	if (s->format == s->sql->class->n_migrations)
		return true;
	if (!write) {
		g_set_error(error, STORE_ERROR, STORE_NOT_BOOK,
			    "the book has format %d and this program writes %d; `firn book check` "
			    "by somebody who may write brings it forward",
			    s->format, s->sql->class->n_migrations);
		return false;
	}
	if (!store_is_remote(s->where) && !try_on_a_copy(s->sql, s->format, error))
		return false;
	if (!in_one_transaction(s->sql, s->format, error))
		return false;
	s->format = s->sql->class->n_migrations;
	return true;
}

store *store_open(const char *where, bool write, GError **error)
{
	store *s = g_new0(store, 1);

	s->where = g_strdup(where);
	if (!store_is_remote(where) && !g_file_test(where, G_FILE_TEST_EXISTS))
		g_set_error_literal(error, STORE_ERROR, STORE_ABSENT,
				    "there is no such book; check the name, or make one with `firn "
				    "book init`");
	else
		s->sql = store_connect(where, false, write, error);
	if (s->sql != NULL && read_format(s->sql, &s->format, error) &&
	    make_current(s, write, error) &&
	    STORE_RUN_PLAIN(s, "SELECT key, value FROM identity", take_identity, &s->identity,
			    error))
		return s;
	store_close(s);
	return NULL;
}

void store_close(store *s)
{
	if (s == NULL)
		return;
	if (s->sql != NULL)
		s->sql->class->close(s->sql);
	g_free(s->identity.book);
	g_free(s->identity.laboratory);
	g_free(s->where);
	g_free(s);
}

const struct store_identity *store_identity(const store *s)
{
	return &s->identity;
}

const char *store_backend(const store *s)
{
	return s->sql->class->name;
}

int store_format(const store *s)
{
	return s->format;
}

/* ---- transactions ---- */

bool store_begin(store *s, bool write, GError **error)
{
	g_assert(!s->in_transaction);
	if (!s->sql->class->begin(s->sql, write, error))
		return false;
	s->in_transaction = true;
	s->writes = write;
	return true;
}

bool store_commit(store *s, GError **error)
{
	s->in_transaction = false;
	return s->sql->class->commit(s->sql, error);
}

void store_rollback(store *s)
{
	if (s->in_transaction)
		s->sql->class->rollback(s->sql);
	s->in_transaction = false;
}

bool store_begin_reading(store *s, bool *ret_begun, GError **error)
{
	*ret_begun = !s->in_transaction;
	return s->in_transaction || store_begin(s, false, error);
}

void store_end_reading(store *s, bool begun)
{
	if (begun)
		store_rollback(s);
}

/* ---- the whole ---- */

static bool tell_complaint(const struct sql_value *values, void *data, GError **error)
{
	struct {
		store_fault *fault;
		void *data;
	} *to = data;

	(void)error;
	to->fault("database", sql_to_text(values), to->data);
	return true;
}

bool store_check(store *s, store_fault *fault, void *data, GError **error)
{
	struct {
		store_fault *fault;
		void *data;
	} to = { fault, data };

	return s->sql->class->inspect(s->sql, tell_complaint, &to, error) &&
	       store_check_log(s, fault, data, error) &&
	       store_check_blocks(s, fault, data, error) &&
	       store_check_files(s, fault, data, error);
}
