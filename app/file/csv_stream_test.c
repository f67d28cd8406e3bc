/* pipe */
#define _POSIX_C_SOURCE 200809L

#include "app/file/csv_stream.h"

#include "tests/support/near.h"

#include "firn/number.h"

#include <string.h>
#include <unistd.h>

/* Whatever makes the end of a record hard to see; with a fault of each kind. */
static const char text[] = "a,b\n"
			   "1,\"two\nlines, \"\"quoted\"\"\"\r\n"
			   "\n"
			   "2,stray\"quote\n"
			   "3,\"after\"x\"\n"
			   "\"\",\"\n\"\n"
			   "4,\"\"\"\n\"\"\"\n"
			   "5,plain";

/* Records as "line:fields:text|", faults as "line:fault". */
static void append_record(GString *to, struct file_csv *csv, enum file_csv_status status)
{
	g_string_append_printf(to, "%d:", csv->record_line);
	if (status != FILE_CSV_RECORD) {
		g_string_append_printf(to, "fault %d;", (int)status);
		return;
	}
	for (size_t i = 0; i < csv->n; i++)
		g_string_append_printf(to, "%.*s|", (int)csv->fields[i].length,
				       csv->fields[i].text);
	g_string_append_c(to, ';');
}

static char *read_whole(void)
{
	GString *got = g_string_new(NULL);
	struct file_csv csv;
	enum file_csv_status status;
	const char *fault = NULL;

	file_csv_open(&csv, text, strlen(text));
	while ((status = file_csv_next(&csv, &fault)) != FILE_CSV_END)
		append_record(got, &csv, status);
	file_csv_close(&csv);
	return g_string_free(got, FALSE);
}

static void read_what_is_there(struct file_csv_stream *stream, GString *got)
{
	enum file_csv_status status;
	const char *fault = NULL;

	while ((status = file_csv_next(&stream->csv, &fault)) != FILE_CSV_END)
		append_record(got, &stream->csv, status);
}

/* In pieces cut at every place the records are those of the whole. A piece that ends no record
   would let the reader wait for the next, so all of the second is written before it goes on. */
static void test_pieces(void **state)
{
	g_autofree char *want = read_whole();

	(void)state;
	for (size_t cut = 0; cut <= strlen(text); cut++) {
		g_autoptr(GString) got = g_string_new(NULL);
		struct file_csv_stream stream;
		int ends[2];

		assert_int_equal(pipe(ends), 0);
		assert_int_equal(write(ends[1], text, cut), (ssize_t)cut);
		file_csv_stream_open(&stream, ends[0]);
		if (memchr(text, '\n', cut) != NULL) { /* the header at least is whole */
			assert_int_equal(file_csv_stream_more(&stream), FILE_CSV_MORE);
			read_what_is_there(&stream, got);
		}
		assert_int_equal(write(ends[1], text + cut, strlen(text) - cut),
				 (ssize_t)(strlen(text) - cut));
		close(ends[1]);
		while (file_csv_stream_more(&stream) == FILE_CSV_MORE)
			read_what_is_there(&stream, got);
		assert_int_equal(file_csv_stream_more(&stream), FILE_CSV_NO_MORE);
		file_csv_stream_close(&stream);
		close(ends[0]);
		assert_string_equal(got->str, want);
	}
}

static void test_not_read(void **state)
{
	struct file_csv_stream stream;

	(void)state;
	file_csv_stream_open(&stream, -1);
	assert_int_equal(file_csv_stream_more(&stream), FILE_CSV_NOT_READ);
	file_csv_stream_close(&stream);
}

/* Whether a line of fields holds n numbers and nothing else, found field by field. */
static bool is_numbers(const struct file_csv *csv, size_t n, double *ret)
{
	const char *from = csv->record_start;

	for (size_t i = 0; i < csv->n; i++) {
		const struct file_csv_field *f = &csv->fields[i];

		if (f->text != from || i >= n ||
		    firn_number_parse(f->text, f->length, &ret[i]) != FIRN_OK)
			return false;
		from = f->text + f->length + 1; /* the next begins here, or there were blanks */
	}
	return csv->n == n && from[-1] != ' ';
}

/* file_csv_numbers() takes the lines that are numbers and no others, and leaves those as they were.
 */
static void test_numbers(void **state)
{
	static const char *const pieces[] = { "1.5",   "-2",   "0.861170498",
					      "+3",    "1e3",  "12345678901234567890.5",
					      "7",     "49.",  "0.000000000000000000000123",
					      "",      " 1",   "1 ",
					      "\"1\"", "x",    "1e999",
					      "1.5.2", "1\"2", "1e" };
	static const char *const between[] = { ",", ",", ",", "\n", "\r\n", "\r", "\n\n" };
	guint32 draw = 1, taken = 0, left = 0;

	(void)state;
	for (int round = 0; round < 20000; round++) {
		g_autoptr(GString) lines = g_string_new(NULL);
		/* most rounds have the first nine pieces, numbers, only */
		const guint32 n_pieces = round % 3 ? 9 : G_N_ELEMENTS(pieces);
		struct file_csv csv, other;
		enum file_csv_status status;
		const char *fault;

		for (int i = 0; i < 12; i++) {
			draw = draw * 1664525 + 1013904223;
			g_string_append(lines, pieces[(draw >> 8) % n_pieces]);
			g_string_append(lines, between[(draw >> 16) % G_N_ELEMENTS(between)]);
		}
		g_autofree char *exact = g_memdup2(lines->str, lines->len);
		file_csv_open(&csv, exact, lines->len);
		for (;;) {
			double numbers[3], want[3];

			other = csv;
			const bool got = file_csv_numbers(&csv, 3, numbers);
			status = file_csv_next(&other, &fault);
			const bool wanted =
			    status == FILE_CSV_RECORD &&
			    other.record_start == (got ? csv.record_start : csv.at) &&
			    is_numbers(&other, 3, want);
			assert_int_equal(got, wanted);
			*(got ? &taken : &left) += 1;
			if (got) {
				assert_memory_equal(numbers, want, sizeof(want));
				assert_int_equal(csv.line, other.line);
				assert_int_equal(csv.record_line, other.record_line);
			}
			assert_true(!got || csv.at == other.at);
			csv = other;
			if (status == FILE_CSV_END)
				break;
		}
		file_csv_close(&csv);
	}
	assert_true(taken > 1000 && left > 1000);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_pieces),
		cmocka_unit_test(test_numbers),
		cmocka_unit_test(test_not_read),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
