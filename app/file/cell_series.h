/* Columns of numbers in a CSV file that a cell's file names. */
#ifndef FILE_CELL_SERIES_H
#define FILE_CELL_SERIES_H

#include "app/file/read.h"

#define FILE_CELL_COLUMNS 4

/*
 * file_cell_series - the rows of the file that stands under a key, beside the file that is read.
 *
 * Given: names of the columns, at most FILE_CELL_COLUMNS, of which the first n_needed must be
 * there; the first one is a time that never falls. Other columns are passed over. Returned:
 * doubles, n_columns a row; NaN in a column that the file does not have. Nothing is appended when
 * anything is wrong, and the messages say what and where.
 */
void file_cell_series(struct file_map *map, const char *key, const char *const *columns,
		      size_t n_columns, size_t n_needed, GArray *ret);

#endif
