#include "app/file/json.h"

#include "tests/support/near.h"

#include <string.h>

static const char text[] = "{\n"
			   "  \"a\": [1, {\"x\": \"}, \\\"a\\\": [\", \"y\": -2.5e-3}, true],\n"
			   "  \"\u03b1\u03b2\": 7, \"b\":\n"
			   "    [[], {}, [[1, 2], [3, 4]]]\n"
			   "}\n";

static void test_marks(void **state)
{
	static const struct {
		const char *path;
		int line, column;
	} cases[] = {
		{ "", 1, 1 },
		{ "a", 2, 8 },
		{ "a/0", 2, 9 },
		{ "a/1", 2, 12 },
		{ "a/1/x", 2, 18 },
		{ "a/1/y", 2, 38 }, /* behind a text that looks like members */
		{ "a/2", 2, 48 },
		{ "b", 4, 5 },
		{ "b/2/1/0", 4, 24 },
		{ "\u03b1\u03b2", 3, 9 }, /* columns count characters */
		/* as far as the path leads */
		{ "a/3", 2, 8 },
		{ "a/1/z", 2, 12 },
		{ "c/d", 1, 1 },
		{ "a/0/1", 2, 9 },
	};

	(void)state;
	for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		const struct base_mark mark = file_json_mark(text, strlen(text), cases[i].path);

		assert_int_equal(mark.line, cases[i].line);
		assert_int_equal(mark.column, cases[i].column);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_marks),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
