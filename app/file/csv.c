#include "app/file/csv.h"

#include "app/file/text.h"

#include "firn/number.h"

#include <glib.h>
#include <string.h>

void file_csv_open(struct file_csv *csv, const char *text, size_t length)
{
	*csv = (struct file_csv){ .at = text + file_text_bom(text, length),
				  .end = text + length,
				  .line = 1 };
	csv->record_line = 1;
	csv->record_start = csv->at;
}

void file_csv_close(struct file_csv *csv)
{
	g_free(csv->unquoted);
}

/* At an end of line: LF, CR LF or CR. Steps over it. */
static void step_over_line_end(struct file_csv *csv)
{
	if (csv->at < csv->end && *csv->at == '\r')
		csv->at++;
	if (csv->at < csv->end && *csv->at == '\n')
		csv->at++;
	csv->line++;
}

static bool at_line_end(const struct file_csv *csv)
{
	return csv->at == csv->end || *csv->at == '\n' || *csv->at == '\r';
}

static void skip_to_line_end(struct file_csv *csv)
{
	while (!at_line_end(csv))
		csv->at++;
	if (csv->at < csv->end)
		step_over_line_end(csv);
}

bool file_csv_skip_line(struct file_csv *csv, char first)
{
	if (csv->at == csv->end || *csv->at != first)
		return false;
	skip_to_line_end(csv);
	return true;
}

static void add_field(struct file_csv *csv, const char *start, const char *text, size_t length)
{
	if (csv->n < FILE_CSV_FIELDS)
		csv->fields[csv->n] = (struct file_csv_field){ text, length, start };
	csv->n++;
}

static bool is_blank(char c)
{
	return c == ' ' || c == '\t';
}

static bool ends_plain(char c)
{
	return c == ',' || c == '\n' || c == '\r' || c == '"';
}

/* Where a field without quotes ends. All that ends one is below '-', and all that numbers and times
   are made of is not, but for '+': eight bytes are looked at together. */
static const char *plain_end(const char *at, const char *end)
{
	const guint64 ones = G_GUINT64_CONSTANT(0x0101010101010101), high = ones * 0x80;
	guint64 word;

	while (end - at >= (ptrdiff_t)sizeof(word)) {
		memcpy(&word, at, sizeof(word));
		word = GUINT64_FROM_LE(word);
		/* the lowest bit set is that of the first byte below '-'; those above may mislead
		 */
		const guint64 below = (word - ones * '-') & ~word & high;
		if (below == 0) {
			at += sizeof(word);
			continue;
		}
		at += __builtin_ctzll(below) / 8;
		if (ends_plain(*at))
			return at;
		at++;
	}
	while (at < end && !ends_plain(*at))
		at++;
	return at;
}

static bool plain_field(struct file_csv *csv, const char **ret_fault)
{
	const char *start = csv->at, *last = plain_end(start, csv->end);

	csv->at = last;
	if (last < csv->end && *last == '"') {
		*ret_fault = last;
		return false;
	}
	while (start < last && is_blank(*start))
		start++;
	while (last > start && is_blank(last[-1]))
		last--;
	add_field(csv, start, start, (size_t)(last - start));
	return true;
}

/* Doubled quotes become one: the field moves to a buffer that holds the whole record. */
static const char *without_doubled(const char *text, size_t *length, char *to)
{
	size_t n = 0;

	for (size_t i = 0; i < *length; i++) {
		to[n++] = text[i];
		if (text[i] == '"')
			i++;
	}
	*length = n;
	return to;
}

static enum file_csv_status quoted_field(struct file_csv *csv, size_t *used, const char **ret_fault)
{
	const char *start = csv->at, *text = ++csv->at;
	bool doubled = false;

	while (csv->at < csv->end) {
		if (*csv->at == '"') {
			if (csv->at + 1 == csv->end || csv->at[1] != '"')
				break;
			doubled = true;
			csv->at++;
		} else if (*csv->at == '\n') {
			csv->line++;
		}
		csv->at++;
	}
	if (csv->at == csv->end) {
		*ret_fault = start;
		return FILE_CSV_OPEN_QUOTE;
	}

	size_t length = (size_t)(csv->at - text);
	csv->at++;
	if (doubled) {
		text = without_doubled(text, &length, csv->unquoted + *used);
		*used += length;
	}
	add_field(csv, start, text, length);
	while (csv->at < csv->end && is_blank(*csv->at))
		csv->at++;
	if (!at_line_end(csv) && *csv->at != ',') {
		*ret_fault = csv->at;
		return FILE_CSV_AFTER_QUOTE;
	}
	return FILE_CSV_RECORD;
}

/* Fields with doubled quotes are rare, so room for them is made only when a quote is met; a record
   needs no more than what is left of the file, and quotes that stay open end the reading. */
static void make_room(struct file_csv *csv)
{
	if (csv->unquoted == NULL)
		csv->unquoted = g_malloc((size_t)(csv->end - csv->at) + 1);
}

static enum file_csv_status record(struct file_csv *csv, const char **ret_fault)
{
	size_t used = 0;

	for (;;) {
		enum file_csv_status status = FILE_CSV_RECORD;

		if (csv->at < csv->end && *csv->at == '"') {
			make_room(csv);
			status = quoted_field(csv, &used, ret_fault);
		} else if (!plain_field(csv, ret_fault)) {
			status = FILE_CSV_STRAY_QUOTE;
		}
		if (status != FILE_CSV_RECORD)
			return status;
		if (at_line_end(csv))
			return FILE_CSV_RECORD;
		csv->at++; /* the comma */
	}
}

enum file_csv_status file_csv_next(struct file_csv *csv, const char **ret_fault)
{
	while (csv->at < csv->end && at_line_end(csv))
		step_over_line_end(csv);
	if (csv->at == csv->end)
		return FILE_CSV_END;
	csv->record_line = csv->line;
	csv->record_start = csv->at;
	csv->n = 0;

	const enum file_csv_status status = record(csv, ret_fault);
	if (status == FILE_CSV_OPEN_QUOTE)
		csv->at = csv->end;
	else
		skip_to_line_end(csv);
	return status;
}

bool file_csv_numbers(struct file_csv *csv, size_t n, double *ret)
{
	size_t length;

	if (firn_number_list(csv->at, (size_t)(csv->end - csv->at), n, ret, &length) != n)
		return false;
	const char *last = csv->at + length;
	if (last < csv->end && *last != '\n' && *last != '\r')
		return false;
	csv->record_line = csv->line;
	csv->record_start = csv->at;
	csv->n = n;
	csv->at = last;
	step_over_line_end(csv);
	return true;
}

struct base_mark file_csv_mark(const struct file_csv *csv, const char *at)
{
	struct base_mark mark = file_text_mark(csv->record_start, (size_t)(at - csv->record_start));

	mark.line += csv->record_line - 1;
	return mark;
}
