/* Readings of one visit from a CSV file of any length, in bounded memory. */
#ifndef FILE_READINGS_STREAM_H
#define FILE_READINGS_STREAM_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"

/* Readings that are right, in the order of the file; good until it returns. False: no more of them
   are wanted, and the messages tell why. */
typedef bool file_take_readings(const struct lab_reading *readings, size_t n, void *data);

struct file_readings_stream {
	const char *path; /* for messages */
	int fd;
	const char *visit; /* name of the visit that all of them belong to */
	int64_t after_us;  /* none is earlier; BASE_NO_TIME: any may be first */
	size_t at_once;    /* how many `take` gets; the last time fewer */
	file_take_readings *take;
	void *data;
	base_messages *messages;
};

/*
 * file_read_readings_stream - hands on the rows of a file as readings.h describes it, but for the
 * column visit, which must not be there.
 *
 * All that is wrong with the file goes to the messages, with line and column; from the first of it
 * on nothing more is handed on, though what came before has been.
 *
 * Returned: whether all readings were handed on, and there was at least one.
 */
bool file_read_readings_stream(const struct file_readings_stream *stream);

#endif
