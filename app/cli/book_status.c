/* What there is to do: alive, waiting, due, open. */
#include "app/cli/book_answer.h"

#include "app/report/columns.h"
#include "app/service/book/status.h"

#include <math.h>
#include <string.h>

#define MOST_NAMES 3 /* of people who may do a step; more are told as "whoever may" */

static const json_t *list_of(const json_t *answer, const char *name)
{
	return json_object_get(answer, name);
}

static void begin(GString *to, const char *title)
{
	g_string_append_printf(to, "\n%s\n", title);
}

static report_columns *columns_of(const char *const *headings, const char *right)
{
	report_columns *columns = report_columns_new();

	for (; *headings != NULL; headings++)
		report_columns_add(columns,
				   g_strcmp0(*headings, right) == 0 ? REPORT_COLUMNS_RIGHT
								    : REPORT_COLUMNS_LEFT,
				   *headings);
	return columns;
}

static void cell(report_columns *columns, const json_t *record, const char *name)
{
	report_columns_cell(columns, cli_book_text(record, name));
}

/* The day of a time. */
static void cell_day(report_columns *columns, const json_t *record, const char *name)
{
	g_autofree char *day = g_strndup(cli_book_text(record, name), 10);

	report_columns_cell(columns, day);
}

static char *joined(const json_t *list, const char *between)
{
	GString *text = g_string_new(NULL);
	size_t i;
	json_t *item;

	json_array_foreach(list, i, item)
	    g_string_append_printf(text, "%s%s", i > 0 ? between : "", json_string_value(item));
	return g_string_free(text, FALSE);
}

/* ---- the parts ---- */

static void tell_alive(const json_t *list, GString *to)
{
	static const char *const headings[] = { "realisation", "cell",  "point",
						"method",      "state", "days",
						"last looked", "found", NULL };
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, "Alive");
	columns = columns_of(headings, "days");
	json_array_foreach(list, i, one)
	{
		g_autofree char *age = g_strdup_printf(
		    "%.0f", fmax(0, floor(json_number_value(json_object_get(one, "age_days")))));

		cell(columns, one, "realisation");
		cell(columns, one, "cell");
		cell(columns, one, "point");
		cell(columns, one, "method");
		cell(columns, one, "state");
		report_columns_cell(columns, age);
		cell_day(columns, one, "looked");
		cell(columns, one, "found");
	}
	report_columns_print(columns, to);
}

static void tell_visits(const json_t *list, GString *to)
{
	static const char *const headings[] = { "visit", "thermometer", "cell", "readings", NULL };
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, "Open visits");
	columns = columns_of(headings, "readings");
	json_array_foreach(list, i, one)
	{
		g_autofree char *n =
		    g_strdup_printf("%" G_GINT64_FORMAT, cli_book_integer(one, "readings"));

		cell(columns, one, "visit");
		cell(columns, one, "thermometer");
		cell(columns, one, "cell");
		report_columns_cell(columns, n);
	}
	report_columns_print(columns, to);
}

/* "agree: dee, tam"; nobody is what somebody must see to. */
static char *for_whom(const json_t *calibration)
{
	const json_t *persons = json_object_get(calibration, "persons");
	const json_t *held = json_object_get(calibration, "held_by");
	const size_t n = json_array_size(persons);
	g_autofree char *names = n == 0           ? g_strdup("NOBODY who may")
				 : n > MOST_NAMES ? g_strdup("whoever may")
						  : joined(persons, " or ");
	g_autofree char *by = joined(held, ", ");

	return g_strdup_printf("%s: %s%s%s", cli_book_text(calibration, "next"), names,
			       by[0] != '\0' ? "; held by " : "", by);
}

static void tell_waiting(const json_t *list, GString *to)
{
	static const char *const headings[] = { "calibration", "thermometer", "order", "state",
						"since",       "by",          "next",  NULL };
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, "Waiting");
	columns = columns_of(headings, NULL);
	json_array_foreach(list, i, one)
	{
		g_autofree char *next = for_whom(one);

		cell(columns, one, "calibration");
		cell(columns, one, "thermometer");
		cell(columns, one, "order");
		cell(columns, one, "state");
		cell_day(columns, one, "since");
		cell(columns, one, "by");
		report_columns_cell(columns, next);
	}
	report_columns_print(columns, to);
}

/* "in 12 days", "today", "5 days over"; "" where there is no day. */
static char *how_long(const json_t *record)
{
	const json_t *days = json_object_get(record, "days");
	const int n = (int)json_integer_value(days);

	if (!json_is_integer(days))
		return g_strdup("");
	if (n == 0)
		return g_strdup("today");
	return n > 0 ? g_strdup_printf("in %d day%s", n, n == 1 ? "" : "s")
		     : g_strdup_printf("%d day%s OVER", -n, n == -1 ? "" : "s");
}

static void tell_due(const json_t *list, int days, GString *to)
{
	static const char *const headings[] = { "equipment", "due", "", NULL };
	g_autofree char *title =
	    g_strdup_printf("Due within %d days, or without a certificate", days);
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, title);
	columns = columns_of(headings, NULL);
	json_array_foreach(list, i, one)
	{
		g_autofree char *long_ = how_long(one);
		g_autofree char *thing =
		    g_strdup_printf("%s %s", cli_book_text(one, "kind"), cli_book_text(one, "id"));

		report_columns_cell(columns, thing);
		report_columns_cell(columns, json_is_null(json_object_get(one, "due"))
						 ? "no certificate"
						 : cli_book_text(one, "due"));
		report_columns_cell(columns, long_);
	}
	report_columns_print(columns, to);
}

static void tell_orders(const json_t *list, GString *to)
{
	static const char *const headings[] = {
		"order", "customer", "promised", "", "thermometers without a certificate", NULL
	};
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, "Open orders");
	columns = columns_of(headings, NULL);
	json_array_foreach(list, i, one)
	{
		g_autofree char *long_ = how_long(one);
		g_autofree char *open = joined(json_object_get(one, "open"), ", ");

		cell(columns, one, "order");
		cell(columns, one, "customer");
		cell(columns, one, "promised");
		report_columns_cell(columns, long_);
		report_columns_cell(columns, open[0] != '\0' ? open : "none: it can be closed");
	}
	report_columns_print(columns, to);
}

static void tell_nonconformities(const json_t *list, GString *to)
{
	static const char *const headings[] = { "nonconformity", "opened", "about", "what", NULL };
	report_columns *columns;
	size_t i;
	json_t *one;

	if (json_array_size(list) == 0)
		return;
	begin(to, "Open nonconformities");
	columns = columns_of(headings, NULL);
	json_array_foreach(list, i, one)
	{
		g_autofree char *about = joined(json_object_get(one, "about"), ", ");

		cell(columns, one, "nonconformity");
		cell_day(columns, one, "opened");
		report_columns_cell(columns, about);
		cell(columns, one, "what");
	}
	report_columns_print(columns, to);
}

static void tell(const json_t *answer, GString *to)
{
	const gsize before = to->len + strlen(cli_book_text(answer, "laboratory")) +
			     strlen(cli_book_text(answer, "day")) + strlen(" on \n");

	g_string_append_printf(to, "%s on %s\n", cli_book_text(answer, "laboratory"),
			       cli_book_text(answer, "day"));
	tell_alive(list_of(answer, "alive"), to);
	tell_visits(list_of(answer, "visits"), to);
	tell_waiting(list_of(answer, "waiting"), to);
	tell_orders(list_of(answer, "orders"), to);
	tell_due(list_of(answer, "due"), (int)cli_book_integer(answer, "days"), to);
	tell_nonconformities(list_of(answer, "nonconformities"), to);
	if (to->len == before)
		g_string_append(to, "nothing is alive, waiting, due or open\n");
}

static int status(int argc, char **argv)
{
	g_autofree char *text = NULL;
	const GOptionEntry own[] = {
		{ "days", 0, 0, G_OPTION_ARG_STRING, &text, "How far ahead due dates are told (60)",
		  "N" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"",
		"What is alive, what waits for whom, what is due and what is open, as the records "
		"are now.",
		own,
		0,
		0,
		false,
	};
	struct cli_book_call call = { 0 };
	json_t *answer = NULL;
	gint64 days = 60;

	if (cli_book_begin_at_day(&call, argc, argv, &form)) {
		if (cli_whole_number(&call.common, "--days", text, 0, 36500, &days))
			answer = service_book_status(call.book, call.at, (int)days, call.messages);
		else
			call.status = CLI_WRONG;
	}
	return cli_book_answer(&call, answer != NULL, answer, tell);
}

const struct cli_book_action cli_book_today[] = {
	{ "status", status, "what is alive, due, open, and waiting for whom" },
	{ NULL, NULL, NULL },
};
