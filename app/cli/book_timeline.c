/* Everything that happened to a thing, in order, each in the words that its kind calls for. */
#include "app/cli/book_timeline.h"

#include "app/base/time.h"
#include "app/cli/book_answer.h"
#include "app/report/rounding.h"
#include "app/service/book/timeline.h"

#include <math.h>
#include <string.h>

/* ---- what an entry says, in a few words ---- */

static double number(const json_t *body, const char *name)
{
	const json_t *value = json_object_get(body, name);

	return json_is_number(value) ? json_number_value(value) : NAN;
}

static void append_unit(GString *to, const char *unit)
{
	if (strcmp(unit, "1") != 0)
		g_string_append_printf(to, " %s", unit);
}

/* As it was written. */
static void append_value(GString *to, double x, const char *unit)
{
	g_string_append_printf(to, "%.10g", x);
	append_unit(to, unit);
}

/* What was computed, or is an uncertainty: two digits. */
static void append_rounded(GString *to, double x, const char *unit)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x, 2, REPORT_PLAIN, text);
	g_string_append(to, text);
	append_unit(to, unit);
}

/* "resistance at 23 °C = 100.000218 ohm, U = 2.0e-5 ohm; due 2029-01-03" */
static void tell_certificate(const json_t *body, GString *to)
{
	const char *unit = cli_book_text(body, "unit");

	g_string_append_printf(to, "%s = ", cli_book_text(body, "quantity"));
	append_value(to, number(body, "value"), unit);
	g_string_append(to, ", U = ");
	append_rounded(to, number(body, "U"), unit);
	g_string_append_printf(to, "; due %s", cli_book_text(body, "due"));
}

/* "value passed: 0.034 mK from what was expected, 0.063 mK allowed" */
static void tell_check(const json_t *body, GString *to)
{
	const char *unit = cli_book_text(body, "unit");
	const double off = number(body, "found") - number(body, "expected");

	g_string_append_printf(to, "%s %s: ", cli_book_text(body, "check"),
			       cli_book_text(body, "verdict"));
	append_rounded(to, off, unit);
	g_string_append(to, " from what was expected, ");
	append_rounded(to, number(body, "limit"), unit);
	g_string_append(to, " allowed");
	if (json_object_get(body, "note") != NULL)
		g_string_append_printf(to, "; %s", cli_book_text(body, "note"));
}

/* "480 °C for 4 h, R(TPW) from 25.478701 to 25.478698 ohm" */
static void tell_treatment(const json_t *body, GString *to)
{
	append_value(to, number(body, "temperature_C"), "°C for ");
	append_value(to, number(body, "hold_h"), "h, R(TPW) from ");
	append_value(to, number(body, "r_tpw_before_ohm"), "to ");
	append_value(to, number(body, "r_tpw_after_ohm"), "ohm");
}

static void tell_receipt(const json_t *body, GString *to)
{
	g_string_append(to, cli_book_text(body, "condition"));
	if (!isnan(number(body, "r_tpw_ohm"))) {
		g_string_append(to, "; R(TPW) = ");
		append_value(to, number(body, "r_tpw_ohm"), "ohm");
	}
	if (!isnan(number(body, "last_r_tpw_ohm"))) {
		g_string_append(to, ", by its last certificate ");
		append_value(to, number(body, "last_r_tpw_ohm"), "ohm");
	}
}

static void tell_decision(const json_t *body, GString *to)
{
	g_string_append(to, cli_book_text(body, "what"));
	if (json_object_get(body, "decision") != NULL)
		g_string_append_printf(to, "; decided: %s", cli_book_text(body, "decision"));
}

static const struct {
	const char *kind;
	void (*tell)(const json_t *body, GString *to);
	const char *member; /* where there is no function, the member that tells most */
} words[] = {
	{ "equipment certificate", tell_certificate, NULL },
	{ "equipment check", tell_check, NULL },
	{ "heat treatment", tell_treatment, NULL },
	{ "receipt", tell_receipt, NULL },
	{ "nonconformity", tell_decision, NULL },
	{ "event", NULL, "what" },
	{ "inspection", NULL, "found" },
	{ "realisation", NULL, "method" },
	{ "calibration", NULL, "certificate_number" },
	{ "certificate", NULL, "calibration" },
};

/* Of a visit: which thermometer in which cell, without the one whose timeline it is. */
static void tell_visit(const json_t *body, const char *id, GString *to)
{
	const char *thermometer = cli_book_text(body, "thermometer");
	const char *cell = cli_book_text(json_object_get(body, "job"), "cell");

	if (strcmp(thermometer, id) == 0)
		g_string_append(to, cell);
	else if (strcmp(cell, id) == 0 || cell[0] == '\0')
		g_string_append(to, thermometer);
	else
		g_string_append_printf(to, "%s in %s", thermometer, cell);
}

static json_t *what_of(const char *kind, const json_t *body, const char *id)
{
	g_autoptr(GString) what = g_string_new(NULL);

	if (strcmp(kind, "visit") == 0)
		tell_visit(body, id, what);
	for (size_t i = 0; i < G_N_ELEMENTS(words); i++) {
		if (strcmp(words[i].kind, kind) != 0)
			continue;
		if (words[i].tell != NULL)
			words[i].tell(body, what);
		else
			g_string_append(what, cli_book_text(body, words[i].member));
	}
	return json_string(what->str);
}

/* ---- entries of one act ---- */

struct timeline {
	const char *id;
	json_t *acts; /* {..., "records": [id, ...], "what": [text, ...]} */
};

static void add_text(json_t *texts, json_t *text)
{
	size_t i;
	json_t *one;

	json_array_foreach(texts, i, one)
	{
		if (json_equal(one, text)) {
			json_decref(text);
			return;
		}
	}
	if (json_string_length(text) > 0)
		json_array_append_new(texts, text);
	else
		json_decref(text);
}

/* The visits of one job, say: written at one moment by one person, and the thing isn't themselves.
 */
static bool belongs_to(const json_t *act, const json_t *entry, const char *id)
{
	static const char *const alike[] = { "time", "who", "action", "kind", "why", "state" };

	for (size_t i = 0; i < G_N_ELEMENTS(alike); i++)
		if (strcmp(cli_book_text(act, alike[i]), cli_book_text(entry, alike[i])) != 0)
			return false;
	return strcmp(cli_book_text(entry, "id"), id) != 0 &&
	       strcmp(cli_book_text(act, "id"), cli_book_text(entry, "id")) != 0;
}

static void note(const struct store_entry *entry, const json_t *body, void *data)
{
	struct timeline *t = data;
	json_t *said = cli_book_entry(entry), *what = what_of(entry->kind, body, t->id);
	json_t *act = json_array_get(t->acts, json_array_size(t->acts) - 1);

	json_object_set_new(said, "state", json_string(cli_book_text(body, "state")));
	if (act == NULL || !belongs_to(act, said, t->id)) {
		act = json_incref(said);
		json_object_set_new(act, "records", json_array());
		json_object_set_new(act, "what", json_array());
		json_array_append_new(t->acts, act);
	}
	json_array_append_new(json_object_get(act, "records"), json_string(entry->id));
	add_text(json_object_get(act, "what"), what);
	json_decref(said);
}

/* ---- for people ---- */

static void tell_act(const json_t *act, GString *to)
{
	const json_t *records = json_object_get(act, "records");
	const size_t n = json_array_size(records);
	size_t i;
	json_t *what;

	cli_book_tell_time(act, "time", to);
	g_string_append_printf(to, "  %s  %s %s %s", cli_book_text(act, "who"),
			       cli_book_text(act, "action"), cli_book_text(act, "kind"),
			       cli_book_text(act, "id"));
	if (n > 1)
		g_string_append_printf(to, "%s%s", n == 2 ? " and " : " to ",
				       json_string_value(json_array_get(records, n - 1)));
	if (cli_book_text(act, "state")[0] != '\0')
		g_string_append_printf(to, ", %s", cli_book_text(act, "state"));
	json_array_foreach(json_object_get(act, "what"), i, what)
	    g_string_append_printf(to, "%s%s", i == 0 ? ": " : ", ", json_string_value(what));
	if (cli_book_text(act, "why")[0] != '\0')
		g_string_append_printf(to, " (%s)", cli_book_text(act, "why"));
	g_string_append_c(to, '\n');
}

static void tell(const json_t *answer, GString *to)
{
	size_t i;
	json_t *act;

	json_array_foreach(json_object_get(answer, "acts"), i, act) tell_act(act, to);
}

int cli_book_timeline(int argc, char **argv)
{
	const struct cli_book_form form = { "ID", "Everything that happened to a thing, in order.",
					    NULL, 1,
					    1,    false };
	struct cli_book_call call = { 0 };
	struct timeline t = { NULL, json_array() };
	json_t *answer = NULL;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		t.id = call.arguments[0];
		good = service_timeline(call.book, t.id, note, &t, call.messages);
		answer = json_pack("{ss sO}", "id", t.id, "acts", t.acts);
	}
	json_decref(t.acts);
	return cli_book_answer(&call, good, answer, tell);
}
