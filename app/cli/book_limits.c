/* What holds a release back: named limits, the gates that use them, check thermometers. */
#include "app/cli/book_answer.h"

#include "app/base/time.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"
#include "app/service/book/gates.h"
#include "app/service/book/history.h"
#include "app/service/book/limits.h"
#include "app/service/book/reproducibility.h"

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

static void tell_line(GString *to, const char *name, const char *state, const char *decision,
		      const char *text)
{
	g_autofree char *line = g_strdup_printf("  %s: %s%s%s. %s", name, state,
						decision[0] != '\0' ? " " : "", decision, text);

	report_wrap(to, line, 4);
}

static void tell_gates(const json_t *answer, GString *to)
{
	size_t i;
	json_t *one;

	g_string_append_printf(to, "Gates of calibration %s on %s\n",
			       cli_book_text(answer, "calibration"), cli_book_text(answer, "day"));
	json_array_foreach(json_object_get(answer, "gates"), i, one)
	    tell_line(to, cli_book_text(one, "gate"), cli_book_text(one, "state"),
		      cli_book_text(one, "decision"), cli_book_text(one, "text"));
	json_array_foreach(json_object_get(answer, "release"), i, one)
	    tell_line(to, "release", "closed", "", json_string_value(one));
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
	json_t *answer = NULL;

	if (cli_book_begin(&call, argc, argv, &form))
		answer = service_gates(call.book, &call.act, call.arguments[0], call.messages);
	return cli_book_answer(&call, answer != NULL, answer, tell_gates);
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

static void append_mK(const json_t *visit, const char *name, GString *to)
{
	const json_t *value = json_object_get(visit, name);
	char text[REPORT_NUMBER_SIZE] = "none";

	if (json_is_number(value))
		report_significant(json_number_value(value), 3, REPORT_PLAIN, text);
	g_string_append_printf(to, "%s%s", text, json_is_number(value) ? " mK" : "");
}

static void tell_reproducibility(const json_t *answer, GString *to)
{
	const json_t *visits = json_object_get(answer, "visits");
	size_t i;
	json_t *visit;

	g_string_append_printf(to, "Reproducibility of the realisations of calibration %s\n",
			       cli_book_text(answer, "calibration"));
	json_array_foreach(visits, i, visit)
	{
		const int n = (int)cli_book_integer(visit, "values");

		g_string_append_printf(to, "  visit %s (%s): was ", cli_book_text(visit, "visit"),
				       cli_book_text(visit, "point"));
		append_mK(visit, "was_mK", to);
		if (json_is_null(json_object_get(visit, "is_mK"))) {
			g_string_append_printf(to, ", and stays: its history has %d values\n", n);
			continue;
		}
		g_string_append(to, ", is ");
		append_mK(visit, "is_mK", to);
		g_string_append_printf(to, " with %g degrees of freedom, from %d values\n",
				       json_number_value(json_object_get(visit, "dof")), n);
	}
}

static int reproducibility(int argc, char **argv)
{
	const struct cli_book_form form = {
		"CALIBRATION",
		"The scatter of check thermometers before a calibration becomes the "
		"reproducibility in\nthe budgets of its visits. It needs a reason (--why).",
		NULL,
		1,
		1,
		true,
	};
	struct cli_book_call call = { 0 };
	json_t *answer = NULL;

	if (cli_book_begin(&call, argc, argv, &form))
		answer = service_book_take_reproducibility(call.book, &call.act, call.arguments[0],
							   call.messages);
	return cli_book_answer(&call, answer != NULL, answer, tell_reproducibility);
}

const struct cli_book_action cli_book_limits[] = {
	{ "limits", limits, "the named limits that hold on a day" },
	{ "gates", gates, "a calibration before its gates: value, limit and source" },
	{ "history", history, "a check thermometer at a point over the years" },
	{ "reproducibility", reproducibility, "their scatter into a calibration's budgets" },
	{ NULL, NULL, NULL },
};
