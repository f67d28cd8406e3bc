/* getline */
#define _POSIX_C_SOURCE 200809L

#include "app/cli/cli.h"
#include "app/base/suggest.h"
#include "app/calc/scale.h"
#include "firn/number.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>

enum {
	LONGEST_SHOWN = 40, /* of what is no number */
	MOST_SAID = 20      /* values in which something is wrong */
};

struct run {
	const struct calc_scale_function *function;
	bool from_zero;
	struct cli_common common;
	base_messages *messages;
	size_t refused; /* values that were found wrong, told or only counted */
	GString *out;
	int printed; /* exit status of what was written last */
};

static void print_answer(struct run *run, const struct calc_scale_answer *answer)
{
	char number[FIRN_NUMBER_SIZE];

	for (int i = 0; i < answer->n; i++) {
		firn_number_print(answer->values[i], number);
		g_string_append_printf(run->out, "%s%s", i == 0 ? "" : " ", number);
	}
	g_string_append_c(run->out, '\n');
}

static char *why_no_number(const char *text, size_t length)
{
	const bool comma = memchr(text, ',', length) != NULL;

	return g_strdup_printf("'%.*s' is no number; %s", (int)MIN(length, LONGEST_SHOWN), text,
			       comma ? "the decimal sign is a point"
				     : "each value is one number, such as 273.16, and on stdin "
				       "has a line of its own");
}

static void answer_one(struct run *run, const char *text, size_t length, const char *file,
		       struct base_mark mark)
{
	struct calc_scale_answer answer;
	g_autofree char *wrong = NULL;
	double x;

	if (firn_number_parse(text, length, &x) < 0)
		wrong = why_no_number(text, length);
	else if (calc_scale_answer(run->function, run->from_zero, x, &answer, &wrong))
		print_answer(run, &answer);
	if (wrong != NULL && run->refused++ < MOST_SAID)
		base_messages_add(run->messages, BASE_ERROR, file, mark, "%s", wrong);
}

/* No list of messages grows with the input. */
static void say_rest(const struct run *run)
{
	if (run->refused > MOST_SAID)
		base_messages_add(run->messages, BASE_ERROR, "", (struct base_mark){ 0, 0 },
				  "and %" G_GSIZE_FORMAT " more values were wrong",
				  run->refused - MOST_SAID);
}

/* False when there is no use in writing more: the disk is full, or the reader has gone. */
static bool flush(struct run *run)
{
	run->printed = cli_print(&run->common, run->out->str, run->out->len);
	g_string_truncate(run->out, 0);
	return ferror(stdout) == 0;
}

static bool is_space(char c)
{
	return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* Lines of any length, whatever bytes they hold; empty ones are passed over. */
static void answer_lines(struct run *run)
{
	char *line = NULL;
	size_t room = 0;
	ssize_t length;

	for (int number = 1; (length = getline(&line, &room, stdin)) >= 0; number++) {
		size_t start = 0, end = (size_t)length;

		while (end > 0 && is_space(line[end - 1]))
			end--;
		while (start < end && is_space(line[start]))
			start++;
		if (start < end)
			answer_one(run, line + start, end - start, "stdin",
				   (struct base_mark){ number, (int)start + 1 });
		if (run->out->len > 1 << 16 && !flush(run))
			break;
	}
	if (ferror(stdin))
		base_messages_add(run->messages, errno == EISDIR ? BASE_ERROR : BASE_FAILURE,
				  "stdin", (struct base_mark){ 0, 0 }, "reading failed: %s",
				  g_strerror(errno));
	free(line);
}

static int print_table(struct run *run, void (*table)(bool json, GString *to))
{
	table(run->common.json, run->out);
	return cli_print(&run->common, run->out->str, run->out->len);
}

static int no_such_function(const struct cli_common *common, const char *name)
{
	const char *known[] = { "reference", "inverse",    "approximate-inverse",
				"points",    "difference", NULL };
	const char *near = base_suggest(name, known);

	if (near != NULL)
		return cli_wrong(common, "there is no scale function '%.60s'; did you mean %s?",
				 name, near);
	return cli_wrong(
	    common,
	    "there is no scale function '%.60s'; reference, inverse, approximate-inverse, points "
	    "and difference are there",
	    name);
}

int cli_scale(int argc, char **argv)
{
	gboolean from_zero = FALSE;
	const GOptionEntry own[] = {
		{ "from-zero", 0, 0, G_OPTION_ARG_NONE, &from_zero,
		  "Equation (10a) from 273.15 K on, as subranges that start at 0 degC use it",
		  NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) out = g_string_new(NULL);
	struct run run = { .messages = messages, .out = out };
	int status = CLI_DONE;

	if (!cli_options(
		&argc, &argv, "FUNCTION [VALUE...]",
		"ITS-90 for platinum resistance thermometers; values as arguments, or one a line "
		"on "
		"stdin.\n\n"
		"  reference            T90 in kelvin to W_r\n"
		"  inverse              W_r to T90 in kelvin: the root of the defining equation\n"
		"  approximate-inverse  W_r to T90 by the published inverse, within 0.13 mK of the "
		"root\n"
		"  difference           T90 in kelvin to T - T90 and its standard uncertainty, "
		"kelvin\n"
		"  points               the defining fixed points",
		own, &run.common, &status))
		return status;
	run.from_zero = from_zero;
	if (argc < 2)
		return cli_wrong(
		    &run.common,
		    "scale needs a function, such as firn scale reference 273.16; firn "
		    "scale --help lists them");
	if (strcmp(argv[1], "points") == 0)
		return argc == 2 ? print_table(&run, calc_scale_points)
				 : cli_wrong(&run.common,
					     "points takes no values; firn scale points lists all "
					     "fixed points");
	run.function = calc_scale_function_named(argv[1]);
	if (run.function == NULL)
		return no_such_function(&run.common, argv[1]);
	for (int i = 2; i < argc; i++)
		answer_one(&run, argv[i], strlen(argv[i]), "argument",
			   (struct base_mark){ i - 1, 1 });
	if (argc == 2)
		answer_lines(&run);
	if (ferror(stdout) == 0)
		flush(&run);
	say_rest(&run);
	const int said = cli_report(&run.common, messages);
	return run.printed != CLI_DONE ? run.printed : said;
}
