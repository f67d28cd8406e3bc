/* What `firn cell` can do: one file per subcommand, joined in the list of cell.c. */
#ifndef CLI_CELL_H
#define CLI_CELL_H

#include "app/cli/cli.h"
#include "app/lab/cell_study.h"

/* One call, as its subcommand sees it. */
struct cli_cell {
	const struct cli_common *common;
	const char *path;      /* the file named on the command line */
	const char *svg, *pdf; /* pictures asked for; NULL: none */
	const char *book;      /* whose records are wanted; NULL: none */
	base_messages *messages;
	GString *out;             /* text or JSON: printed by whoever called, when run returns */
	lab_cell_study *study_of; /* what cli_cell_study has read; released by the caller */
};

struct cli_cell_verb {
	const char *name, *summary;
	/* Appends to out and returns CLI_DONE or CLI_NOT_ACCEPTED; anything else when the messages
	   tell why there is no result. Pictures are written by the subcommand itself. */
	int (*run)(struct cli_cell *call);
	bool draws; /* takes --svg and --pdf */
	/* Reads its own arguments, which name no file of a cell; run is then NULL. */
	int (*own)(int argc, char **argv);
};

/* Reads the file as kind: cell; NULL when it is none or wrong, and the messages say why. */
const lab_cell_study *cli_cell_study(struct cli_cell *call);

#endif
