/* What is wrong with files as such, and how much of what is wrong is said. */
/* ftruncate */
#define _POSIX_C_SOURCE 200809L

#include "app/file/bad_job.h"

#include "app/file/model.h"
#include "app/file/readings.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static void assert_refused(const char *path, const char *want)
{
	g_autoptr(base_messages) messages = base_messages_new(), of_model = base_messages_new();
	g_autoptr(lab_calibration) job = file_read_calibration(path, messages);
	g_autoptr(lab_model) model = file_read_model(path, of_model);
	g_autofree char *got = bad_messages(messages, path);
	g_autofree char *got_model = bad_messages(of_model, path);

	assert_null(job);
	assert_null(model);
	assert_string_equal(got, want);
	assert_string_equal(got_model, want);
	assert_int_equal(base_messages_exit_status(messages), 2);
}

static void make_sparse(const char *path, off_t size)
{
	const int fd = g_open(path, O_CREAT | O_WRONLY, 0600);

	assert_true(fd >= 0);
	assert_int_equal(ftruncate(fd, size), 0);
	close(fd);
}

static void test_files(void **state)
{
	(void)state;
	make_sparse("huge.yaml", 200000000);
	assert_refused("huge.yaml",
		       "0:0: the file is larger than 8 MB; a job or a model is smaller than that");
	assert_refused("missing.yaml", "0:0: there is no such file; check the name and the folder");
	assert_refused("/", "0:0: this is a directory; a file is needed");
	assert_refused("/dev/null", "0:0: this is a device or pipe; a file is needed");
}

static char *rows_of(const char *row, size_t n)
{
	GString *text = g_string_new("time,visit,current_mA,ratio\n");

	for (size_t i = 0; i < n; i++)
		g_string_append(text, row);
	return g_string_free(text, FALSE);
}

/* A model as large as a model may be, and one that is larger. */
static void test_many_inputs(void **state)
{
	const int counts[] = { FILE_MODEL_MOST, FILE_MODEL_MOST + 1 };

	(void)state;
	for (size_t c = 0; c < G_N_ELEMENTS(counts); c++) {
		GString *text = g_string_new("kind: measurement model\ninputs:\n");
		g_autoptr(base_messages) messages = base_messages_new();

		for (int i = 0; i < counts[c]; i++)
			g_string_append_printf(text, "  a%d: {value: 1, u: 1}\n", i);
		g_string_append(text, "outputs: {P: {formula: a0}}\n");
		bad_write("many.yaml", text->str);
		g_string_free(text, TRUE);

		g_autoptr(lab_model) model = file_read_model("many.yaml", messages);
		g_autofree char *got = bad_messages(messages, "many.yaml");
		assert_string_equal(got, c == 0 ? ""
						: "3:3: inputs holds 1001 quantities; a model has "
						  "at most 1000: part it into several");
		assert_int_equal(model != NULL, c == 0);
	}
}

/* Twenty of a kind and then how many more, at the place of the first that is not shown. */
static void test_twenty_of_a_kind(void **state)
{
	g_autofree char *one = rows_of(",1,0,0.25\n", 20);
	g_autofree char *many = rows_of(",1,0,0.25\n", 1020);
	g_autoptr(base_messages) few_messages = base_messages_new();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	bad_write("job.yaml", "kind: fixed-point calibration\n"
			      "thermometer: {id: T}\n"
			      "resistors: {S: {ohm: 100}}\n"
			      "cells: {W: {point: H2O}}\n"
			      "visits: [{id: 1, cell: W, resistor: S}]\n"
			      "readings: readings.csv\n");
	bad_write("readings.csv", one);
	assert_null(file_read_calibration("job.yaml", few_messages));
	assert_int_equal(base_messages_n(few_messages), 20);

	bad_write("readings.csv", many);
	assert_null(file_read_calibration("job.yaml", messages));
	assert_int_equal(base_messages_n(messages), FILE_READINGS_MESSAGES + 1);
	const struct base_message *last = base_messages_at(messages, 20);
	assert_string_equal(last->text, "and 1000 more currents that cannot be from here on");
	assert_int_equal(last->mark.line, 22);
	assert_int_equal(last->mark.column, 4);
}

/* Both files in one go, the job first. */
static void test_both_files(void **state)
{
	const struct bad_case change = { "both files", "depth_m: 0.17", "depth_m: -0.17", NULL };
	const struct bad_case row = { "both files", "0.8611", "-1", NULL };
	const struct bad_case both = {
		"both files", NULL, NULL,
		"13:57: depth_m is -0.17; depths count downwards from the "
		"surface of the liquid, in "
		"metres, and are 0 to 2\n"
		"readings.csv:4:31: ratio is -1; a ratio of resistances is above 0"
	};
	g_autofree char *job = bad_edit(bad_job, &change);
	g_autofree char *readings = bad_edit(bad_readings, &row);

	(void)state;
	bad_job_try(&both, job, readings, "job.yaml");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_files),
		cmocka_unit_test(test_many_inputs),
		cmocka_unit_test(test_twenty_of_a_kind),
		cmocka_unit_test(test_both_files),
	};

	return cmocka_run_group_tests(tests, bad_set_up, bad_tear_down);
}
