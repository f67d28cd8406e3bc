/* What holds a release back: named limits, the gates that use them, check thermometers. */
#include "app/cli/book.h"

#include "app/base/time.h"
#include "app/service/book/limits.h"

/* The day that is looked at: --at, or today. */
static void day_of(const struct cli_book_call *call, char ret[BASE_TIME_SIZE])
{
	if (call->at != NULL) {
		g_strlcpy(ret, call->at, BASE_TIME_SIZE);
		return;
	}
	base_time_print(service_book_time(call->book, &call->act), ret);
	ret[10] = '\0';
}

static int limits(int argc, char **argv)
{
	const struct cli_book_form form = { "",   "The named limits that hold, and whence.",
					    NULL, 0,
					    0,    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin_at_day(&call, argc, argv, &form)) {
		char day[BASE_TIME_SIZE];

		day_of(&call, day);
		g_autoptr(service_limits) all = service_limits_on(call.book, day, call.messages);

		good = all != NULL;
		if (good)
			service_limits_print(all, output);
	}
	return cli_book_end(&call, good, output);
}

const struct cli_book_action cli_book_limits[] = {
	{ "limits", limits, "the named limits that hold on a day" },
	{ NULL, NULL, NULL },
};
