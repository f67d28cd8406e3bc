/* The file of comparisons between cells: `kind: cell comparison`. */
#ifndef FILE_CELL_COMPARE_H
#define FILE_CELL_COMPARE_H

#include "app/lab/cell_compare.h"

/* The record that a file states; NULL when anything in it is wrong, and the messages say what. */
lab_cell_comparison *file_read_cell_comparison(const char *path, base_messages *messages);

/* The same from bytes; path is the file's name for messages. */
lab_cell_comparison *file_parse_cell_comparison(const char *path, GBytes *bytes,
						base_messages *messages);

#endif
