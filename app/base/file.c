/* fsync, realpath, O_CLOEXEC */
#define _XOPEN_SOURCE 700

#include "app/base/file.h"

#include <glib/gstdio.h>

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

G_DEFINE_QUARK(base - file - error - quark, base_file_error)

enum base_message_kind base_file_error_kind(const GError *error)
{
	return error->domain == BASE_FILE_ERROR && error->code == BASE_FILE_WRONG ? BASE_ERROR
										  : BASE_FAILURE;
}

static void set_read_error(GError **error, int code)
{
	switch (code) {
	case ENOENT:
		g_set_error_literal(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
				    "there is no such file; check the name and the folder");
		break;
	case ENOTDIR:
		g_set_error_literal(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
				    "there is no such file; a part of the path is no folder");
		break;
	case EACCES:
	case EPERM:
		g_set_error_literal(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
				    "the file may not be read; check its permissions");
		break;
	case ENAMETOOLONG:
	case ELOOP:
		g_set_error(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
			    "the path leads nowhere (%s); check it", g_strerror(code));
		break;
	default:
		g_set_error(error, BASE_FILE_ERROR, BASE_FILE_FAILED, "reading failed: %s",
			    g_strerror(code));
	}
}

static bool is_readable_kind(const struct stat *st, GError **error)
{
	if (S_ISREG(st->st_mode))
		return true;
	g_set_error(error, BASE_FILE_ERROR, BASE_FILE_WRONG, "this is a %s; a file is needed",
		    S_ISDIR(st->st_mode) ? "directory" : "device or pipe");
	return false;
}

static bool is_small_enough(size_t n, size_t limit, const char *what, GError **error)
{
	if (n <= limit)
		return true;
	g_set_error(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
		    "the file is larger than %" G_GSIZE_FORMAT " MB; %s is smaller than that",
		    limit / 1000000, what);
	return false;
}

/* Reads to the end, or one byte beyond the limit: a file may grow while it is read. */
static GByteArray *read_all(int fd, size_t expected, size_t limit, GError **error)
{
	g_autoptr(GByteArray) bytes = g_byte_array_sized_new((guint)expected + 1);
	ssize_t got;

	do {
		const size_t room = MIN(limit + 1 - bytes->len, (size_t)1 << 20);
		const guint before = bytes->len;

		g_byte_array_set_size(bytes, before + (guint)room);
		got = read(fd, bytes->data + before, room);
		g_byte_array_set_size(bytes, before + (got > 0 ? (guint)got : 0));
		if (got < 0 && errno != EINTR) {
			set_read_error(error, errno);
			return NULL;
		}
	} while (got != 0 && bytes->len <= limit);
	return g_steal_pointer(&bytes);
}

static bool look_at(int fd, struct stat *ret, GError **error)
{
	if (fstat(fd, ret) == 0)
		return is_readable_kind(ret, error);
	set_read_error(error, errno);
	return false;
}

int base_file_open(const char *path, GError **error)
{
	/* Without O_NONBLOCK the opening of a pipe would wait for a writer. */
	const int fd = g_open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK, 0);
	struct stat st;

	if (fd < 0)
		set_read_error(error, errno);
	else if (look_at(fd, &st, error))
		return fd;
	else
		close(fd);
	return -1;
}

static GBytes *read_open_file(int fd, size_t limit, const char *what, GError **error)
{
	struct stat st;

	if (!look_at(fd, &st, error) || !is_small_enough((size_t)st.st_size, limit, what, error))
		return NULL;

	g_autoptr(GByteArray) bytes = read_all(fd, (size_t)st.st_size, limit, error);
	if (bytes == NULL || !is_small_enough(bytes->len, limit, what, error))
		return NULL;
	return g_byte_array_free_to_bytes(g_steal_pointer(&bytes));
}

GBytes *base_file_read(const char *path, size_t limit, const char *what, GError **error)
{
	const int fd = base_file_open(path, error);

	if (fd < 0)
		return NULL;
	GBytes *bytes = read_open_file(fd, limit, what, error);
	close(fd);
	return bytes;
}

static void set_write_error(GError **error, int code)
{
	switch (code) {
	case ENOENT:
	case ENOTDIR:
	case EACCES:
	case EPERM:
	case EROFS:
	case EISDIR:
	case ELOOP:
	case ENAMETOOLONG:
		g_set_error(error, BASE_FILE_ERROR, BASE_FILE_WRONG,
			    "nothing can be written here (%s); name a file in a folder of your own",
			    g_strerror(code));
		break;
	default:
		g_set_error(error, BASE_FILE_ERROR, BASE_FILE_FAILED,
			    "writing failed and left no file: %s", g_strerror(code));
	}
}

static bool write_all(int fd, const void *bytes, size_t n)
{
	const char *p = bytes;

	while (n > 0) {
		const ssize_t done = write(fd, p, n);

		if (done < 0 && errno == EINTR)
			continue;
		if (done < 0)
			return false;
		p += done;
		n -= (size_t)done;
	}
	return true;
}

static bool write_directly(const char *path, const void *bytes, size_t n, GError **error)
{
	const int fd = g_open(path, O_WRONLY | O_CLOEXEC, 0);
	const bool ok = fd >= 0 && write_all(fd, bytes, n);

	if (!ok)
		set_write_error(error, errno);
	if (fd >= 0)
		close(fd);
	return ok;
}

/* The new name is on the disk only when its folder is. A file system that cannot do this for a
   folder has no better way, so its answer is not asked for. */
static void sync_folder(const char *path)
{
	g_autofree char *folder = g_path_get_dirname(path);
	const int fd = g_open(folder, O_RDONLY | O_CLOEXEC | O_DIRECTORY, 0);

	if (fd >= 0) {
		(void)fsync(fd);
		close(fd);
	}
}

static bool write_beside(const char *path, const void *bytes, size_t n, mode_t mode, GError **error)
{
	g_autofree char *folder = g_path_get_dirname(path);
	g_autofree char *name = g_path_get_basename(path);
	g_autofree char *leaf = g_strdup_printf(".%.200s.XXXXXX", name);
	g_autofree char *temporary = g_build_filename(folder, leaf, NULL);
	const int fd = g_mkstemp_full(temporary, O_RDWR | O_CLOEXEC, (int)mode);

	if (fd < 0) {
		set_write_error(error, errno);
		return false;
	}
	int code = write_all(fd, bytes, n) && fsync(fd) == 0 ? 0 : errno;
	if (close(fd) != 0 && code == 0)
		code = errno;
	if (code == 0 && rename(temporary, path) != 0)
		code = errno;
	if (code != 0) {
		unlink(temporary);
		set_write_error(error, code);
		return false;
	}
	sync_folder(path);
	return true;
}

bool base_file_write(const char *path, const void *bytes, size_t n, GError **error)
{
	struct stat st;

	if (stat(path, &st) != 0)
		return write_beside(path, bytes, n, 0666, error);
	if (S_ISDIR(st.st_mode)) {
		set_write_error(error, EISDIR);
		return false;
	}
	if (!S_ISREG(st.st_mode))
		return write_directly(path, bytes, n, error);

	char *target = realpath(path, NULL);
	if (target == NULL) {
		set_write_error(error, errno);
		return false;
	}
	const bool ok = write_beside(target, bytes, n, st.st_mode & 0777, error);
	free(target);
	return ok;
}

char *base_sha256(const void *bytes, size_t n)
{
	return g_compute_checksum_for_data(G_CHECKSUM_SHA256, bytes, n);
}
