#include "app/file/cell_series.h"

#include "app/base/file.h"
#include "app/file/csv.h"
#include "app/file/number.h"
#include "app/file/text.h"

#include "firn/number.h"

#include <math.h>
#include <string.h>

#define MOST_BYTES (64 * 1024 * 1024)
#define MOST_ROWS  1000000

struct series {
	const char *path;
	base_messages *messages;
	struct file_csv csv;
	const char *const *columns;
	size_t n, n_needed;
	int where[FILE_CELL_COLUMNS]; /* -1: not there */
	bool wrong;
};

static void G_GNUC_PRINTF(3, 4)
    say(struct series *s, struct base_mark mark, const char *format, ...)
{
	va_list arguments;

	s->wrong = true;
	va_start(arguments, format);
	base_messages_add_valist(s->messages, BASE_ERROR, s->path, mark, format, arguments);
	va_end(arguments);
}

static bool field_is(const struct file_csv_field *f, const char *name)
{
	return strlen(name) == f->length && strncmp(f->text, name, f->length) == 0;
}

static void read_header(struct series *s)
{
	const char *fault;
	const bool there = file_csv_next(&s->csv, &fault) == FILE_CSV_RECORD;

	for (size_t k = 0; k < s->n; k++) {
		s->where[k] = -1;
		for (size_t i = 0; there && i < MIN(s->csv.n, FILE_CSV_FIELDS); i++)
			if (field_is(&s->csv.fields[i], s->columns[k]))
				s->where[k] = (int)i;
		if (s->where[k] < 0 && k < s->n_needed)
			say(s, (struct base_mark){ 1, 1 },
			    "the header has no column %s; it names the columns, as in %s,%s",
			    s->columns[k], s->columns[0], s->columns[1]);
	}
}

static double read_field(struct series *s, size_t k)
{
	const int at = s->where[k];
	const struct file_csv_field *f;
	double x;

	if (at < 0)
		return (double)NAN;
	if ((size_t)at >= s->csv.n) {
		say(s, (struct base_mark){ s->csv.record_line, 1 },
		    "this line ends before %s; every line has the columns of the header",
		    s->columns[k]);
		return (double)NAN;
	}
	f = &s->csv.fields[at];
	if (firn_number_parse(f->text, f->length, &x) == FIRN_OK && fabs(x) < 9.8e37)
		return x;
	g_autofree char *text = g_strndup(f->text, f->length);
	g_autofree char *shown = file_quote(text), *why = file_number_fault(text);
	say(s, file_csv_mark(&s->csv, f->start), "%s is %s; %s", s->columns[k], shown, why);
	return (double)NAN;
}

static void read_rows(struct series *s, GArray *ret)
{
	const char *fault;
	double last = -(double)INFINITY;
	enum file_csv_status status;

	while ((status = file_csv_next(&s->csv, &fault)) != FILE_CSV_END) {
		double row[FILE_CELL_COLUMNS];

		if (status != FILE_CSV_RECORD) {
			say(s, file_csv_mark(&s->csv, fault),
			    "a quote stands where none can; numbers need no quotes");
			continue;
		}
		for (size_t k = 0; k < s->n; k++)
			row[k] = read_field(s, k);
		if (row[0] < last)
			say(s, (struct base_mark){ s->csv.record_line, 1 },
			    "%s falls back from the line before; rows stand in the order of time",
			    s->columns[0]);
		last = isnan(row[0]) ? last : row[0];
		if (ret->len / s->n >= MOST_ROWS) {
			say(s, (struct base_mark){ s->csv.record_line, 1 },
			    "there are more than %d rows; take means of a few readings each",
			    MOST_ROWS);
			return;
		}
		g_array_append_vals(ret, row, (guint)s->n);
	}
}

static void read_bytes(struct series *s, GBytes *bytes, GArray *ret)
{
	gsize length;
	const char *text = g_bytes_get_data(bytes, &length);

	if (!file_text_check(s->path, text, length, s->messages)) {
		s->wrong = true;
		return;
	}
	const size_t bom = file_text_bom(text, length);
	file_csv_open(&s->csv, text + bom, length - bom);
	read_header(s);
	if (!s->wrong)
		read_rows(s, ret);
	file_csv_close(&s->csv);
}

void file_cell_series(struct file_map *map, const char *key, const char *const *columns,
		      size_t n_columns, size_t n_needed, GArray *ret)
{
	const char *name = file_text(map, key);
	g_autoptr(GError) error = NULL;

	if (name == NULL)
		return;
	g_autofree char *folder = g_path_get_dirname(map->reader->file);
	g_autofree char *path = g_path_is_absolute(name) || strcmp(folder, ".") == 0
				    ? g_strdup(name)
				    : g_build_filename(folder, name, NULL);
	g_autoptr(GBytes) bytes = base_file_read(path, MOST_BYTES, "a table of readings", &error);
	if (bytes == NULL) {
		file_wrong(map->reader, file_get(map, key)->mark, "%s names %s: %s", key, path,
			   error->message);
		return;
	}
	g_autoptr(GArray) rows = g_array_new(FALSE, FALSE, sizeof(double));
	struct series s = { .path = path,
			    .messages = map->reader->messages,
			    .columns = columns,
			    .n = n_columns,
			    .n_needed = n_needed };
	read_bytes(&s, bytes, rows);
	if (!s.wrong)
		g_array_append_vals(ret, rows->data, rows->len);
}
