/* setrlimit, symlink */
#define _XOPEN_SOURCE 700

#include "app/base/file.h"

#include "tests/support/near.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static char *folder;

static char *in_folder(const char *name)
{
	return g_build_filename(folder, name, NULL);
}

static int make_folder(void **state)
{
	(void)state;
	folder = g_dir_make_tmp("firn-file-XXXXXX", NULL);
	return folder == NULL;
}

static guint files_in_folder(void)
{
	g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
	guint n = 0;

	while (g_dir_read_name(dir) != NULL)
		n++;
	return n;
}

static int remove_folder(void **state)
{
	GDir *dir = g_dir_open(folder, 0, NULL);
	const char *name;

	(void)state;
	while ((name = g_dir_read_name(dir)) != NULL) {
		g_autofree char *path = in_folder(name);
		g_remove(path);
	}
	g_dir_close(dir);
	g_rmdir(folder);
	g_free(folder);
	return 0;
}

static void assert_read_refused(const char *path, size_t limit, const char *want)
{
	g_autoptr(GError) error = NULL;

	assert_null(base_file_read(path, limit, "a job", &error));
	assert_int_equal(base_file_error_kind(error), BASE_ERROR);
	assert_string_equal(error->message, want);
}

static void test_write_and_read(void **state)
{
	g_autofree char *path = in_folder("a.txt");
	g_autoptr(GError) error = NULL;

	(void)state;
	assert_true(base_file_write(path, "one\0two", 7, &error));
	assert_true(base_file_write(path, "new\0text", 8, &error));
	g_autoptr(GBytes) got = base_file_read(path, 8, "a job", &error);
	assert_non_null(got);
	assert_int_equal(g_bytes_get_size(got), 8);
	assert_memory_equal(g_bytes_get_data(got, NULL), "new\0text", 8);
	assert_int_equal(files_in_folder(), 1);

	assert_true(base_file_write(path, "", 0, &error));
	g_autoptr(GBytes) empty = base_file_read(path, 8, "a job", &error);
	assert_int_equal(g_bytes_get_size(empty), 0);
}

static void test_refused(void **state)
{
	g_autofree char *missing = in_folder("missing"), *fifo = in_folder("fifo");
	g_autofree char *large = in_folder("large"), *below = in_folder("large/x");

	(void)state;
	assert_int_equal(mkfifo(fifo, 0600), 0);
	assert_true(g_file_set_contents(large, "12345678901", 11, NULL));
	assert_read_refused(missing, 10, "there is no such file; check the name and the folder");
	assert_read_refused(folder, 10, "this is a directory; a file is needed");
	assert_read_refused(fifo, 10, "this is a device or pipe; a file is needed");
	assert_read_refused(below, 10, "there is no such file; a part of the path is no folder");
	assert_read_refused(large, 10, "the file is larger than 0 MB; a job is smaller than that");

	/* root may read everything, so this can only be seen by others */
	assert_int_equal(chmod(large, 0), 0);
	if (geteuid() != 0)
		assert_read_refused(large, 100, "the file may not be read; check its permissions");
}

/* A limit on file size stands for a full disk: nothing new is left, and the old file is whole. */
static void test_failed_write_leaves_no_trace(void **state)
{
	g_autofree char *path = in_folder("b.txt"), *fresh = in_folder("fresh.txt");
	g_autofree char *bytes = g_malloc0(100000);
	g_autoptr(GError) error = NULL, second = NULL;
	const guint before = files_in_folder();
	struct rlimit old, small;

	(void)state;
	assert_true(base_file_write(path, "old", 3, &error));
	signal(SIGXFSZ, SIG_IGN);
	assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
	small = (struct rlimit){ .rlim_cur = 4096, .rlim_max = old.rlim_max };
	assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
	const bool replaced = base_file_write(path, bytes, 100000, &error);
	const bool made = base_file_write(fresh, bytes, 100000, &second);
	assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);

	assert_false(replaced);
	assert_false(made);
	assert_int_equal(base_file_error_kind(error), BASE_FAILURE);
	assert_int_equal(files_in_folder(), before + 1);
	g_autoptr(GBytes) got = base_file_read(path, 10, "a job", NULL);
	assert_memory_equal(g_bytes_get_data(got, NULL), "old", 3);
}

static void test_where_nothing_can_be_written(void **state)
{
	g_autofree char *path = in_folder("none/here.txt");
	g_autoptr(GError) error = NULL, second = NULL;

	(void)state;
	assert_false(base_file_write(path, "x", 1, &error));
	assert_int_equal(base_file_error_kind(error), BASE_ERROR);
	assert_false(base_file_write(folder, "x", 1, &second));
	assert_int_equal(base_file_error_kind(second), BASE_ERROR);
}

static void test_link_and_device(void **state)
{
	g_autofree char *target = in_folder("target.txt"), *link = in_folder("link.txt");
	g_autoptr(GError) error = NULL;
	struct stat st;

	(void)state;
	assert_true(base_file_write(target, "1", 1, &error));
	assert_int_equal(chmod(target, 0640), 0);
	assert_int_equal(symlink("target.txt", link), 0);
	assert_true(base_file_write(link, "22", 2, &error));
	assert_int_equal(lstat(link, &st), 0);
	assert_true(S_ISLNK(st.st_mode));
	assert_int_equal(stat(target, &st), 0);
	assert_int_equal(st.st_size, 2);
	assert_int_equal(st.st_mode & 0777, 0640);

	assert_true(base_file_write("/dev/null", "x", 1, &error));
	assert_int_equal(stat("/dev/null", &st), 0);
	assert_true(S_ISCHR(st.st_mode));
}

/* NIST CSRC, examples with intermediate values, SHA-256: the one-block message "abc". */
static void test_sha256(void **state)
{
	g_autofree char *got = base_sha256("abc", 3);

	(void)state;
	assert_string_equal(got,
			    "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_write_and_read),
		cmocka_unit_test(test_refused),
		cmocka_unit_test(test_failed_write_leaves_no_trace),
		cmocka_unit_test(test_where_nothing_can_be_written),
		cmocka_unit_test(test_link_and_device),
		cmocka_unit_test(test_sha256),
	};

	return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
