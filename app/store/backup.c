/* A second copy of the book: made beside its name, opened, checked, and only then named. */
#include "app/store/inside.h"
#include "app/store/transfer.h"

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

static bool transfer(store *s, const char *where, GError **error)
{
	struct sql_connection *to = store_connect(where, true, true, error);
	const bool good = to != NULL && sql_transfer(s->sql, to, error);

	if (to != NULL)
		to->class->close(to);
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
	bool good;

	if (g_file_test(path, G_FILE_TEST_EXISTS)) {
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "there is a file of this name; a backup never takes the place "
				    "of another: name a new file");
		return false;
	}
	good = make_copy(s, made, error) && is_sound(made, error) &&
	       store_take_name(made, path, error);
	store_remove_file(made);
	return good;
}

bool store_move(store *s, const char *where, GError **error)
{
	if (!store_is_remote(where))
		return store_backup(s, where, error);
	return transfer(s, where, error) && is_sound(where, error);
}
