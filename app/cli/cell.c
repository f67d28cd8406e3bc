#include "app/cli/cell.h"

#include "app/base/suggest.h"
#include "app/cli/cell_procedure.h"
#include "app/cli/cell_records.h"
#include "app/cli/cell_verbs.h"
#include "app/file/cell.h"

#include <string.h>

/* In the order in which they are used: before, while and after a mantle lives. */
static const struct cli_cell_verb verbs[] = {
	{ "fit", "whether a thermometer fits a cell, and what would help", cli_cell_fit, false,
	  NULL },
	{ "prepare", "how long a mantle takes, with how much coolant; cautions first",
	  cli_cell_prepare, false, NULL },
	{ "keep", "whether the mantle melts or grows, and how many days it has left", cli_cell_keep,
	  true, NULL },
	{ "drawing", "a cell cut across, each effect where it acts (--svg, --pdf)",
	  cli_cell_drawing, true, NULL },
	{ "procedure", "a guided procedure, cautions first, or the list of them", NULL, false,
	  cli_cell_procedure },
	{ "check", "what the checks of a cell bound, and its budget", cli_cell_check, false, NULL },
	{ "plateau", "a freezing or melting curve: liquidus point, furnace, budget",
	  cli_cell_plateau, false, NULL },
	{ "compare", "cells compared over years: values, drifts, a certificate (--pdf)",
	  cli_cell_compare, true, NULL },
	{ "profile", "an immersion profile against the head, and what conduction leaves",
	  cli_cell_profile, true, NULL },
	{ NULL, NULL, NULL, false, NULL },
};

static const struct cli_cell_verb *verb_named(const char *name)
{
	for (const struct cli_cell_verb *v = verbs; v->name != NULL; v++)
		if (strcmp(v->name, name) == 0)
			return v;
	return NULL;
}

static char *summary(void)
{
	GString *text = g_string_new("What a cell does to a thermometer, and time to a mantle. "
				     "FILE is the YAML of a cell.\n\n");

	for (const struct cli_cell_verb *v = verbs; v->name != NULL; v++)
		g_string_append_printf(text, "  %-10s %s\n", v->name, v->summary);
	return g_string_free(text, FALSE);
}

static int unknown(const struct cli_common *common, const char *name)
{
	const char *names[G_N_ELEMENTS(verbs)] = { NULL };
	const char *near;

	for (size_t i = 0; verbs[i].name != NULL; i++)
		names[i] = verbs[i].name;
	near = base_suggest(name, names);
	if (near != NULL)
		return cli_wrong(common, "there is no firn cell %.60s; did you mean %s?", name,
				 near);
	return cli_wrong(common,
			 "there is no firn cell %.60s; firn cell --help lists what there is", name);
}

const lab_cell_study *cli_cell_study(struct cli_cell *call)
{
	if (call->study_of == NULL)
		call->study_of = file_read_cell(call->path, call->messages);
	return call->study_of;
}

static int run(const struct cli_cell_verb *verb, struct cli_cell *call)
{
	const int done = verb->run(call);
	const int said = cli_report(call->common, call->messages);

	lab_cell_study_free(call->study_of);
	if (done != CLI_DONE && done != CLI_NOT_ACCEPTED)
		return said != CLI_DONE ? said : done;
	const int printed = cli_print(call->common, call->out->str, call->out->len);
	return printed != CLI_DONE ? printed : done;
}

int cli_cell(int argc, char **argv)
{
	g_autofree char *svg = NULL, *pdf = NULL, *book = NULL, *what = summary();
	const GOptionEntry own[] = {
		{ "svg", 0, 0, G_OPTION_ARG_FILENAME, &svg, "Write the picture as SVG", "FILE" },
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf, "Write the picture as PDF", "FILE" },
		{ "book", 0, 0, G_OPTION_ARG_FILENAME, &book,
		  "keep: take the mantle's history from this book", "BOOK" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) out = g_string_new(NULL);
	struct cli_common common = { 0 };
	int status = CLI_DONE;

	const struct cli_cell_verb *first = argc > 1 ? verb_named(argv[1]) : NULL;
	if (first != NULL && first->own != NULL) {
		g_autofree char *name = g_strconcat("firn cell ", first->name, NULL);

		g_set_prgname(name);
		return first->own(argc - 1, argv + 1);
	}
	if (!cli_options(&argc, &argv, "WHAT FILE", what, own, &common, &status))
		return status;
	if (argc < 2)
		return cli_wrong(&common, "firn cell lacks what to do; firn cell WHAT FILE, and "
					  "firn cell --help lists what there is");

	const struct cli_cell_verb *verb = verb_named(argv[1]);
	if (verb == NULL)
		return unknown(&common, argv[1]);
	if (!verb->draws && (svg != NULL || pdf != NULL))
		return cli_wrong(&common, "firn cell %s draws nothing; leave --%s out", verb->name,
				 svg != NULL ? "svg" : "pdf");

	if (book != NULL && verb->run != cli_cell_keep)
		return cli_wrong(&common, "firn cell %s reads no book; leave --book out",
				 verb->name);

	const char *path = cli_one_file(&common, argc - 1, argv + 1, "the YAML file of a cell");
	if (path == NULL)
		return CLI_WRONG;
	struct cli_cell call = { .common = &common,
				 .path = path,
				 .svg = svg,
				 .pdf = pdf,
				 .book = book,
				 .messages = messages,
				 .out = out };
	return run(verb, &call);
}
