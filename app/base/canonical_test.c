/* RFC 8785: its own sample of numbers (appendix B), its sorting example (3.2.3) and its text. */
#include "app/base/canonical.h"
#include "tests/support/near.h"

#include <string.h>

static void check_number(uint64_t bits, const char *text)
{
	double x;
	json_t *json;
	char *found;

	memcpy(&x, &bits, sizeof x);
	json = json_real(x);
	found = base_canonical(json);
	assert_string_equal(found, text);
	g_free(found);
	json_decref(json);
}

/* RFC 8785 (2020), appendix B; the texts were held against an ECMAScript engine's JSON.stringify.
 */
static void numbers_of_the_standard(void **state)
{
	(void)state;
	check_number(0x0000000000000000, "0");
	check_number(0x8000000000000000, "0");
	check_number(0x0000000000000001, "5e-324");
	check_number(0x8000000000000001, "-5e-324");
	check_number(0x7fefffffffffffff, "1.7976931348623157e+308");
	check_number(0xffefffffffffffff, "-1.7976931348623157e+308");
	check_number(0x4340000000000000, "9007199254740992");
	check_number(0xc340000000000000, "-9007199254740992");
	check_number(0x4430000000000000, "295147905179352830000");
	check_number(0x44b52d02c7e14af5, "9.999999999999997e+22");
	check_number(0x44b52d02c7e14af6, "1e+23");
	check_number(0x44b52d02c7e14af7, "1.0000000000000001e+23");
	check_number(0x444b1ae4d6e2ef4e, "999999999999999700000");
	check_number(0x444b1ae4d6e2ef4f, "999999999999999900000");
	check_number(0x444b1ae4d6e2ef50, "1e+21");
	check_number(0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7");
	check_number(0x3eb0c6f7a0b5ed8d, "0.000001");
	check_number(0x41b3de4355555553, "333333333.3333332");
	check_number(0x41b3de4355555554, "333333333.33333325");
	check_number(0x41b3de4355555555, "333333333.3333333");
	check_number(0x41b3de4355555556, "333333333.3333334");
	check_number(0x41b3de4355555557, "333333333.33333343");
	check_number(0xbecbf647612f3696, "-0.0000033333333333333333");
	check_number(0x43143ff3c1cb0959, "1424953923781206.2");
}

static void check_text(const char *given, const char *wanted)
{
	json_t *json = json_loads(given, JSON_DECODE_ANY, NULL);
	char *found;

	assert_non_null(json);
	found = base_canonical(json);
	assert_string_equal(found, wanted);
	g_free(found);
	json_decref(json);
}

/* RFC 8785, 3.2.3: the order of the members' names; 3.2.2: the sample object. */
static void texts_of_the_standard(void **state)
{
	(void)state;
	check_text("{\"\\u20ac\":\"Euro Sign\",\"\\r\":\"Carriage Return\","
		   "\"\\ufb33\":\"Hebrew Letter Dalet With Dagesh\",\"1\":\"One\","
		   "\"\\ud83d\\ude00\":\"Emoji: Grinning Face\",\"\\u0080\":\"Control\","
		   "\"\\u00f6\":\"Latin Small Letter O With Diaeresis\"}",
		   "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\xc2\x80\":\"Control\","
		   "\"\xc3\xb6\":\"Latin Small Letter O With Diaeresis\","
		   "\"\xe2\x82\xac\":\"Euro Sign\",\"\xf0\x9f\x98\x80\":\"Emoji: Grinning Face\","
		   "\"\xef\xac\xb3\":\"Hebrew Letter Dalet With Dagesh\"}");
	check_text("{\"numbers\":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"
		   "\"string\":\"\\u20ac$\\u000F\\u000aA'\\u0042\\u0022\\u005c\\\\\\\"\\/\","
		   "\"literals\":[null,true,false]}",
		   "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,"
		   "1e-27],\"string\":\"\xe2\x82\xac$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}");
}

/* Members sorted and numbers exact as above; what is nested is broken into lines. */
static void texts_for_people(void **state)
{
	json_t *json = json_loads("{\"b\":[1,2.5,0.1],\"a\":{\"y\":{\"z\":1e-7},\"x\":[]},"
				  "\"c\":[{\"k\":1},{\"k\":2}]}",
				  0, NULL);
	char *found = base_pretty(json);

	(void)state;
	assert_string_equal(found, "{\n"
				   "  \"a\": {\n"
				   "    \"x\": [],\n"
				   "    \"y\": {\"z\": 1e-7}\n"
				   "  },\n"
				   "  \"b\": [1, 2.5, 0.1],\n"
				   "  \"c\": [\n"
				   "    {\"k\": 1},\n"
				   "    {\"k\": 2}\n"
				   "  ]\n"
				   "}\n");
	g_free(found);
	json_decref(json);
	json = json_array();
	found = base_pretty(json);
	assert_string_equal(found, "[]\n");
	g_free(found);
	json_decref(json);
}

/* A list too long for a line has a line for each value, and nothing is lost. */
static void long_texts_for_people(void **state)
{
	json_t *list = json_array(), *whole = json_pack("{so}", "list", list), *again;
	int lines = 0;
	char *found;

	(void)state;
	for (int i = 0; i < 40; i++)
		json_array_append_new(list, json_real(1.0 / (i + 3)));
	found = base_pretty(whole);
	for (const char *c = found; *c != 0; c++)
		lines += *c == '\n';
	assert_int_equal(lines, 44);
	again = json_loads(found, 0, NULL);
	assert_true(json_equal(again, whole));
	g_free(found);
	json_decref(again);
	json_decref(whole);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(numbers_of_the_standard),
		cmocka_unit_test(texts_of_the_standard),
		cmocka_unit_test(texts_for_people),
		cmocka_unit_test(long_texts_for_people),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
