/* `firn cell procedure`. */
#ifndef CLI_CELL_PROCEDURE_H
#define CLI_CELL_PROCEDURE_H

int cli_cell_procedure(int argc, char **argv);

#endif
