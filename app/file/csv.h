/* Comma-separated values as RFC 4180 has them, read in one pass over bytes in memory. */
#ifndef FILE_CSV_H
#define FILE_CSV_H

#include "app/base/messages.h"

#include <stdbool.h>
#include <stddef.h>

#define FILE_CSV_FIELDS 64 /* more columns than any of our files has */

struct file_csv_field {
	const char *text; /* not terminated; without quotes, and without blanks at its ends */
	size_t length;
	const char *start; /* where it begins in the file */
};

struct file_csv {
	const char *at, *end; /* what is still to be read */
	int line;             /* of `at`, from 1 */
	int record_line;      /* of the record read last */
	const char *record_start;
	struct file_csv_field fields[FILE_CSV_FIELDS];
	size_t n;       /* fields of the record, counted also beyond FILE_CSV_FIELDS */
	char *unquoted; /* room for fields with doubled quotes; NULL before the first, owned */
};

/* What is wrong with a record as such. */
enum file_csv_status {
	FILE_CSV_RECORD,
	FILE_CSV_END,
	FILE_CSV_OPEN_QUOTE,  /* the file ends within quotes; the field is that of `fault` */
	FILE_CSV_AFTER_QUOTE, /* text after a closing quote */
	FILE_CSV_STRAY_QUOTE, /* a quote within a field without quotes */
};

void file_csv_open(struct file_csv *csv, const char *text, size_t length);
void file_csv_close(struct file_csv *csv);

/* The next record that is not an empty line. After a fault the rest of the line is passed over, and
 *ret_fault points at it. */
enum file_csv_status file_csv_next(struct file_csv *csv, const char **ret_fault);

/*
 * file_csv_numbers - the next line, if it is n numbers and nothing else: no blanks, quotes or empty
 * fields. Several times as fast as looking at fields.
 *
 * Returned: false when it isn't, with nothing read: file_csv_next() tells what it is. Else the
 * numbers; the line is the record read last, but `fields` are untouched.
 */
bool file_csv_numbers(struct file_csv *csv, size_t n, double *ret);

/* Passes over one line if it starts with this character; false when it doesn't. */
bool file_csv_skip_line(struct file_csv *csv, char first);

/* Where a byte of the record read last stands. */
struct base_mark file_csv_mark(const struct file_csv *csv, const char *at);

#endif
