/* A second copy of the book: made beside its name, opened, checked, and only then named. */
#define _POSIX_C_SOURCE 200809L

#include "app/store/inside.h"
#include "app/store/transfer.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <unistd.h>

struct verdict {
	int faults;
	char *first;
};

static void count_fault(const char *place, const char *what, void *data)
{
	struct verdict *verdict = data;

	if (verdict->faults++ == 0)
		verdict->first = g_strdup_printf("%s: %s", place, what);
}

static bool is_sound(const char *path, GError **error)
{
	g_autoptr(store) copy = store_open(path, false, error);
	struct verdict verdict = { 0, NULL };
	const bool read = copy != NULL && store_check(copy, count_fault, &verdict, error);

	if (read && verdict.faults > 0)
		g_set_error(error, STORE_ERROR, STORE_DAMAGED,
			    "the copy has %d faults, the first is: %s; check the book itself with "
			    "`firn book check` and keep the backups that you have",
			    verdict.faults, verdict.first);
	g_free(verdict.first);
	return read && verdict.faults == 0;
}

/* To the disk, bytes and name. */
static bool sync_path(const char *path, GError **error)
{
	const int fd = open(path, O_RDONLY | O_CLOEXEC);
	const bool good = fd >= 0 && fsync(fd) == 0;

	if (!good)
		g_set_error(error, STORE_ERROR, STORE_FAILED,
			    "the copy can't be brought to the "
			    "disk: %s",
			    g_strerror(errno));
	if (fd >= 0)
		close(fd);
	return good;
}

/* An empty book of the present format there, then every row. */
static bool transfer(store *s, const char *where, GError **error)
{
	struct sql_connection *to = store_connect(where, true, true, error);
	bool good = to != NULL && to->class->begin(to, true, error);

	if (good && store_bring_forward(to, 0, error))
		good = to->class->commit(to, error) && sql_transfer(s->sql, to, error);
	else
		good = false;
	if (to != NULL) {
		to->class->rollback(to);
		to->class->close(to);
	}
	return good;
}

static bool make_copy(store *s, const char *path, GError **error)
{
	return s->sql->class->copy != NULL ? s->sql->class->copy(s->sql, path, error)
					   : transfer(s, path, error);
}

bool store_backup(store *s, const char *path, GError **error)
{
	g_autofree char *made = g_strdup_printf("%s.%s.new", path, s->identity.book);
	g_autofree char *folder = g_path_get_dirname(path);
	bool good;

	if (g_file_test(path, G_FILE_TEST_EXISTS)) {
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "there is a file of this name; a backup never takes the place "
				    "of another: name a new file");
		return false;
	}
	good = make_copy(s, made, error) && is_sound(made, error) && sync_path(made, error);
	if (good && link(made, path) != 0) {
		g_set_error(error, STORE_ERROR, errno == EEXIST ? STORE_EXISTS : STORE_FAILED,
			    "the copy can't take its name: %s", g_strerror(errno));
		good = false;
	}
	g_unlink(made);
	return good && sync_path(folder, error);
}

bool store_move(store *s, const char *where, GError **error)
{
	if (!store_is_remote(where))
		return store_backup(s, where, error);
	return transfer(s, where, error) && is_sound(where, error);
}
