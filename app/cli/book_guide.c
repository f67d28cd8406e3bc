/* A procedure carried out step by step, cautions first. */
#include "app/cli/book.h"

#include "app/service/book/guide.h"

#include <stdio.h>

static int guide(int argc, char **argv)
{
	g_autofree char *change = NULL;
	g_auto(GStrv) about = NULL;
	const GOptionEntry own[] = {
		{ "with", 0, 0, G_OPTION_ARG_FILENAME, &change,
		  "What the laboratory changes in the procedure", "FILE" },
		{ "about", 0, 0, G_OPTION_ARG_STRING_ARRAY, &about,
		  "Cell, thermometer or realisation that it is about; again for another", "ID" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"ID PROCEDURE",
		"Begins a guided procedure under a new id; firn cell procedure lists them.",
		own,
		2,
		2,
		true,
	};
	const char *const nothing[] = { NULL };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		const struct service_guided_beginning beginning = {
			.id = call.arguments[0],
			.procedure = call.arguments[1],
			.change = change,
			.about = about != NULL ? (const char *const *)about : nothing,
		};

		good = service_guided_begin(call.book, &call.act, &beginning, call.messages);
		g_string_append_printf(output,
				       "%s is begun; firn book next %s shows its first "
				       "step\n",
				       beginning.id, beginning.id);
	}
	return cli_book_end(&call, good, output);
}

/* On the screen, or wherever the output goes, before it counts as shown. */
static bool show(const GString *text, void *data)
{
	(void)data;
	return fwrite(text->str, 1, text->len, stdout) == text->len && fflush(stdout) == 0;
}

static int next(int argc, char **argv)
{
	const struct cli_book_form form = {
		"ID",
		"Shows the next step of a guided procedure, its cautions first, and records that "
		"they were\nshown to whoever acts.",
		NULL,
		1,
		1,
		true,
	};
	struct cli_book_call call = { 0 };
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_guided_next(call.book, &call.act, call.arguments[0], show, NULL,
					   call.messages);
	return cli_book_end(&call, good, NULL);
}

static int done(int argc, char **argv)
{
	g_autofree char *found = NULL, *not_done = NULL;
	const GOptionEntry own[] = {
		{ "found", 0, 0, G_OPTION_ARG_STRING, &found, "What was written down", "TEXT" },
		{ "not-done", 0, 0, G_OPTION_ARG_STRING, &not_done,
		  "The step was not done, and why", "TEXT" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"ID STEP",
		"Records the next step of a guided procedure as done; refused unless its cautions "
		"were shown\nto whoever acts.",
		own,
		2,
		2,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false, finished = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		const struct service_step_done d = { call.arguments[0], call.arguments[1], found,
						     not_done };

		good = service_guided_done(call.book, &call.act, &d, &finished, call.messages);
		g_string_append_printf(output, "%s: %s is %s%s\n", d.id, d.step,
				       not_done != NULL ? "passed over" : "done",
				       finished ? ", and all of it is finished" : "");
	}
	return cli_book_end(&call, good, output);
}

const struct cli_book_action cli_book_guide[] = {
	{ "guide", guide, "a guided procedure begins" },
	{ "next", next, "the next step of one, cautions first" },
	{ "done", done, "that step is done" },
	{ NULL, NULL, NULL },
};
