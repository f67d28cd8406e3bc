/* open_memstream */
#define _POSIX_C_SOURCE 200809L

#include "app/base/messages.h"

#include "tests/support/near.h"

#include <stdlib.h>

static const struct base_mark nowhere = { 0, 0 };

static char *printed(const base_messages *messages, void (*print)(const base_messages *, FILE *))
{
	char *text = NULL;
	size_t n = 0;
	FILE *to = open_memstream(&text, &n);

	print(messages, to);
	fclose(to);
	return text;
}

static void test_sorted_by_place(void **state)
{
	g_autoptr(base_messages) m = base_messages_new();

	(void)state;
	base_messages_add(m, BASE_ERROR, "job.yaml", (struct base_mark){ 9, 2 }, "late");
	base_messages_add(m, BASE_ERROR, "a.csv", (struct base_mark){ 1, 1 }, "in the other file");
	base_messages_add(m, BASE_ERROR, "job.yaml", (struct base_mark){ 2, 30 }, "right");
	base_messages_add(m, BASE_ERROR, "job.yaml", (struct base_mark){ 2, 4 }, "left, %d", 1);
	base_messages_add(m, BASE_ERROR, "job.yaml", (struct base_mark){ 2, 4 }, "left, 2");
	base_messages_add(m, BASE_ERROR, "job.yaml", (struct base_mark){ 2, 4 }, "left, 1");
	base_messages_add(m, BASE_ERROR, "job.yaml", nowhere, "of the whole file");
	base_messages_sort(m);

	char *got = printed(m, base_messages_print);
	assert_string_equal(got, "job.yaml: of the whole file\n"
				 "job.yaml:2:4: left, 1\n"
				 "job.yaml:2:4: left, 2\n"
				 "job.yaml:2:30: right\n"
				 "job.yaml:9:2: late\n"
				 "a.csv:1:1: in the other file\n");
	free(got);
}

/* A text from outside can neither start a line of its own nor end the JSON text it stands in. */
static void test_text_is_one_line(void **state)
{
	g_autoptr(base_messages) m = base_messages_new();

	(void)state;
	base_messages_add(m, BASE_RESERVATION, "a\\b\".yaml", (struct base_mark){ 3, 0 }, "%s",
			  "one\ntwo\x1b[31m \"three\" \xff \xce\xa9");
	char *lines = printed(m, base_messages_print);
	char *json = printed(m, base_messages_print_json);

	assert_string_equal(lines, "a\\b\".yaml:3: one two [31m \"three\" \xef\xbf\xbd \xce\xa9\n");
	assert_string_equal(json, "[\n  {\"kind\": \"reservation\", \"file\": \"a\\\\b\\\".yaml\", "
				  "\"line\": 3, \"column\": 0, \"text\": "
				  "\"one two [31m \\\"three\\\" \xef\xbf\xbd \xce\xa9\"}\n]\n");
	free(lines);
	free(json);
}

static void test_exit_status(void **state)
{
	g_autoptr(base_messages) m = base_messages_new();

	(void)state;
	char *json = printed(m, base_messages_print_json);
	assert_string_equal(json, "[]\n");
	free(json);
	assert_int_equal(base_messages_exit_status(m), 0);
	base_messages_add(m, BASE_RESERVATION, NULL, nowhere, "few readings");
	assert_int_equal(base_messages_exit_status(m), 0);
	base_messages_add(m, BASE_ERROR, NULL, nowhere, "wrong");
	assert_int_equal(base_messages_exit_status(m), 2);
	base_messages_add(m, BASE_FAILURE, NULL, nowhere, "disk full");
	base_messages_add(m, BASE_ERROR, NULL, nowhere, "wrong again");
	assert_int_equal(base_messages_exit_status(m), 3);
	assert_int_equal(base_messages_count(m, BASE_ERROR), 2);
	assert_int_equal(base_messages_n(m), 4);
}

static void add_alike(base_messages *m, const char *file, int n)
{
	for (int i = 1; i <= n; i++)
		base_messages_add(m, BASE_ERROR, file, (struct base_mark){ i, 1 }, "no key \"x%d\"",
				  i);
}

/* However many faults a file has, one form of them takes at most 21 messages; none is lost to the
   count, on which the exit status stands. */
static void test_many_alike(void **state)
{
	g_autoptr(base_messages) m = base_messages_new();

	(void)state;
	add_alike(m, "a.yaml", 20);
	add_alike(m, "b.yaml", 21);
	add_alike(m, "c.yaml", 700000);
	base_messages_add(m, BASE_ERROR, "c.yaml", (struct base_mark){ 50, 1 }, "another form");
	for (int i = 1; i <= 30; i++) /* texts that the caller makes may be of any form */
		base_messages_add(m, BASE_RESERVATION, "d.yaml", (struct base_mark){ i, 1 }, "%s",
				  i % 2 == 0 ? "even" : "odd");
	assert_int_equal(base_messages_count(m, BASE_ERROR), 20 + 21 + 700000 + 1);
	assert_int_equal(base_messages_n(m), 20 + 21 + 21 + 1 + 30);
	base_messages_sort(m);
	assert_string_equal(base_messages_at(m, 19)->text, "no key \"x20\"");
	assert_string_equal(base_messages_at(m, 40)->text, "no key \"x21\"");
	assert_string_equal(base_messages_at(m, 60)->text, "no key \"x20\"");
	assert_string_equal(base_messages_at(m, 61)->text,
			    "and 699980 more like this from here on: no key \"x21\"");
	assert_int_equal(base_messages_at(m, 61)->mark.line, 21);
	assert_string_equal(base_messages_at(m, 62)->text, "another form");
	assert_int_equal(base_messages_count(m, BASE_ERROR), 20 + 21 + 700000 + 1);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_sorted_by_place),
		cmocka_unit_test(test_text_is_one_line),
		cmocka_unit_test(test_exit_status),
		cmocka_unit_test(test_many_alike),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
