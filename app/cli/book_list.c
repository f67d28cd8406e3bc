/* What there is of a kind, and what a kind may say. */
#include "app/cli/book_answer.h"

#include "app/base/suggest.h"
#include "app/base/time.h"
#include "app/cli/book_kind.h"
#include "app/report/columns.h"

#include <stdlib.h>
#include <string.h>

/* ---- a list ---- */

/* Of each kind, the members that tell one record from another at a glance; a/b: b within a. */
static const struct {
	const char *kind, *members[3];
} telling[] = {
	{ "person", { "name", "function" } },
	{ "laboratory", { "name" } },
	{ "limits", { "from" } },
	{ "customer", { "name" } },
	{ "resistor", { "maker", "type", "serial" } },
	{ "bridge", { "maker", "type", "serial" } },
	{ "instrument", { "measures", "type", "serial" } },
	{ "cell", { "job/point", "maker", "serial" } },
	{ "thermometer", { "job/sensor", "serial", "owner" } },
	{ "equipment certificate", { "equipment", "number", "due" } },
	{ "equipment check", { "equipment", "check", "verdict" } },
	{ "order", { "customer", "thermometers", "promised" } },
	{ "receipt", { "thermometer", "condition" } },
	{ "heat treatment", { "thermometer", "begun" } },
	{ "realisation", { "cell", "method" } },
	{ "inspection", { "realisation", "found" } },
	{ "event", { "about", "what" } },
	{ "ambient", { "from", "until" } },
	{ "visit", { "thermometer", "job/cell" } },
	{ "calibration", { "thermometer", "certificate_number" } },
	{ "certificate", { "calibration", "date" } },
	{ "nonconformity", { "about", "what" } },
	{ "block", { "visit" } },
};

static const json_t *member_at(const json_t *body, const char *path)
{
	const char *slash = strchr(path, '/');
	g_autofree char *first = slash != NULL ? g_strndup(path, (gsize)(slash - path)) : NULL;

	return slash != NULL ? json_object_get(json_object_get(body, first), slash + 1)
			     : json_object_get(body, path);
}

static void append_texts(GString *to, const json_t *value)
{
	size_t i;
	json_t *one;

	if (json_is_string(value))
		g_string_append_printf(to, "%s%s", to->len > 0 ? ", " : "",
				       json_string_value(value));
	json_array_foreach(value, i, one) append_texts(to, one);
}

/* "H2O, Hollowmere workshop, W3" */
static char *what_it_is(const char *kind, const json_t *body)
{
	GString *what = g_string_new(NULL);

	for (size_t i = 0; i < G_N_ELEMENTS(telling); i++)
		for (size_t m = 0; m < 3 && strcmp(telling[i].kind, kind) == 0; m++)
			if (telling[i].members[m] != NULL)
				append_texts(what, member_at(body, telling[i].members[m]));
	return g_string_free(what, FALSE);
}

static bool note_record(const struct store_entry *entry, void *data, GError **error)
{
	json_t *record = cli_book_entry(entry), *body = json_loads(entry->body, 0, NULL);
	g_autofree char *what = what_it_is(entry->kind, body);

	(void)error;
	json_object_set_new(record, "state",
			    json_incref(json_object_get(body, "state") != NULL
					    ? json_object_get(body, "state")
					    : json_null()));
	json_object_set_new(record, "what", json_string(what));
	json_decref(body);
	g_ptr_array_add(data, record);
	return true;
}

/* By id, numbers in it by their value: 31-001/2 before 31-001/10. */
static int compare_ids(const void *a, const void *b)
{
	const char *x = cli_book_text(*(json_t *const *)a, "id");
	const char *y = cli_book_text(*(json_t *const *)b, "id");

	while (*x != 0 && *y != 0) {
		if (g_ascii_isdigit(*x) && g_ascii_isdigit(*y)) {
			char *x_end, *y_end;
			const guint64 m = g_ascii_strtoull(x, &x_end, 10);
			const guint64 n = g_ascii_strtoull(y, &y_end, 10);

			if (m != n)
				return m < n ? -1 : 1;
			x = x_end;
			y = y_end;
		} else if (*x != *y) {
			break;
		} else {
			x++, y++;
		}
	}
	if (*x != *y)
		return (unsigned char)*x - (unsigned char)*y;
	return strcmp(cli_book_text(*(json_t *const *)a, "id"),
		      cli_book_text(*(json_t *const *)b, "id"));
}

static void tell_list(const json_t *answer, GString *to)
{
	static const char *const headings[] = { "id", "state", "what", "version", "when", "by" };
	const json_t *records = json_object_get(answer, "records");
	report_columns *columns;
	size_t i;
	json_t *record;

	if (json_array_size(records) == 0) {
		g_string_append_printf(to, "there is no %s in the book\n",
				       cli_book_text(answer, "of"));
		return;
	}
	columns = report_columns_new();
	for (size_t c = 0; c < G_N_ELEMENTS(headings); c++)
		report_columns_add(columns, c == 3 ? REPORT_COLUMNS_RIGHT : REPORT_COLUMNS_LEFT,
				   headings[c]);
	json_array_foreach(records, i, record)
	{
		g_autofree char *version =
		    g_strdup_printf("%d", (int)cli_book_integer(record, "version"));
		g_autoptr(GString) time = g_string_new(NULL);

		cli_book_tell_time(record, "time", time);
		report_columns_cell(columns, cli_book_text(record, "id"));
		report_columns_cell(columns, cli_book_text(record, "state"));
		report_columns_cell(columns, cli_book_text(record, "what"));
		report_columns_cell(columns, version);
		report_columns_cell(columns, time->str);
		report_columns_cell(columns, cli_book_text(record, "who"));
	}
	report_columns_print(columns, to);
}

int cli_book_list(int argc, char **argv)
{
	const struct cli_book_form form = { "KIND", "Lists the records of a kind.", NULL, 1, 1,
					    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GPtrArray) found = g_ptr_array_new_with_free_func((GDestroyNotify)json_decref);
	json_t *answer = NULL;
	const char *kind;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form) &&
	    (kind = cli_book_kind(&call, call.arguments[0])) != NULL) {
		GError *error = NULL;
		json_t *records = json_array();

		good = store_each(call.book->store, kind, note_record, found, &error);
		if (!good)
			service_book_say(call.messages, call.where, error);
		qsort(found->pdata, found->len, sizeof *found->pdata, compare_ids);
		for (guint i = 0; i < found->len; i++)
			json_array_append(records, found->pdata[i]);
		answer = json_pack("{ss so}", "of", kind, "records", records);
	}
	return cli_book_answer(&call, good, answer, tell_list);
}
