/* The subcommands of `firn cell` that read what was recorded at the bench. */
#ifndef CLI_CELL_RECORDS_H
#define CLI_CELL_RECORDS_H

#include "app/cli/cell.h"

int cli_cell_check(struct cli_cell *call);
int cli_cell_profile(struct cli_cell *call);
int cli_cell_plateau(struct cli_cell *call);
int cli_cell_compare(struct cli_cell *call); /* reads a file of its own kind */

#endif
