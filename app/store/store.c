#define _POSIX_C_SOURCE 200809L

#include "app/store/store.h"

#include "app/base/canonical.h"
#include "app/base/time.h"
#include "app/store/inside.h"

#include <glib/gstdio.h>
#include <string.h>

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

static bool read_format(struct sql_connection *sql, int *ret, GError **error)
{
	int64_t format = 0;
	bool there = false;

	if (!sql->class->run(sql, sql->class->has_book, NULL, 0, store_take_presence, &there,
			     error))
		return false;
	if (!there) {
		g_set_error_literal(error, STORE_ERROR, STORE_NOT_BOOK,
				    "this is a database, but no book of firn; name one that `firn "
				    "book init` has made");
		return false;
	}
	if (!sql->class->run(sql, "SELECT max(number) FROM migration", NULL, 0, store_take_integer,
			     &format, error))
		return false;
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

/* From the format that it has once nobody else may write: somebody else may just have done it. */
static bool in_one_transaction(struct sql_connection *sql, GError **error)
{
	int format;

	if (!sql->class->begin(sql, true, error))
		return false;
	if (read_format(sql, &format, error) && store_bring_forward(sql, format, error))
		return sql->class->commit(sql, error);
	sql->class->rollback(sql);
	return false;
}

/* What is in the way of a later format is found on a copy, which is thrown away. */
static bool try_on_a_copy(struct sql_connection *sql, GError **error)
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
		good = copy != NULL && in_one_transaction(copy, error);
		if (copy != NULL)
			copy->class->close(copy);
	}
	store_remove_file(path);
	g_rmdir(folder);
	return good;
}

/* ---- identity ---- */

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
	if (!store_is_remote(s->where) && !try_on_a_copy(s->sql, error))
		return false;
	if (!in_one_transaction(s->sql, error))
		return false;
	s->format = s->sql->class->n_migrations;
	return true;
}

/* Whose book it is stands in every one that was completed. */
static bool knows_itself(store *s, GError **error)
{
	if (!STORE_RUN_PLAIN(s, "SELECT key, value FROM identity", take_identity, &s->identity,
			     error))
		return false;
	if (s->identity.book != NULL && s->identity.laboratory != NULL)
		return true;
	g_set_error_literal(error, STORE_ERROR, STORE_NOT_BOOK,
			    "the book doesn't say whose it is, so that it was never completed or "
			    "was changed; take a backup, or make it anew");
	return false;
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
	    make_current(s, write, error) && knows_itself(s, error))
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
	g_clear_error(&s->trouble);
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

/* ---- statements and transactions ---- */

bool store_run(store *s, const char *text, const struct sql_value *parameters, int n, sql_row *row,
	       void *data, GError **error)
{
	GError *fault = NULL;

	if (s->sql->class->run(s->sql, text, parameters, n, row, data, &fault))
		return true;
	if (s->trouble == NULL && fault != NULL)
		s->trouble = g_error_copy(fault);
	if (fault != NULL)
		g_propagate_error(error, fault);
	return false;
}

const GError *store_trouble(const store *s)
{
	return s->trouble;
}

bool store_begin(store *s, bool write, GError **error)
{
	g_assert(!s->in_transaction);
	g_clear_error(&s->trouble);
	if (!s->sql->class->begin(s->sql, write, error))
		return false;
	s->in_transaction = true;
	s->writes = write;
	return true;
}

bool store_commit(store *s, GError **error)
{
	if (s->writes && s->trouble != NULL) {
		store_rollback(s);
		g_propagate_error(error, g_error_copy(s->trouble));
		return false;
	}
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
	       store_check_rows(s, fault, data, error) && store_check_files(s, fault, data, error);
}
