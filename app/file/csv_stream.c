/* read */
#define _POSIX_C_SOURCE 200809L

#include "app/file/csv_stream.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

/* A line feed ends a record unless it stands in quotes, which open only where a field begins; after
   a fault the parser goes on behind the line (csv.c), and so does this. */
enum { FIELD_START, PLAIN, QUOTED, CLOSED, FAULT };

enum { READ_SIZE = 1 << 18 };

void file_csv_stream_open(struct file_csv_stream *stream, int fd)
{
	*stream =
	    (struct file_csv_stream){ .fd = fd, .bytes = g_byte_array_new(), .state = FIELD_START };
	file_csv_open(&stream->csv, "", 0);
}

void file_csv_stream_close(struct file_csv_stream *stream)
{
	file_csv_close(&stream->csv);
	g_byte_array_unref(stream->bytes);
}

static int next_state(int state, char c)
{
	if (c == '\n' && state != QUOTED)
		return FIELD_START;
	switch (state) {
	case FIELD_START:
	case PLAIN:
		if (c == '"')
			return state == FIELD_START ? QUOTED : FAULT;
		return c == ',' ? FIELD_START : PLAIN;
	case QUOTED:
		return c == '"' ? CLOSED : QUOTED;
	case CLOSED:
		if (c == '"')
			return QUOTED; /* a doubled quote */
		return c == ',' ? FIELD_START : c == ' ' || c == '\t' || c == '\r' ? PLAIN : FAULT;
	default:
		return FAULT;
	}
}

/* Outside quotes, bytes without a quote have an end of a record at every line feed: all up to the
   last of them is passed over. */
static void pass_over_plain(struct file_csv_stream *stream)
{
	const char *bytes = (const char *)stream->bytes->data;
	size_t end = stream->bytes->len;

	if (stream->state == QUOTED ||
	    memchr(bytes + stream->scanned, '"', end - stream->scanned) != NULL)
		return;
	while (end > stream->scanned && bytes[end - 1] != '\n')
		end--;
	if (end == stream->scanned)
		return;
	stream->scanned = stream->whole = end;
	stream->state = FIELD_START;
}

static void look_for_ends(struct file_csv_stream *stream)
{
	const char *bytes = (const char *)stream->bytes->data;

	pass_over_plain(stream);
	for (; stream->scanned < stream->bytes->len; stream->scanned++) {
		const char c = bytes[stream->scanned];

		stream->state = next_state(stream->state, c);
		if (c == '\n' && stream->state == FIELD_START)
			stream->whole = stream->scanned + 1;
	}
}

/* At least one byte, or the end; false with errno. */
static bool read_some(struct file_csv_stream *stream)
{
	const guint before = stream->bytes->len;
	ssize_t got;

	g_byte_array_set_size(stream->bytes, before + READ_SIZE);
	do {
		got = read(stream->fd, stream->bytes->data + before, READ_SIZE);
	} while (got < 0 && errno == EINTR);
	g_byte_array_set_size(stream->bytes, before + (got > 0 ? (guint)got : 0));
	stream->ended = got == 0;
	return got >= 0;
}

enum file_csv_more file_csv_stream_more(struct file_csv_stream *stream)
{
	const int line = stream->csv.line;

	g_byte_array_remove_range(stream->bytes, 0, (guint)stream->whole);
	stream->scanned -= stream->whole;
	stream->whole = 0;
	while (stream->whole == 0 && !stream->ended) {
		if (stream->bytes->len > FILE_CSV_RECORD_LIMIT)
			return FILE_CSV_TOO_LONG;
		if (!read_some(stream))
			return FILE_CSV_NOT_READ;
		look_for_ends(stream);
	}
	if (stream->ended)
		stream->whole = stream->bytes->len;
	const bool any = stream->whole > 0;
	file_csv_close(&stream->csv);
	file_csv_open(&stream->csv, any ? (const char *)stream->bytes->data : "", stream->whole);
	stream->csv.line = stream->csv.record_line = line;
	return any ? FILE_CSV_MORE : FILE_CSV_NO_MORE;
}
