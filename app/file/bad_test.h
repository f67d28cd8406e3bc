/* What the tests of bad files share: a folder of their own, and all messages as one text. */
#ifndef FILE_BAD_TEST_H
#define FILE_BAD_TEST_H

#include "app/base/messages.h"

#include "tests/support/near.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <string.h>

/* A good file with one piece changed, and all messages that follow, in order. */
struct bad_case {
	const char *name, *old, *new, *want;
};

static char *bad_folder;

static inline int bad_set_up(void **state)
{
	(void)state;
	bad_folder = g_dir_make_tmp("firn-bad-XXXXXX", NULL);
	return bad_folder == NULL || g_chdir(bad_folder) != 0;
}

static inline int bad_tear_down(void **state)
{
	GDir *dir = g_dir_open(bad_folder, 0, NULL);
	const char *name;

	(void)state;
	while ((name = g_dir_read_name(dir)) != NULL)
		g_remove(name);
	g_dir_close(dir);
	(void)g_chdir("/");
	g_rmdir(bad_folder);
	g_free(bad_folder);
	return 0;
}

static inline void bad_write(const char *name, const char *text)
{
	assert_true(g_file_set_contents(name, text, -1, NULL));
}

/* The good text with the first place of `old` changed; the whole of it when `old` is NULL. A row
   whose place cannot be found is a mistake of the table. */
static inline char *bad_edit(const char *good, const struct bad_case *c)
{
	if (c->old == NULL)
		return g_strdup(c->new);

	const char *at = strstr(good, c->old);
	if (at == NULL)
		fail_msg("%s: \"%s\" is not in the good file", c->name, c->old);
	return g_strdup_printf("%.*s%s%s", (int)(at - good), good, c->new, at + strlen(c->old));
}

/* "line:column: text", one a line; the name of the file only where it isn't `file`. */
static inline char *bad_messages(const base_messages *messages, const char *file)
{
	GString *all = g_string_new(NULL);

	for (size_t i = 0; i < base_messages_n(messages); i++) {
		const struct base_message *m = base_messages_at(messages, i);

		g_string_append_printf(all, "%s%s%s%d:%d: %s", i > 0 ? "\n" : "",
				       strcmp(m->file, file) == 0 ? "" : m->file,
				       strcmp(m->file, file) == 0 ? "" : ":", m->mark.line,
				       m->mark.column, m->text);
	}
	return g_string_free(all, FALSE);
}

/* Each row as a test of its own. */
static inline struct CMUnitTest *bad_tests(const struct bad_case *cases, size_t n,
					   CMUnitTestFunction test)
{
	struct CMUnitTest *tests = g_new0(struct CMUnitTest, n);

	for (size_t i = 0; i < n; i++)
		tests[i] = (struct CMUnitTest){ .name = cases[i].name,
						.test_func = test,
						.initial_state = (void *)(uintptr_t)&cases[i] };
	return tests;
}

#endif
