/* CSV from a pipe: whole records of it at a time, in bounded memory. */
#ifndef FILE_CSV_STREAM_H
#define FILE_CSV_STREAM_H

#include "app/file/csv.h"

#include <glib.h>

#define FILE_CSV_RECORD_LIMIT ((size_t)1000000) /* bytes of a record; ours */

struct file_csv_stream {
	int fd;
	GByteArray *bytes;
	size_t whole, scanned; /* bytes up to the last end of a record; looked at for one */
	int state;             /* where in a record `scanned` is */
	bool ended;
	struct file_csv csv; /* over the records at hand */
};

enum file_csv_more {
	FILE_CSV_MORE,     /* csv is over at least one new line */
	FILE_CSV_NO_MORE,  /* csv is over nothing, behind the last line */
	FILE_CSV_TOO_LONG, /* a record beyond the limit: most likely quotes that stay open */
	FILE_CSV_NOT_READ, /* errno tells why */
};

void file_csv_stream_open(struct file_csv_stream *stream, int fd);
void file_csv_stream_close(struct file_csv_stream *stream);

/*
 * file_csv_stream_more - goes on to the next records: those that are there, as soon as there are
 * any, so that a measurement under way is answered line by line. What csv pointed at is gone.
 * Records end at LF; in the last of them, which may be all, also at CR.
 */
enum file_csv_more file_csv_stream_more(struct file_csv_stream *stream);

#endif
