/* The program: firn COMMAND. */
#include "app/cli/cli.h"
#include "app/base/suggest.h"
#include "app/report/program.h"

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
};

static int help(FILE *to, int status)
{
	fputs("Usage: firn COMMAND ...\n\n", to);
	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
		fprintf(to, "  %-10s %s\n", commands[i].name, commands[i].summary);
	fputs("\n  firn COMMAND --help tells more; firn --version names this build\n", to);
	return status;
}

static int unknown(const char *name, bool json)
{
	const struct cli_common common = { .json = json };
	const char *names[G_N_ELEMENTS(commands) + 1] = { NULL };
	const char *near;

	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
		names[i] = commands[i].name;
	near = base_suggest(name, names);
	if (near != NULL)
		return cli_wrong(&common, "there is no command %s; %s is near", name, near);
	return cli_wrong(&common, "there is no command %s; firn --help lists them", name);
}

int main(int argc, char **argv)
{
	/* A reader that closes the pipe ends the output, not the program in the middle of a file.
	 */
	signal(SIGPIPE, SIG_IGN);
	if (argc < 2)
		return help(stderr, CLI_WRONG);
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
		return help(stdout, CLI_DONE);
	if (strcmp(argv[1], "--version") == 0) {
		printf("firn %s\n", report_program_version);
		return CLI_DONE;
	}
	for (size_t i = 0; i < G_N_ELEMENTS(commands); i++) {
		if (strcmp(argv[1], commands[i].name) == 0) {
			g_set_prgname(commands[i].name);
			return commands[i].run(argc - 1, argv + 1);
		}
	}
	bool json = false;
	for (int i = 2; i < argc; i++)
		json |= strcmp(argv[i], "--json") == 0;
	return unknown(argv[1], json);
}
