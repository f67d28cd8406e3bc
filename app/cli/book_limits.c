/* What holds a release back: named limits, the gates that use them, check thermometers. */
#include "app/cli/book.h"

#include "app/base/time.h"
#include "app/service/book/gates.h"
#include "app/service/book/history.h"
#include "app/service/book/limits.h"

/* Begins an action that looks at a day: --at, or today. */
static bool begin(struct cli_book_call *call, int argc, char **argv,
		  const struct cli_book_form *form, char ret_day[BASE_TIME_SIZE])
{
	if (!cli_book_begin_at_day(call, argc, argv, form))
		return false;
	if (call->at != NULL)
		g_strlcpy(ret_day, call->at, BASE_TIME_SIZE);
	else
		base_time_print(service_book_time(call->book, &call->act), ret_day);
	ret_day[10] = '\0';
	return true;
}

static int limits(int argc, char **argv)
{
	const struct cli_book_form form = { "",   "The named limits that hold, and whence.",
					    NULL, 0,
					    0,    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	char day[BASE_TIME_SIZE];
	bool good = false;

	if (begin(&call, argc, argv, &form, day)) {
		g_autoptr(service_limits) all = service_limits_on(call.book, day, call.messages);

		good = all != NULL;
		if (good)
			service_limits_print(all, output);
	}
	return cli_book_end(&call, good, output);
}

static int gates(int argc, char **argv)
{
	const struct cli_book_form form = {
		"CALIBRATION",
		"What a calibration is held to before its certificate is issued, as its records "
		"are "
		"now.",
		NULL,
		1,
		1,
		false,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_gates_print(call.book, &call.act, call.arguments[0], output,
					   call.messages);
	return cli_book_end(&call, good, output);
}

static int history(int argc, char **argv)
{
	const struct cli_book_form form = {
		"THERMOMETER POINT",
		"All values of a check thermometer at a fixed point, their scatter and control "
		"limits.",
		NULL,
		2,
		2,
		false,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	char day[BASE_TIME_SIZE];
	bool good = false;

	if (begin(&call, argc, argv, &form, day))
		good = service_history_print(call.book, call.arguments[0], call.arguments[1], day,
					     output, call.messages);
	return cli_book_end(&call, good, output);
}

const struct cli_book_action cli_book_limits[] = {
	{ "limits", limits, "the named limits that hold on a day" },
	{ "gates", gates, "a calibration before its gates: value, limit and source" },
	{ "history", history, "a check thermometer at a point over the years" },
	{ NULL, NULL, NULL },
};
