/* CSV: every line comes out as it went in, with the temperature behind it. */
#include "app/cli/convert.h"

#include "app/base/suggest.h"
#include "app/file/csv_stream.h"
#include "app/file/number.h"
#include "app/file/read.h"
#include "app/file/text.h"

#include "firn/number.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

static const char added[] = ",t90_K,t90_C,u_calibration_K,subrange";
static const double zero_C = 273.15; /* K */
enum { DECIMALS = 7 };               /* of kelvin: less than any thermometer repeats to */

/* Columns that are taken when none is named, by quantity. */
enum { MOST_NAMES = 5 };
static const char *const usual[][MOST_NAMES] = {
	[LAB_W] = { "W", "w" },
	[LAB_RATIO] = { "ratio" },
	[LAB_OHM] = { "resistance_ohm", "R_ohm", "r_ohm", "ohm" },
};

/* A line of the block, for as long as its bytes are at hand. */
struct row {
	const char *from; /* empty lines before it, which are kept */
	const char *start;
	const char *field; /* NULL: of a line of numbers, to be looked for when it is asked for */
	size_t length;     /* from start on, without the end of the line */
	int line;
	bool crlf;
};

struct table {
	struct convert *convert;
	struct file_csv_stream stream;
	size_t column, n_columns;
	double numbers[FILE_CSV_FIELDS]; /* of a line of nothing else */
	struct row rows[CONVERT_BLOCK];
	struct calc_converted results[CONVERT_BLOCK];
};

static struct base_mark mark_of(const struct row *row, const char *at)
{
	struct base_mark mark = file_text_mark(row->start, (size_t)(at - row->start));

	mark.line += row->line - 1;
	return mark;
}

/* The record read last, as a line. */
static struct row row_of(const struct file_csv *csv)
{
	const char *end = csv->at;
	struct row row = { .from = csv->record_start,
			   .start = csv->record_start,
			   .line = csv->record_line };

	if (end > row.start && end[-1] == '\n')
		end--;
	if (end > row.start && end[-1] == '\r') {
		end--;
		row.crlf = true;
	}
	row.length = (size_t)(end - row.start);
	row.field = row.start;
	return row;
}

/* ---- the header ---- */

static char *text_of(const struct file_csv_field *field)
{
	return g_strndup(field->text, field->length);
}

static bool is_token_of_ice(const char *token, const char *before, enum lab_quantity quantity)
{
	static const char *const always[] = { "ice", "0c", "r0c", "w0c", "0degc", "r0degc", NULL };
	static const char *const of_ratios[] = { "r0", "w0", NULL };

	if (g_strv_contains(always, token))
		return true;
	if (strcmp(before, "0") == 0 && (strcmp(token, "c") == 0 || strcmp(token, "degc") == 0))
		return true;
	/* in ohm, r0 is the usual name of the resistance at zero current */
	return quantity != LAB_OHM && g_strv_contains(of_ratios, token);
}

/* "R/R0", "W_ice", "R(0 degC)": the resistance at the ice point in the place of that at the triple
   point of water. */
static bool is_of_ice_point(const char *name, enum lab_quantity quantity)
{
	g_autofree char *low = g_ascii_strdown(name, -1);
	const char *before = "";

	g_strcanon(low, "abcdefghijklmnopqrstuvwxyz0123456789", ' ');
	g_auto(GStrv) tokens = g_strsplit(low, " ", -1);
	for (size_t i = 0; tokens[i] != NULL; i++) {
		if (tokens[i][0] == '\0')
			continue;
		if (is_token_of_ice(tokens[i], before, quantity))
			return true;
		before = tokens[i];
	}
	return false;
}

static int find(const struct file_csv *csv, const char *name)
{
	for (size_t i = 0; i < MIN(csv->n, (size_t)FILE_CSV_FIELDS); i++) {
		const struct file_csv_field *f = &csv->fields[i];

		if (f->length == strlen(name) && memcmp(f->text, name, f->length) == 0)
			return (int)i;
	}
	return -1;
}

static bool find_usual(struct table *t, int *ret_column)
{
	struct convert *convert = t->convert;
	const int said = convert->quantity;
	const struct row header = row_of(&t->stream.csv);

	*ret_column = -1;
	for (int quantity = LAB_W; quantity <= LAB_OHM; quantity++) {
		if (said >= 0 && quantity != said)
			continue;
		for (size_t i = 0; i < MOST_NAMES && usual[quantity][i] != NULL; i++) {
			const int column = find(&t->stream.csv, usual[quantity][i]);

			if (column < 0)
				continue;
			if (*ret_column >= 0) {
				convert_say(convert, mark_of(&header, header.start),
					    "the header has %s and other columns that could be "
					    "converted; say which with --from or --column",
					    usual[quantity][i]);
				return false;
			}
			*ret_column = column;
			convert->quantity = quantity;
		}
	}
	return true;
}

static void no_column(struct table *t, const struct row *header)
{
	const struct file_csv *csv = &t->stream.csv;
	const char *name = t->convert->column;
	const char *names[FILE_CSV_FIELDS + 1] = { NULL };
	g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
	double unused;

	for (size_t i = 0; i < MIN(csv->n, (size_t)FILE_CSV_FIELDS); i++) {
		g_ptr_array_add(texts, text_of(&csv->fields[i]));
		names[i] = texts->pdata[i];
	}
	g_autofree char *all = file_join_words(names);
	g_autofree char *shown = file_quote(all);
	const char *near = name != NULL ? base_suggest(name, names) : NULL;
	const struct base_mark mark = mark_of(header, header->start);

	if (firn_number_parse(csv->fields[0].text, csv->fields[0].length, &unused) == FIRN_OK)
		convert_say(t->convert, mark,
			    "the first line holds numbers; a header comes first, such as W");
	else if (csv->n == 1 && strpbrk(names[0], ";\t") != NULL)
		convert_say(t->convert, mark,
			    "the columns are not separated by commas; separate them so, and give "
			    "decimals a point");
	else if (near != NULL)
		convert_say(t->convert, mark, "there is no column %s; did you mean %s?", name,
			    near);
	else if (name != NULL)
		convert_say(t->convert, mark, "there is no column %s; the header has %s", name,
			    shown);
	else
		convert_say(t->convert, mark,
			    "the header has %s, and none of W, ratio and resistance_ohm; say which "
			    "column with --column, and what it is with --from",
			    shown);
}

/* What is read, and what is written, has to be one column. */
static bool stands_once(struct table *t, const struct row *header, const char *name)
{
	static const char *const own[] = { "t90_K", "t90_C", "u_calibration_K", "subrange", NULL };
	const struct file_csv *csv = &t->stream.csv;
	bool seen = false;

	for (size_t i = 0; i < MIN(csv->n, (size_t)FILE_CSV_FIELDS); i++) {
		g_autofree char *other = text_of(&csv->fields[i]);

		if (strcmp(other, name) == 0 && !seen) {
			seen = true;
		} else if (strcmp(other, name) == 0 || g_strv_contains(own, other)) {
			convert_say(t->convert, mark_of(header, csv->fields[i].start),
				    "column %s would stand twice in what is written; rename it or "
				    "leave it out",
				    other);
			return false;
		}
	}
	return true;
}

static bool check_column(struct table *t, const struct row *header, int column)
{
	const struct file_csv_field *f = &t->stream.csv.fields[column];
	g_autofree char *name = text_of(f);

	if (!stands_once(t, header, name))
		return false;
	if (t->convert->quantity < 0) {
		convert_say(t->convert, mark_of(header, f->start),
			    "the name of column %s does not tell what it is; say --from w, ratio "
			    "or ohm",
			    name);
		return false;
	}
	if (!is_of_ice_point(name, (enum lab_quantity)t->convert->quantity))
		return true;
	convert_say(t->convert, mark_of(header, f->start),
		    "column %s refers to R(0 degC), and W to R(0.01 degC): 4.0e-5 more, 10 mK at 0 "
		    "degC and 42 mK at the aluminium point; measure R(TPW), and give the readings "
		    "as ratio or ohm",
		    name);
	return false;
}

static bool choose_column(struct table *t, const struct row *header)
{
	struct convert *convert = t->convert;
	int column;

	if (convert->column != NULL) {
		column = find(&t->stream.csv, convert->column);
		for (int q = LAB_W; column >= 0 && convert->quantity < 0 && q <= LAB_OHM; q++)
			for (size_t i = 0; i < MOST_NAMES && usual[q][i] != NULL; i++)
				if (strcmp(convert->column, usual[q][i]) == 0)
					convert->quantity = q;
	} else if (!find_usual(t, &column)) {
		return false;
	}
	if (column < 0) {
		no_column(t, header);
		return false;
	}
	t->column = (size_t)column;
	t->n_columns = t->stream.csv.n;
	return check_column(t, header, column);
}

/* ---- reading on ---- */

static bool more(struct table *t)
{
	switch (file_csv_stream_more(&t->stream)) {
	case FILE_CSV_MORE:
		return true;
	case FILE_CSV_TOO_LONG:
		convert_say(t->convert, (struct base_mark){ t->stream.csv.line, 1 },
			    "a record begins here that is longer than %d MB; look for a quote that "
			    "is never closed, or say --binary",
			    (int)(FILE_CSV_RECORD_LIMIT / 1000000));
		return false;
	case FILE_CSV_NOT_READ:
		convert_not_read(t->convert, errno);
		return false;
	case FILE_CSV_NO_MORE:
		break;
	}
	return false;
}

static void append_line(GString *to, const struct row *row, const char *behind)
{
	g_string_append_len(to, row->start, (gssize)row->length);
	g_string_append(to, behind);
	g_string_append(to, row->crlf ? "\r\n" : "\n");
}

/* Lines that start with # before the header are remarks. */
static bool read_header(struct table *t)
{
	struct file_csv *csv = &t->stream.csv;
	enum file_csv_status status = FILE_CSV_END;
	const char *fault = NULL;

	while (status == FILE_CSV_END) {
		const char *before = csv->at;

		if (file_csv_skip_line(csv, '#')) {
			g_string_append_len(t->convert->out, before, csv->at - before);
			continue;
		}
		status = file_csv_next(csv, &fault);
		if (status != FILE_CSV_END)
			break;
		const size_t refused = t->convert->refused;
		if (!more(t)) {
			if (t->convert->refused == refused)
				convert_say(t->convert, (struct base_mark){ csv->line, 1 },
					    "there is no header; the first line names the columns, "
					    "such as W");
			return false;
		}
	}
	const struct row header = row_of(csv);
	if (status != FILE_CSV_RECORD) {
		convert_say(t->convert, mark_of(&header, fault),
			    "the header has a quote that does not belong there");
		return false;
	}
	if (!choose_column(t, &header))
		return false;
	append_line(t->convert->out, &header, added);
	return convert_prepare(t->convert);
}

/* ---- the rows ---- */

/* A comma, and the number unless there is none. */
static char *put_number(const struct convert *convert, double x, char *to)
{
	*to++ = ',';
	if (isnan(x))
		return to;
	return to + (convert->exact_digits
			 ? firn_number_print(x, to)
			 : firn_number_print_fixed(x, DECIMALS, to, FIRN_NUMBER_SIZE));
}

static void write_row(struct table *t, size_t i)
{
	const struct convert *convert = t->convert;
	const struct row *row = &t->rows[i];
	const struct calc_converted *result = &t->results[i];
	char numbers[3 * FIRN_NUMBER_SIZE + 4], *end = numbers;

	end = put_number(convert, result->t90_K, end);
	end = put_number(convert, result->t90_K - zero_C, end);
	end = put_number(convert, result->u_calibration_K, end);
	*end++ = ',';
	g_string_append_len(convert->out, row->from, row->start - row->from + (gssize)row->length);
	g_string_append_len(convert->out, numbers, end - numbers);
	g_string_append(convert->out, result->subrange != NULL ? result->subrange : "");
	g_string_append(convert->out, row->crlf ? "\r\n" : "\n");
}

static const char *field_of(const struct table *t, const struct row *row)
{
	const char *at = row->start;

	if (row->field != NULL)
		return row->field;
	for (size_t i = 0; i < t->column; i++)
		at = strchr(at, ',') + 1;
	return at;
}

/* Converts and writes the rows that have gathered. */
static bool finish_block(struct table *t, int *ret_status)
{
	struct convert *convert = t->convert;

	calc_convert(convert->conversion, convert->n, convert->values, t->results);
	for (size_t i = 0; i < convert->n; i++) {
		const struct row *row = &t->rows[i];

		write_row(t, i);
		if (isnan(t->results[i].t90_K) && !isnan(convert->values[i]) &&
		    convert_tells(convert))
			convert_refuse(convert, mark_of(row, field_of(t, row)), "",
				       convert->values[i]);
	}
	convert->n = 0;
	return convert_write(convert, ret_status);
}

/* NaN where nothing stands, which is no mistake, or no number. */
static double read_value(struct table *t, struct row *row)
{
	const struct file_csv_field *f = &t->stream.csv.fields[t->column];
	double x;

	row->field = f->start;
	if (f->length == 0)
		return (double)NAN;
	if (firn_number_parse(f->text, f->length, &x) == FIRN_OK)
		return x;

	g_autofree char *text = text_of(f);
	g_autofree char *shown = file_quote(text);
	g_autofree char *fault = file_number_fault(text);
	convert_say(t->convert, mark_of(row, f->start), "%s is no number; %s", shown, fault);
	return (double)NAN;
}

static double read_fields(struct table *t, enum file_csv_status status, const char *fault,
			  struct row *row)
{
	const struct file_csv *csv = &t->stream.csv;

	if (status != FILE_CSV_RECORD) {
		convert_say(t->convert, mark_of(row, fault),
			    "a quote stands here that does not belong; a field with quotes has "
			    "them at both ends, and twice within");
	} else if (csv->n != t->n_columns) {
		convert_say(t->convert, mark_of(row, row->start),
			    "the row has %" G_GSIZE_FORMAT " fields and the header %" G_GSIZE_FORMAT
			    "; leave a field empty where nothing is known, but keep its comma",
			    csv->n, t->n_columns);
	} else {
		return read_value(t, row);
	}
	return (double)NAN;
}

/* The next row with its value; false at the end of what is there. */
static bool next_row(struct table *t, struct row *ret_row, double *ret_value)
{
	struct file_csv *csv = &t->stream.csv;
	const char *fault = NULL;

	if (t->n_columns <= FILE_CSV_FIELDS && file_csv_numbers(csv, t->n_columns, t->numbers)) {
		*ret_row = row_of(csv);
		ret_row->field = NULL;
		*ret_value = t->numbers[t->column];
		return true;
	}
	const enum file_csv_status status = file_csv_next(csv, &fault);
	if (status == FILE_CSV_END)
		return false;
	*ret_row = row_of(csv);
	*ret_value = read_fields(t, status, fault, ret_row);
	return true;
}

static bool read_rows(struct table *t, int *ret_status)
{
	struct convert *convert = t->convert;
	struct file_csv *csv = &t->stream.csv;
	const char *from = csv->at;
	struct row row;

	while (next_row(t, &row, &convert->values[convert->n])) {
		row.from = from;
		t->rows[convert->n++] = row;
		if (convert->n == CONVERT_BLOCK && !finish_block(t, ret_status))
			return false;
		from = csv->at;
	}
	/* before the bytes of its rows go */
	if (!finish_block(t, ret_status))
		return false;
	g_string_append_len(convert->out, from, csv->at - from);
	return convert_write(convert, ret_status);
}

int convert_csv(struct convert *convert)
{
	g_autofree struct table *t = g_new0(struct table, 1);
	int status = CLI_DONE;

	t->convert = convert;
	file_csv_stream_open(&t->stream, STDIN_FILENO);
	if (read_header(t))
		while (read_rows(t, &status) && more(t)) {
		}
	file_csv_stream_close(&t->stream);
	return status;
}
