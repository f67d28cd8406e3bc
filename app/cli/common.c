#include "app/cli/cli.h"

#include "app/cli/options.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { MOST_THREADS = 1024 };

int cli_report(const struct cli_common *common, base_messages *messages)
{
	base_messages_sort(messages);
	if (base_messages_n(messages) > 0) {
		if (common->json)
			base_messages_print_json(messages, stderr);
		else
			base_messages_print(messages, stderr);
	}
	return base_messages_exit_status(messages);
}

int cli_wrong(const struct cli_common *common, const char *format, ...)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(messages, BASE_ERROR, "", (struct base_mark){ 0, 0 }, "%s", text);
	return cli_report(common, messages);
}

int cli_print(const struct cli_common *common, const char *text, size_t length)
{
	g_autoptr(base_messages) messages = base_messages_new();

	if (fwrite(text, 1, length, stdout) == length && fflush(stdout) == 0)
		return CLI_DONE;
	if (errno == EPIPE)
		return CLI_DONE;
	base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
			  "the output could not be written: %s", g_strerror(errno));
	return cli_report(common, messages);
}

const char *cli_one_file(const struct cli_common *common, int argc, char *const *argv,
			 const char *what)
{
	const char *command = g_get_prgname();

	if (argc == 2 && argv[1][0] != '\0')
		return argv[1];
	if (argc == 2)
		cli_wrong(common, "the name of the file is empty; %s takes %s", command, what);
	else if (argc < 2)
		cli_wrong(common, "a file is missing; %s takes %s", command, what);
	else
		cli_wrong(common, "%d files are given; %s takes one, %s", argc - 1, command, what);
	return NULL;
}

bool cli_whole_number(const struct cli_common *common, const char *option, const char *text,
		      gint64 low, gint64 high, gint64 *ret)
{
	if (text == NULL || g_ascii_string_to_signed(text, 10, low, high, ret, NULL))
		return true;
	cli_wrong(common,
		  "%s is '%.40s'; it is a whole number from %" G_GINT64_FORMAT
		  " to %" G_GINT64_FORMAT ", in digits",
		  option, text, low, high);
	return false;
}

/* Options before the --, and behind them what it protects, without it. */
static bool parse(GOptionContext *context, int *argc, char ***argv, GError **error)
{
	const int end = cli_options_end(*argc, *argv);
	const int rest = end < *argc ? *argc - end - 1 : 0;
	g_autofree char **behind = g_new0(char *, (size_t)rest + 1);
	int n = end;

	if (rest > 0)
		memcpy(behind, *argv + end + 1, (size_t)rest * sizeof *behind);
	if (!g_option_context_parse(context, &n, argv, error))
		return false;
	memcpy(*argv + n, behind, (size_t)rest * sizeof *behind);
	*argc = n + rest;
	(*argv)[*argc] = NULL;
	return true;
}

static int show_help(const struct cli_common *common, GOptionContext *context)
{
	g_autofree char *text = g_option_context_get_help(context, TRUE, NULL);

	return cli_print(common, text, strlen(text));
}

bool cli_options(int *argc, char ***argv, const char *usage, const char *summary,
		 const GOptionEntry *own, struct cli_common *ret_common, int *ret_status)
{
	static const GOptionEntry none[] = { { .long_name = NULL } };
	gboolean help = FALSE, json = FALSE;
	g_autofree char *threads = NULL;
	const GOptionEntry shared[] = {
		{ "json", 0, 0, G_OPTION_ARG_NONE, &json, "Results and messages as JSON", NULL },
		{ "threads", 0, 0, G_OPTION_ARG_FILENAME, &threads,
		  "At most N threads; results don't depend on it", "N" },
		{ "help", 'h', 0, G_OPTION_ARG_NONE, &help, "Show this", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const GOptionEntry *const groups[] = { own != NULL ? own : none, shared, NULL };
	g_autoptr(GOptionContext) context = g_option_context_new(usage);
	g_autoptr(GError) error = NULL;
	const int end = cli_options_end(*argc, *argv);
	gint64 n_threads = 0;

	*ret_common = (struct cli_common){ 0 };
	for (int i = 1; i < end; i++) /* before all else, so that what is wrong comes as asked */
		ret_common->json |= strcmp((*argv)[i], "--json") == 0;
	g_autofree char *fault = cli_options_fault(g_get_prgname(), end, *argv, groups);
	g_option_context_set_help_enabled(context, FALSE);
	g_option_context_set_summary(context, summary);
	g_option_context_add_main_entries(context, groups[0], NULL);
	g_option_context_add_main_entries(context, shared, NULL);
	if (fault != NULL || !parse(context, argc, argv, &error)) {
		*ret_status = cli_wrong(ret_common, "%s", fault != NULL ? fault : error->message);
		return false;
	}
	if (help) {
		*ret_status = show_help(ret_common, context);
		return false;
	}
	*ret_status = CLI_WRONG;
	if (!cli_whole_number(ret_common, "--threads", threads, 1, MOST_THREADS, &n_threads))
		return false;
	ret_common->threads = (int)n_threads;
	*ret_status = CLI_DONE;
	return true;
}
