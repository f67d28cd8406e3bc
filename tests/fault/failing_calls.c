#include "tests/fault/failing_calls.h"

#include "app/store/error.h"
#include "app/store/sql.h"
#include "tests/fault/weak_disk.h"

#include <errno.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

static struct {
	bool armed;
	enum failing kind;
	long calls, fail_at;
} failing;

void fail_call(enum failing kind, long n)
{
	failing.armed = true;
	failing.kind = kind;
	failing.calls = 0;
	failing.fail_at = n;
	if (kind == FAILING_DISK || kind == FAILING_ROOM)
		weak_disk_fail_at(kind == FAILING_DISK ? WEAK_DISK_ERROR : WEAK_DISK_FULL, n,
				  kind == FAILING_ROOM);
}

void fail_no_call(void)
{
	failing.armed = false;
	weak_disk_heal();
}

bool call_has_failed(void)
{
	if (failing.kind == FAILING_DISK || failing.kind == FAILING_ROOM)
		return weak_disk_has_failed();
	return failing.fail_at > 0 && failing.calls >= failing.fail_at;
}

static bool fails(enum failing kind)
{
	return failing.armed && failing.kind == kind && ++failing.calls == failing.fail_at;
}

/* ---- statements ---- */

static struct sql_class counted; /* the class of the connections, with what stands below */
static const struct sql_class *real;

static bool break_statement(struct sql_connection *c, GError **error)
{
	/* On PostgreSQL the transaction is then aborted, as by any statement that fails. */
	if (strcmp(real->name, "PostgreSQL") == 0)
		return real->run(c, "SELECT 1/0", NULL, 0, NULL, NULL, error);
	g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "made to fail");
	return false;
}

static void cut_connection(struct sql_connection *c)
{
	(void)real->run(c, "SELECT pg_terminate_backend(pg_backend_pid())", NULL, 0, NULL, NULL,
			NULL);
}

static bool run(struct sql_connection *c, const char *text, const struct sql_value *parameters,
		int n, sql_row *row, void *data, GError **error)
{
	if (fails(FAILING_STATEMENT))
		return break_statement(c, error);
	if (fails(FAILING_CONNECTION))
		cut_connection(c);
	return real->run(c, text, parameters, n, row, data, error);
}

static bool begin(struct sql_connection *c, bool write, GError **error)
{
	if (fails(FAILING_STATEMENT))
		return break_statement(c, error);
	if (fails(FAILING_CONNECTION))
		cut_connection(c);
	return real->begin(c, write, error);
}

static bool commit(struct sql_connection *c, GError **error)
{
	if (fails(FAILING_STATEMENT) && !break_statement(c, error)) {
		real->rollback(c);
		return false;
	}
	if (fails(FAILING_CONNECTION))
		cut_connection(c);
	if (fails(FAILING_ANSWER)) {
		if (real->commit(c, error))
			g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "made to fail");
		return false;
	}
	return real->commit(c, error);
}

static struct sql_connection *count_calls(struct sql_connection *c)
{
	if (c == NULL)
		return NULL;
	real = c->class;
	counted = *real;
	counted.run = run;
	counted.begin = begin;
	counted.commit = commit;
	c->class = &counted;
	return c;
}

typedef struct sql_connection *connect_function(const char *where, bool create, bool write,
						GError **error);
connect_function __real_sqlite_connect, __real_postgres_connect;
connect_function __wrap_sqlite_connect, __wrap_postgres_connect;

/* A copy on SQLite of a book on PostgreSQL is not counted: its class would take the other's place.
 */
struct sql_connection *__wrap_sqlite_connect(const char *where, bool create, bool write,
					     GError **error)
{
	struct sql_connection *c = __real_sqlite_connect(where, create, write, error);

	return real != NULL && strcmp(real->name, "PostgreSQL") == 0 ? c : count_calls(c);
}

struct sql_connection *__wrap_postgres_connect(const char *where, bool create, bool write,
					       GError **error)
{
	return count_calls(__real_postgres_connect(where, create, write, error));
}

/* ---- files ---- */

static bool file_fails(void)
{
	if (!fails(FAILING_FILE))
		return false;
	errno = EIO;
	return true;
}

ssize_t __real_write(int fd, const void *bytes, size_t n);
ssize_t __wrap_write(int fd, const void *bytes, size_t n);
ssize_t __wrap_write(int fd, const void *bytes, size_t n)
{
	return file_fails() ? -1 : __real_write(fd, bytes, n);
}

int __real_fsync(int fd);
int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
	return file_fails() ? -1 : __real_fsync(fd);
}

int __real_link(const char *from, const char *to);
int __wrap_link(const char *from, const char *to);
int __wrap_link(const char *from, const char *to)
{
	return file_fails() ? -1 : __real_link(from, to);
}

int __real_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to)
{
	return file_fails() ? -1 : __real_rename(from, to);
}

/* The mode is not looked at where no file is made. */
int __real_open(const char *path, int flags, unsigned mode);
int __wrap_open(const char *path, int flags, unsigned mode);
int __wrap_open(const char *path, int flags, unsigned mode)
{
	return file_fails() ? -1 : __real_open(path, flags, mode);
}

int __real_mkdir(const char *path, mode_t mode);
int __wrap_mkdir(const char *path, mode_t mode);
int __wrap_mkdir(const char *path, mode_t mode)
{
	return file_fails() ? -1 : __real_mkdir(path, mode);
}

int __real_g_mkdir_with_parents(const char *path, int mode);
int __wrap_g_mkdir_with_parents(const char *path, int mode);
int __wrap_g_mkdir_with_parents(const char *path, int mode)
{
	return file_fails() ? -1 : __real_g_mkdir_with_parents(path, mode);
}

int __real_g_mkstemp_full(char *path, int flags, int mode);
int __wrap_g_mkstemp_full(char *path, int flags, int mode);
int __wrap_g_mkstemp_full(char *path, int flags, int mode)
{
	return file_fails() ? -1 : __real_g_mkstemp_full(path, flags, mode);
}
