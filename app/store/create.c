/* New books: whole under another name before they have their own. */
#define _POSIX_C_SOURCE 200809L

#include "app/base/time.h"
#include "app/store/inside.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- files that become books ---- */

void store_remove_file(const char *path)
{
	static const char *const tails[] = { "", "-wal", "-shm", "-journal" };

	for (size_t i = 0; i < G_N_ELEMENTS(tails); i++) {
		g_autofree char *name = g_strconcat(path, tails[i], NULL);

		g_unlink(name);
	}
}

/* To the disk, bytes and name. */
static bool sync_path(const char *path, GError **error)
{
	const int fd = open(path, O_RDONLY | O_CLOEXEC);
	const bool good = fd >= 0 && fsync(fd) == 0;

	if (!good)
		g_set_error(error, STORE_ERROR, STORE_FAILED, "it can't be brought to the disk: %s",
			    g_strerror(errno));
	if (fd >= 0)
		close(fd);
	return good;
}

/* Closing brings SQLite's write-ahead log into the file, unless the disk fails. */
static bool is_one_file(const char *made, GError **error)
{
	g_autofree char *log = g_strconcat(made, "-wal", NULL);
	struct stat st;

	if (stat(log, &st) != 0 || st.st_size == 0)
		return true;
	g_set_error_literal(error, STORE_ERROR, STORE_FAILED,
			    "the new book could not be completed on the disk; make room on the "
			    "disk, or look after it, and repeat the command");
	return false;
}

bool store_take_name(const char *made, const char *where, GError **error)
{
	g_autofree char *folder = g_path_get_dirname(where);

	if (!is_one_file(made, error) || !sync_path(made, error))
		return false;
	if (link(made, where) == 0) {
		if (sync_path(folder, error))
			return true;
		g_unlink(where);
		return false;
	}
	if (errno == EEXIST)
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "there is a file of this name; name another for the new book");
	else
		g_set_error(error, STORE_ERROR, STORE_FAILED,
			    "the new book can't take its name: %s", g_strerror(errno));
	return false;
}

/* ---- what is in a new book ---- */

static bool write_identity(store *s, GError **error)
{
	char created[BASE_TIME_SIZE];
	const char *rows[][2] = {
		{ "book", s->identity.book },
		{ "laboratory", s->identity.laboratory },
		{ "created", created },
		{ "simulated", s->identity.simulated ? "yes" : "no" },
	};

	base_time_print(s->identity.created_us, created);
	for (size_t i = 0; i < G_N_ELEMENTS(rows); i++)
		if (!STORE_RUN(s, "INSERT INTO identity (key, value) VALUES ($1, $2)", NULL, NULL,
			       error, sql_text(rows[i][0]), sql_text(rows[i][1])))
			return false;
	return true;
}

/* All of it in one transaction. */
static bool fill_all(struct sql_connection *sql, const char *where,
		     const struct store_identity *identity, store_fill *fill, void *data,
		     GError **error)
{
	store s = { .sql = sql,
		    .identity = *identity,
		    .format = sql->class->n_migrations,
		    .where = (char *)where };
	bool good = store_begin(&s, true, error);

	if (good && store_bring_forward(sql, 0, error) && write_identity(&s, error) &&
	    (fill == NULL || fill(&s, data, error)))
		good = store_commit(&s, error);
	else
		good = false;
	store_rollback(&s);
	g_clear_error(&s.trouble);
	return good;
}

static bool create_remote(const char *where, const struct store_identity *identity,
			  store_fill *fill, void *data, GError **error)
{
	struct sql_connection *sql = postgres_connect(where, true, true, error);
	const bool good = sql != NULL && fill_all(sql, where, identity, fill, data, error);

	if (sql != NULL)
		sql->class->close(sql);
	return good;
}

/* The file takes its name only when it is a whole book, and never another's. */
static bool create_file(const char *where, const struct store_identity *identity, store_fill *fill,
			void *data, GError **error)
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
		good = fill_all(sql, where, identity, fill, data, error);
		sql->class->close(sql);
		good = good && store_take_name(made, where, error);
	}
	store_remove_file(made);
	return good;
}

bool store_create_filled(const char *where, const struct store_identity *identity, store_fill *fill,
			 void *data, GError **error)
{
	return (store_is_remote(where) ? create_remote : create_file)(where, identity, fill, data,
								      error);
}

bool store_create(const char *where, const struct store_identity *identity, GError **error)
{
	return store_create_filled(where, identity, NULL, NULL, error);
}
