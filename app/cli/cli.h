/* One file per command; each gets its own arguments and returns the exit status. */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>

enum { CLI_DONE = 0, CLI_NOT_ACCEPTED = 1, CLI_WRONG = 2, CLI_FAILED = 3 };

int cli_scale(int argc, char **argv);
int cli_book(int argc, char **argv);
int cli_cell(int argc, char **argv);
int cli_convert(int argc, char **argv);
int cli_evaluate(int argc, char **argv);
int cli_plan(int argc, char **argv);
int cli_reduce(int argc, char **argv);
int cli_schema(int argc, char **argv);
int cli_validate(int argc, char **argv);

/* Options that every command takes; the rest of argv is left to the command. */
struct cli_common {
	gboolean json;
	int threads; /* 0: not given */
};

/*
 * Reads options (GLib's); `own` may be NULL. usage: what follows the command's name. A -- ends the
 * options and is taken out; what follows it is left to the command. Returns false when there is
 * nothing more to do: help was shown (*ret_status 0) or the options are wrong (2).
 */
bool cli_options(int *argc, char ***argv, const char *usage, const char *summary,
		 const GOptionEntry *own, struct cli_common *ret_common, int *ret_status);

/* The one file that a command takes, behind its options; NULL: it is not one, which has been said.
   what: "a measurement model". */
const char *cli_one_file(const struct cli_common *common, int argc, char *const *argv,
			 const char *what);

/* The whole number that was given as an option's value; *ret stays as it is where it was not given
   (NULL). False: it is none from low to high, and that has been said. */
bool cli_whole_number(const struct cli_common *common, const char *option, const char *text,
		      gint64 low, gint64 high, gint64 *ret);

/* Says what is wrong on stderr (as JSON if asked) and returns the exit status of the worst. */
int cli_report(const struct cli_common *common, base_messages *messages);

/* One message about the command itself. */
int cli_wrong(const struct cli_common *common, const char *format, ...) G_GNUC_PRINTF(2, 3);

/* Writes to stdout; a reader that has gone is no failure of ours, a full disk is. */
int cli_print(const struct cli_common *common, const char *text, size_t length);

#endif
