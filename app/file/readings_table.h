/* A file of readings while it is read: shared by the reading of its header and of its rows. */
#ifndef FILE_READINGS_TABLE_H
#define FILE_READINGS_TABLE_H

#include "app/file/csv.h"
#include "app/file/readings.h"
#include "app/file/readings_say.h"

#include <glib.h>
#include <stdbool.h>

enum file_column {
	FILE_TIME,
	FILE_VISIT,
	FILE_CURRENT,
	FILE_RATIO,
	FILE_RESISTANCE,
	FILE_BATH,
	FILE_FLAG,
	FILE_COLUMNS
};
extern const char *const file_column_names[FILE_COLUMNS + 1]; /* ends in NULL */

struct file_table {
	const struct file_readings *given;
	struct file_csv csv;
	struct file_say say;
	int where[FILE_COLUMNS]; /* position of a column in a row; -1: not there */
	size_t n_columns;
	GHashTable *visits;  /* id -> index + 1 */
	int64_t *last_us;    /* of each visit */
	bool *seen, *usable; /* each visit has rows; has rows that are not set aside */
	int last_visit;
	bool unknown_visits;
	bool any_time; /* of a row so far */
	bool any_row;
	bool one_visit; /* all rows are of the first; there is no column for it */
};

/* Ready to read its header and rows once `csv` is open. */
void file_table_open(struct file_table *table, const struct file_readings *given);
void file_table_close(struct file_table *table);

/* Finds out what stands in which column; false after a message when the rows cannot be read. */
bool file_table_header(struct file_table *table);

/* Rows until so many readings are there, or csv ends; whether there are so many. */
bool file_table_rows(struct file_table *table, size_t most);

#endif
