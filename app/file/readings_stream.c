#include "app/file/readings_stream.h"

#include "app/file/csv_stream.h"
#include "app/file/readings_table.h"
#include "app/file/text.h"

#include <errno.h>
#include <string.h>

struct passage {
	const struct file_readings_stream *given;
	struct file_readings readings;
	struct file_table table;
	struct file_csv_stream stream;
	bool any;    /* a reading has been handed on */
	bool failed; /* the bytes are no text, or can't be had; or no more readings are wanted */
};

static bool stop(struct passage *p)
{
	p->failed = true;
	return false;
}

static void say_too_long(struct passage *p)
{
	base_messages_add(
	    p->given->messages, BASE_ERROR, p->given->path,
	    (struct base_mark){ p->stream.csv.line, 1 },
	    "a record begins here that is longer than %d MB; look for a quote that is "
	    "never closed",
	    (int)(FILE_CSV_RECORD_LIMIT / 1000000));
}

/* The next records of the file; they are text, or it ends there. */
static bool more(struct passage *p)
{
	const struct file_readings_stream *given = p->given;

	switch (file_csv_stream_more(&p->stream)) {
	case FILE_CSV_MORE:
		break;
	case FILE_CSV_NO_MORE:
		return false;
	case FILE_CSV_TOO_LONG:
		say_too_long(p);
		return stop(p);
	case FILE_CSV_NOT_READ:
		base_messages_add(given->messages, BASE_FAILURE, given->path,
				  (struct base_mark){ 0, 0 }, "reading failed: %s",
				  g_strerror(errno));
		return stop(p);
	}
	const char *bytes = (const char *)p->stream.bytes->data;
	const int before = p->stream.csv.line - 1;
	const bool is_text =
	    before == 0 ? file_text_check(given->path, bytes, p->stream.whole, given->messages)
			: file_text_check_lines(given->path, before, bytes, p->stream.whole,
						given->messages);
	return is_text || stop(p);
}

/* What is in the array goes on its way, and its texts with it. */
static bool hand_on(struct passage *p)
{
	lab_calibration *c = p->readings.calibration;
	const guint n = c->readings->len;

	if (n > 0 && p->table.say.count == 0) {
		p->any = true;
		if (!p->given->take((const struct lab_reading *)(const void *)c->readings->data, n,
				    p->given->data))
			return stop(p);
	}
	g_array_set_size(c->readings, 0);
	g_string_chunk_clear(c->text);
	return true;
}

/* The stream's records pass to the table and back, with what is owned by them. */
static bool read_rows(struct passage *p)
{
	struct file_csv *csv = &p->table.csv;

	*csv = p->stream.csv;
	while (file_table_rows(&p->table, p->given->at_once))
		if (!hand_on(p))
			break;
	p->stream.csv = *csv;
	return !p->failed;
}

static bool only_comments(struct file_csv *csv)
{
	while (file_csv_skip_line(csv, '#')) {
	}
	return csv->at == csv->end;
}

static bool read_header(struct passage *p)
{
	struct file_csv *csv = &p->stream.csv;
	bool good;

	while (more(p) && only_comments(csv)) {
	}
	if (p->failed)
		return false;
	p->table.csv = *csv;
	good = file_table_header(&p->table);
	*csv = p->table.csv;
	return good;
}

static void read_all(struct passage *p)
{
	if (!read_header(p))
		return;
	while (read_rows(p) && more(p)) {
	}
	if (p->failed || !hand_on(p))
		return;
	p->table.csv = p->stream.csv;
	if (!p->any && p->table.say.count == 0)
		file_say_once(&p->table.say, p->table.csv.record_start,
			      "the file has a header and no readings; add a row for each");
	file_say_rest(&p->table.say);
}

bool file_read_readings_stream(const struct file_readings_stream *stream)
{
	static const bool no_ratio[] = { false };
	g_autoptr(lab_calibration) calibration = lab_calibration_new();
	struct passage *p = g_new0(struct passage, 1);
	bool good;

	lab_add_visit(calibration)->id = (char *)stream->visit; /* of the caller, and not freed */
	p->given = stream;
	p->readings = (struct file_readings){ .path = stream->path,
					      .calibration = calibration,
					      .no_ratio = no_ratio,
					      .visits_complete = true,
					      .messages = stream->messages };
	file_table_open(&p->table, &p->readings);
	p->table.one_visit = true;
	p->table.last_us[0] = stream->after_us;
	file_csv_stream_open(&p->stream, stream->fd);
	read_all(p);
	good = !p->failed && p->table.say.count == 0;
	file_csv_stream_close(&p->stream);
	file_table_close(&p->table);
	g_free(p);
	return good;
}
