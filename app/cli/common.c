#include "app/cli/cli.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

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

/* GLib reports a wrong option in the words of the person's locale only after setlocale, which this
   program never calls: the text is English. */
bool cli_options(int *argc, char ***argv, const char *usage, const char *summary,
		 const GOptionEntry *own, struct cli_common *ret_common, int *ret_status)
{
	const GOptionEntry shared[] = {
		{ "json", 0, 0, G_OPTION_ARG_NONE, &ret_common->json,
		  "Results and messages as JSON", NULL },
		{ "threads", 0, 0, G_OPTION_ARG_INT, &ret_common->threads,
		  "At most N threads; results don't depend on it", "N" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	gboolean help = FALSE, json = FALSE;
	const GOptionEntry help_entry[] = {
		{ "help", 'h', 0, G_OPTION_ARG_NONE, &help, "Show this", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	GOptionContext *context = g_option_context_new(usage);
	g_autoptr(GError) error = NULL;
	bool good;

	ret_common->threads = 0;
	g_option_context_set_help_enabled(context, FALSE);
	g_option_context_set_summary(context, summary);
	if (own != NULL)
		g_option_context_add_main_entries(context, own, NULL);
	g_option_context_add_main_entries(context, shared, NULL);
	g_option_context_add_main_entries(context, help_entry, NULL);
	for (int i = 1; i < *argc && !ret_common->json;
	     i++) /* so that wrong options come as asked */
		ret_common->json = strcmp((*argv)[i], "--json") == 0;
	for (int i = 1; i < *argc; i++) /* parsing forgets it when another option is wrong */
		json |= strcmp((*argv)[i], "--json") == 0;
	good = g_option_context_parse(context, argc, argv, &error);
	ret_common->json = json;
	if (!good) {
		*ret_status =
		    cli_wrong(ret_common, "%s; firn %s --help shows what there is", error->message,
			      g_get_prgname() != NULL ? g_get_prgname() : "");
	} else if (help) {
		g_autofree char *text = g_option_context_get_help(context, TRUE, NULL);

		good = false;
		*ret_status = cli_print(ret_common, text, strlen(text));
	} else if (ret_common->threads < 0) {
		good = false;
		*ret_status = cli_wrong(ret_common, "--threads is %d; 1 or more is needed",
					ret_common->threads);
	}
	g_option_context_free(context);
	return good;
}
