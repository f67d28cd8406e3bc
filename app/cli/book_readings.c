/* Readings by the million. */
#include "app/cli/book_answer.h"

#include "app/report/rounding.h"
#include "app/service/book/add_readings.h"
#include "app/service/book/exclude.h"

static int readings(int argc, char **argv)
{
	const struct cli_book_form form = {
		"VISIT FILE",
		"Adds a CSV file of readings of any length to an open visit: time, current_mA,\n"
		"ratio or resistance_ohm, bath_C, flag. All of them, or none.",
		NULL,
		2,
		2,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	size_t n = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		good = service_book_add_readings(call.book, &call.act, call.arguments[0],
						 call.arguments[1], &n, call.messages);
		g_string_append_printf(output, "%zu readings were added to visit %s\n", n,
				       call.arguments[0]);
	}
	return cli_book_end(&call, good, output);
}

/* With digits to a tenth of the uncertainty's first one. */
static void tell_effect(const json_t *effect, GString *to)
{
	char change[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

	report_significant(json_number_value(json_object_get(effect, "change_mK")), 2, REPORT_PLAIN,
			   change);
	report_significant(json_number_value(json_object_get(effect, "u_mK")), 2, REPORT_PLAIN, u);
	g_string_append_printf(to,
			       "  calibration %s, %s: %s(%s) was %.10g and is %.10g without them: "
			       "%s mK, u = %s mK\n",
			       cli_book_text(effect, "calibration"), cli_book_text(effect, "state"),
			       cli_book_text(effect, "what"), cli_book_text(effect, "point"),
			       json_number_value(json_object_get(effect, "was")),
			       json_number_value(json_object_get(effect, "is")), change, u);
}

static void tell_exclusion(const json_t *answer, GString *to)
{
	const json_t *effects = json_object_get(answer, "effects");
	const int first = (int)cli_book_integer(answer, "first"),
		  n = (int)cli_book_integer(answer, "n");
	size_t i;
	json_t *effect;

	g_string_append_printf(to, "readings %d to %d of visit %s are set aside; they stay there\n",
			       first, first + n - 1, cli_book_text(answer, "visit"));
	json_array_foreach(effects, i, effect) tell_effect(effect, to);
}

static int exclude(int argc, char **argv)
{
	const struct cli_book_form form = {
		"VISIT FIRST N",
		"Sets N readings of a visit aside, from the one numbered FIRST on (the first is "
		"0), with\na reason (--why), and tells what that changes.",
		NULL,
		3,
		3,
		true,
	};
	struct cli_book_call call = { 0 };
	json_t *answer = NULL;
	gint64 first, n;

	if (cli_book_begin(&call, argc, argv, &form)) {
		if (cli_whole_number(&call.common, "FIRST", call.arguments[1], 0, INT32_MAX,
				     &first) &&
		    cli_whole_number(&call.common, "N", call.arguments[2], 1, INT32_MAX, &n))
			answer = service_book_exclude(call.book, &call.act, call.arguments[0],
						      first, n, call.messages);
		else
			call.status = CLI_WRONG;
	}
	return cli_book_answer(&call, answer != NULL, answer, tell_exclusion);
}

const struct cli_book_action cli_book_readings[] = {
	{ "readings", readings, "a long file of readings goes to a visit, sealed at once" },
	{ "exclude", exclude, "readings of a visit set aside, and what that changes" },
	{ NULL, NULL, NULL },
};
