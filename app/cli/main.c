/* The program: firn COMMAND. */
/* newlocale and uselocale */
#define _POSIX_C_SOURCE 200809L

#include "app/cli/cli.h"
#include "app/base/suggest.h"
#include "app/report/program.h"

#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

static const struct {
	const char *name;
	int (*run)(int argc, char **argv);
	const char *summary;
} commands[] = {
	{ "scale", cli_scale, "reference functions, fixed points, T - T90" },
	{ "evaluate", cli_evaluate, "a measurement model stated in a file: value and budget" },
	{ "reduce", cli_reduce,
	  "a fixed-point calibration: readings to coefficients and certificate" },
	{ "convert", cli_convert, "W, ratios or ohm to temperatures by a calibration" },
	{ "plan", cli_plan, "what a thermometer can reach, in which cell, in how many days" },
	{ "cell", cli_cell, "a cell and its mantle: forecasts, checks, guided procedures" },
	{ "book", cli_book, "records of the laboratory: kept, traced, computed again" },
	{ "validate", cli_validate, "the built-in published checks on this machine, as a record" },
	{ "schema", cli_schema, "the JSON Schema of each kind of file" },
};

static void append_help(GString *to)
{
	g_string_append(to, "Usage: firn COMMAND ...\n\n");
	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
		g_string_append_printf(to, "  %-10s %s\n", commands[i].name, commands[i].summary);
	g_string_append(to, "\n  firn COMMAND --help tells more; firn --version names this build\n"
			    "  a -- ends the options: what follows it may begin with a minus\n");
}

static int help(void)
{
	const struct cli_common common = { 0 };
	g_autoptr(GString) text = g_string_new(NULL);

	append_help(text);
	return cli_print(&common, text->str, text->len);
}

static int no_command(void)
{
	g_autoptr(GString) text = g_string_new(NULL);

	g_string_append(text, "A command is missing; name one of those below.\n\n");
	append_help(text);
	fputs(text->str, stderr);
	return CLI_WRONG;
}

static int version(void)
{
	const struct cli_common common = { 0 };
	g_autofree char *text = g_strdup_printf("firn %s\n", report_program_version);

	return cli_print(&common, text, strlen(text));
}

static int unknown(const char *name, bool json)
{
	const struct cli_common common = { .json = json };
	const char *names[G_N_ELEMENTS(commands) + 1] = { NULL };
	const char *near;

	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
		names[i] = commands[i].name;
	near = base_suggest(name, names);
	if (name[0] == '-')
		return cli_wrong(&common,
				 "'%.60s' stands where a command belongs; firn COMMAND ..., and "
				 "firn --help lists the commands",
				 name);
	if (near != NULL)
		return cli_wrong(&common, "there is no command '%.60s'; did you mean %s?", name,
				 near);
	return cli_wrong(&common, "there is no command '%.60s'; firn --help lists them", name);
}

int main(int argc, char **argv)
{
	/* A reader that closes the pipe, and a limit on the size of files, end the output, not the
	   program in the middle of a file. */
	signal(SIGPIPE, SIG_IGN);
	signal(SIGXFSZ, SIG_IGN);
	/* The program never asks for the user's locale. Should a library do, messages still write
	   1.05 and not 1,05, for this thread makes them all. */
	uselocale(newlocale(LC_ALL_MASK, "C", (locale_t)0));
	if (argc < 2)
		return no_command();
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
		return help();
	if (strcmp(argv[1], "--version") == 0)
		return version();
	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++) {
		if (strcmp(argv[1], commands[i].name) == 0) {
			g_autofree char *name = g_strconcat("firn ", commands[i].name, NULL);

			g_set_prgname(name); /* help and messages begin with it */
			return commands[i].run(argc - 1, argv + 1);
		}
	}
	bool json = false;
	for (int i = 1; i < argc; i++)
		json |= strcmp(argv[i], "--json") == 0;
	return unknown(argv[1], json);
}
