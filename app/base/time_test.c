#include "app/base/time.h"

#include "tests/support/near.h"

#include <glib.h>
#include <string.h>

/* RFC 3339, section 5.8, gives the first four examples and what they equal. The numbers are those
   of GNU date (date -u -d TEXT +%s), decimals and leap seconds by hand. */
static struct time_case {
	const char *text;
	int64_t us;
} times[] = {
	{ "1985-04-12T23:20:50.52Z", INT64_C(482196050520000) },
	{ "1996-12-19T16:39:57-08:00", INT64_C(851042397000000) },
	{ "1996-12-20T00:39:57Z", INT64_C(851042397000000) },
	{ "1990-12-31T15:59:60-08:00", INT64_C(662688000000000) },
	{ "1990-12-31T23:59:60Z", INT64_C(662688000000000) },
	{ "1937-01-01T12:00:27.87+00:20", INT64_C(-1041337172130000) },
	{ "1970-01-01t00:00:00z", 0 },
	{ "2024-02-29 23:59:59.9999999+00:00", INT64_C(1709251199999999) },
	{ "2000-02-29T00:00:00+14:00", INT64_C(951732000000000) },
	{ "0001-01-01T00:00:00Z", INT64_C(-62135596800000000) },
	{ "9999-12-31T23:59:59.999999Z", INT64_C(253402300799999999) },
};

static void test_times(void **state)
{
	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(times); i++) {
		int64_t us = -1;

		print_message("# %s\n", times[i].text);
		assert_null(base_time_parse(times[i].text, strlen(times[i].text), &us));
		assert_int_equal(us, times[i].us);
	}
}

static struct bad_time {
	const char *text, *want;
} bad_times[] = {
	{ "", "is not a time" },
	{ "2026-11-24", "is not a time" },
	{ "24.11.2026 09:30", "is not a time" },
	{ "11/24/2026 09:30:00", "is not a time" },
	{ "2026-11-24T09:30Z", "is not a time" },
	{ "2026-11-24T09:30:00", "has no offset" },
	{ "2026-11-24T09:30:00.25", "has no offset" },
	{ "2026-11-24T09:30:00+0100", "has an offset that cannot be read" },
	{ "2026-11-24T09:30:00+01", "has an offset that cannot be read" },
	{ "2026-11-24T09:30:00.Z", "has an offset that cannot be read" },
	{ "2026-11-24T09:30:00 CET", "has an offset that cannot be read" },
	{ "2026-11-24T09:30:00+24:00", "has an offset that cannot be read" },
	{ "2026-02-29T09:30:00Z", "has no such date" },
	{ "2026-13-01T09:30:00Z", "has no such date" },
	{ "2026-24-11T09:30:00Z", "has no such date" },
	{ "2026-11-24T24:00:00Z", "has no such time" },
	{ "2026-11-24T09:60:00Z", "has no such time" },
	{ "2026-11-24T09:30:60Z", "has no such time" },
};

static void test_bad_times(void **state)
{
	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(bad_times); i++) {
		int64_t us = 42;
		const char *text = bad_times[i].text;
		const char *got = base_time_parse(text, strlen(text), &us);

		print_message("# \"%s\"\n", text);
		assert_non_null(got);
		assert_int_equal(strncmp(got, bad_times[i].want, strlen(bad_times[i].want)), 0);
		assert_int_equal(us, 42);
	}
}

/* Against GLib's calendar: a day in every month of 800 years, and back again. */
static void test_against_glib(void **state)
{
	int day = 0;

	(void)state;
	for (int year = 1600; year < 2400; year++) {
		for (int month = 1; month <= 12; month++) {
			g_autofree char *text = g_strdup_printf("%04d-%02d-%02dT17:05:09.000001Z",
								year, month, 1 + day % 28);
			g_autoptr(GDateTime) want = g_date_time_new_from_iso8601(text, NULL);
			char printed[BASE_TIME_SIZE];
			int64_t us = 0;

			day++;
			assert_null(base_time_parse(text, strlen(text), &us));
			assert_int_equal(us, g_date_time_to_unix(want) * 1000000 + 1);
			base_time_print(us, printed);
			assert_string_equal(printed, text);
		}
	}
}

static void test_print(void **state)
{
	char got[BASE_TIME_SIZE];

	(void)state;
	base_time_print(INT64_C(482196050520000), got);
	assert_string_equal(got, "1985-04-12T23:20:50.52Z");
	base_time_print(-1, got);
	assert_string_equal(got, "1969-12-31T23:59:59.999999Z");
	base_time_print(INT64_C(-62167219200000000), got);
	assert_string_equal(got, "0000-01-01T00:00:00Z");
	base_time_print(INT64_C(253402300799999999), got);
	assert_string_equal(got, "9999-12-31T23:59:59.999999Z");
	base_time_print(INT64_C(253402300800000000), got);
	assert_string_equal(got, "");
	base_time_print(BASE_NO_TIME, got);
	assert_string_equal(got, "");
}

static void test_dates(void **state)
{
	(void)state;
	assert_true(base_date_is_valid("2026-11-24"));
	assert_true(base_date_is_valid("2000-02-29"));
	assert_false(base_date_is_valid("1900-02-29"));
	assert_false(base_date_is_valid("2026-11-31"));
	assert_false(base_date_is_valid("2026-00-10"));
	assert_false(base_date_is_valid("24-11-2026"));
	assert_false(base_date_is_valid("2026-11-2"));
	assert_false(base_date_is_valid("2026-11-24T"));
	assert_false(base_date_is_valid(""));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_times),        cmocka_unit_test(test_bad_times),
		cmocka_unit_test(test_against_glib), cmocka_unit_test(test_print),
		cmocka_unit_test(test_dates),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
