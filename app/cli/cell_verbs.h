/* The subcommands of `firn cell` that read a kind: cell; each in a file of its own. */
#ifndef CLI_CELL_VERBS_H
#define CLI_CELL_VERBS_H

#include "app/cli/cell.h"

int cli_cell_fit(struct cli_cell *call);
int cli_cell_prepare(struct cli_cell *call);
int cli_cell_keep(struct cli_cell *call);
int cli_cell_drawing(struct cli_cell *call);

#endif
