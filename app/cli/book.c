/* `firn book ACTION`: the records of a laboratory. */
#include "app/cli/book.h"

#include "app/base/suggest.h"
#include "app/cli/cli.h"

#include <string.h>

static const struct cli_book_action *const groups[] = {
	cli_book_whole,    cli_book_records, cli_book_work,
	cli_book_readings, cli_book_limits,  cli_book_guide,
	cli_book_today,    cli_book_answers, NULL
};

static const struct cli_book_action *find(const char *name)
{
	for (size_t g = 0; groups[g] != NULL; g++)
		for (const struct cli_book_action *a = groups[g]; a->name != NULL; a++)
			if (strcmp(a->name, name) == 0)
				return a;
	return NULL;
}

static int help(void)
{
	const struct cli_common common = { 0 };
	g_autoptr(GString) text = g_string_new("Usage: firn book ACTION ...\n");

	for (size_t g = 0; groups[g] != NULL; g++) {
		g_string_append_c(text, '\n');
		for (const struct cli_book_action *a = groups[g]; a->name != NULL; a++)
			g_string_append_printf(text, "  %-15s %s\n", a->name, a->summary);
	}
	g_string_append(
	    text, "\n  firn book ACTION --help tells more. --book FILE names the book, a file\n"
		  "  or postgresql://...; without it the variable FIRN_BOOK does. --as PERSON\n"
		  "  says who acts (FIRN_PERSON), --why TEXT the reason.\n");
	return cli_print(&common, text->str, text->len);
}

static int unknown(const char *name)
{
	const struct cli_common common = { 0 };
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	const char *near;

	for (size_t g = 0; groups[g] != NULL; g++)
		for (const struct cli_book_action *a = groups[g]; a->name != NULL; a++)
			g_ptr_array_add(names, (gpointer)a->name);
	g_ptr_array_add(names, NULL);
	near = base_suggest(name, (const char *const *)names->pdata);
	if (near != NULL)
		return cli_wrong(&common, "the book has no action '%.60s'; did you mean %s?", name,
				 near);
	return cli_wrong(&common, "the book has no action '%.60s'; firn book --help lists them",
			 name);
}

int cli_book(int argc, char **argv)
{
	const struct cli_common common = { 0 };
	const struct cli_book_action *action;

	if (argc < 2)
		return cli_wrong(&common,
				 "an action is missing; firn book --help lists what it can do");
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
		return help();
	action = find(argv[1]);
	if (action == NULL)
		return unknown(argv[1]);
	g_autofree char *name = g_strconcat("firn book ", action->name, NULL);
	g_set_prgname(name);
	return action->run(argc - 1, argv + 1);
}
