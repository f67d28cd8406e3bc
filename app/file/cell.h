/* The file of a cell: `kind: cell`. */
#ifndef FILE_CELL_H
#define FILE_CELL_H

#include "app/base/messages.h"
#include "app/lab/cell_study.h"

/*
 * file_read_cell - the record that a file states, in SI units; NULL when anything in it is wrong,
 * and the messages say what, all at once. Sections that a command needs and the file does not have
 * are that command's to ask for.
 */
lab_cell_study *file_read_cell(const char *path, base_messages *messages);

/* The same from bytes; path is the file's name for messages. */
lab_cell_study *file_parse_cell(const char *path, GBytes *bytes, base_messages *messages);

#endif
