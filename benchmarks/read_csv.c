/*
 * CSV to numbers. Commands, each answered by seconds of this thread:
 *
 *   numbers FILE    a header and three columns of numbers, read in blocks as firn convert does:
 *                   quotes, number of fields, every number and its line looked at; NaN for a fault
 *   job FILE        a job with its readings, as firn reduce reads it
 *   sum             of the numbers read last, for the other side to compare
 *   memory          largest resident size in bytes
 */
#define _DEFAULT_SOURCE
#include "benchmarks/driver.h"

#include "app/file/csv_stream.h"
#include "app/file/job.h"

#include <fcntl.h>
#include <math.h>
#include <sys/resource.h>
#include <unistd.h>

enum { COLUMNS = 3 };

struct table {
	double *numbers; /* row by row */
	size_t n, room;
	int line; /* of the last record */
};

static double *room_for_a_row(struct table *t)
{
	if (t->n + COLUMNS > t->room) {
		t->room = 2 * t->room + 1000 * COLUMNS;
		t->numbers = g_renew(double, t->numbers, t->room);
	}
	return t->numbers + t->n;
}

static bool take_records(struct table *t, struct file_csv *csv)
{
	while (csv->at < csv->end) {
		if (!file_csv_numbers(csv, COLUMNS, room_for_a_row(t)))
			return false;
		t->n += COLUMNS;
		t->line = csv->record_line;
	}
	return true;
}

static bool read_numbers(struct table *t, struct file_csv_stream *stream)
{
	const char *fault;

	t->n = 0;
	if (file_csv_stream_more(stream) != FILE_CSV_MORE ||
	    file_csv_next(&stream->csv, &fault) != FILE_CSV_RECORD)
		return false; /* the header */
	do {
		if (!take_records(t, &stream->csv))
			return false;
	} while (file_csv_stream_more(stream) == FILE_CSV_MORE);
	return stream->ended && (size_t)(t->line - 1) * COLUMNS == t->n;
}

static double numbers(struct table *t, const char *path)
{
	const double start = seconds(CLOCK_THREAD_CPUTIME_ID);
	const int fd = open(path, O_RDONLY);
	struct file_csv_stream stream;

	if (fd < 0)
		return NAN;
	file_csv_stream_open(&stream, fd);
	const bool good = read_numbers(t, &stream);
	file_csv_stream_close(&stream);
	close(fd);
	return good ? seconds(CLOCK_THREAD_CPUTIME_ID) - start : NAN;
}

static double job(const char *path)
{
	const double start = seconds(CLOCK_THREAD_CPUTIME_ID);
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_calibration) calibration = file_read_calibration(path, messages);

	return calibration != NULL ? seconds(CLOCK_THREAD_CPUTIME_ID) - start : NAN;
}

static double sum(const struct table *t)
{
	double total = 0.0;

	for (size_t i = 0; i < t->n; i++)
		total += t->numbers[i];
	return total;
}

static double answer(void *context, size_t n, char **words)
{
	struct table *t = context;
	struct rusage used;

	if (n == 2 && strcmp(words[0], "numbers") == 0)
		return numbers(t, words[1]);
	if (n == 2 && strcmp(words[0], "job") == 0)
		return job(words[1]);
	if (strcmp(words[0], "sum") == 0)
		return sum(t);
	getrusage(RUSAGE_SELF, &used);
	return (double)used.ru_maxrss * 1024.0;
}

int main(void)
{
	struct table t = { 0 };
	const int status = driver_run(answer, &t);

	g_free(t.numbers);
	return status;
}
