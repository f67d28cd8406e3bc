/* What is wrong with the options of a command, in words that say what would be right. */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include <glib.h>

/* How many of argv stand before the -- that ends the options; argc where there is none. Whatever
   follows it belongs to the command, even if it begins with a minus. */
int cli_options_end(int argc, char *const *argv);

/*
 * cli_options_fault - the first fault among argv[1] to argv[argc - 1], none of them a --.
 *
 * Given: the command (firn reduce); all its options in groups, each ended as GLib asks, the list of
 * groups by NULL. Known to it: flags, options with one text, long names, and -h. Found: unknown
 * options (with the nearest one), values that are missing or too many, options that stand twice.
 * Returned: the message, to be released with g_free; NULL when GLib may read them.
 */
char *cli_options_fault(const char *command, int argc, char *const *argv,
			const GOptionEntry *const *groups);

#endif
