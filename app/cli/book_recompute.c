/* Issued certificates computed again, and compared in every number and every printed digit. */
#include "app/cli/book_recompute.h"

#include "app/cli/book_answer.h"
#include "app/report/rounding.h"
#include "app/service/book/certificate.h"

#include <string.h>

/* ---- for people ---- */

static bool is_true(const json_t *found, const char *name)
{
	return json_is_true(json_object_get(found, name));
}

static int number_of(const json_t *found, const char *name)
{
	return (int)cli_book_integer(found, name);
}

static void append_largest(const json_t *found, GString *to)
{
	const double x = json_number_value(json_object_get(found, "largest_relative_difference"));
	char text[REPORT_NUMBER_SIZE];

	report_significant(x, 2, REPORT_PLAIN, text);
	g_string_append(to, x > 0 ? text : "0");
}

static void append_differences(const json_t *found, int n, GString *to)
{
	const json_t *list = json_object_get(found, "differences");
	size_t i;
	json_t *one;

	json_array_foreach(list, i, one)
	{
		g_autofree char *was =
		    json_dumps(json_object_get(one, "was"), JSON_ENCODE_ANY | JSON_COMPACT);
		g_autofree char *is =
		    json_dumps(json_object_get(one, "is"), JSON_ENCODE_ANY | JSON_COMPACT);

		g_string_append_printf(to, "    %s%swas %.60s, is %.60s\n",
				       cli_book_text(one, "path"),
				       cli_book_text(one, "path")[0] != '\0' ? ": " : "", was, is);
	}
	if (n > (int)json_array_size(list))
		g_string_append_printf(to, "    and %d more\n", n - (int)json_array_size(list));
}

static void tell_print(const json_t *print, GString *to)
{
	const int n = number_of(print, "differing");

	if (n == 0) {
		g_string_append_printf(to, "  every printed digit is the same, in %d texts\n",
				       number_of(print, "texts"));
		return;
	}
	g_string_append_printf(to, "  %d of %d printed texts differ\n", n,
			       number_of(print, "texts"));
	append_differences(print, n, to);
}

/* Which program tells the rest, when this one can't. */
static void tell_environment(const json_t *found, GString *to)
{
	const json_t *then = json_object_get(found, "issued_with");

	g_string_append_printf(to, "  the environment is %s as on the day of issue\n",
			       is_true(found, "same_environment") ? "the same" : "not the same");
	if (is_true(found, "same_environment"))
		return;
	g_string_append_printf(to, "    issued with %s; %s\n", cli_book_text(then, "program"),
			       cli_book_text(then, "libraries"));
	if (!is_true(found, "same_constants"))
		g_string_append_printf(
		    to,
		    "    its constants (SHA-256 %.12s...) are not those of this program "
		    "(%.12s...):\n    what differs here is what today's constants change; the "
		    "program of the day\n    computes it as it was issued\n",
		    cli_book_text(then, "constants"),
		    cli_book_text(json_object_get(found, "computed_with"), "constants"));
}

static void tell_one(const json_t *found, GString *to)
{
	g_string_append_printf(to, "certificate %s, %s, %s\n", cli_book_text(found, "certificate"),
			       cli_book_text(found, "state"),
			       is_true(found, "holds") ? "holds" : "DOES NOT HOLD");
	g_string_append_printf(to, "  %d numbers computed again, largest relative difference ",
			       number_of(found, "numbers"));
	append_largest(found, to);
	g_string_append_c(to, '\n');
	if (number_of(found, "differing") > 0)
		g_string_append_printf(to, "  %d differ by more than 1e-12, or otherwise\n",
				       number_of(found, "differing"));
	append_differences(found, number_of(found, "differing"), to);
	tell_print(json_object_get(found, "print"), to);
	tell_environment(found, to);
	g_string_append_printf(to, "  the certificate and its data file come out with %s\n",
			       is_true(found, "same_bytes") ? "the same bytes" : "other bytes");
	g_string_append_printf(to, "  the readings behind it are %s\n",
			       is_true(found, "same_readings")
				   ? "those of the book"
				   : "not those that the book gives now");
}

static void tell_line(const json_t *found, GString *to)
{
	g_string_append_printf(to, "%-16s %-10s ", cli_book_text(found, "certificate"),
			       cli_book_text(found, "state"));
	if (json_object_get(found, "numbers") == NULL) {
		g_string_append(to, "DOES NOT HOLD: could not be computed\n");
		return;
	}
	g_string_append(to, is_true(found, "holds") ? "holds: " : "DOES NOT HOLD: ");
	append_largest(found, to);
	g_string_append_printf(to, " in %d numbers, %d printed texts differ, %s bytes%s%s\n",
			       number_of(found, "numbers"),
			       number_of(json_object_get(found, "print"), "differing"),
			       is_true(found, "same_bytes") ? "same" : "other",
			       is_true(found, "same_constants") ? "" : ", other constants",
			       is_true(found, "same_readings") ? "" : ", not the book's readings");
}

static void tell(const json_t *answer, GString *to)
{
	const json_t *all = json_object_get(answer, "certificates");
	size_t i;
	json_t *found;

	if (!is_true(answer, "all")) {
		tell_one(json_array_get(all, 0), to);
		return;
	}
	json_array_foreach(all, i, found) tell_line(found, to);
	g_string_append_printf(to, "%d of %d certificates hold\n", number_of(answer, "held"),
			       (int)json_array_size(all));
}

/* ---- computing ---- */

static bool note_number(const struct store_entry *entry, void *data, GError **error)
{
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	json_array_append_new(data, json_pack("{ss so}", "certificate", entry->id, "state",
					      json_incref(json_object_get(body, "state"))));
	json_decref(body);
	return true;
}

/* Those that were asked for, of whatever state: each must come out again for good. */
static json_t *asked_for(struct cli_book_call *call, bool all)
{
	json_t *numbers = json_array();
	GError *error = NULL;

	if (!all)
		json_array_append_new(numbers,
				      json_pack("{ss}", "certificate", call->arguments[0]));
	else if (!store_each(call->book->store, "certificate", note_number, numbers, &error))
		service_book_say(call->messages, call->where, error);
	return numbers;
}

/* One that can't be computed is told by its messages; the others are still looked at. */
static json_t *recompute(struct cli_book_call *call, bool all, int *ret_held)
{
	json_t *numbers = asked_for(call, all), *found = json_array(), *one;
	size_t i;

	json_array_foreach(numbers, i, one)
	{
		json_t *again = service_certificate_recompute(
		    call->book, cli_book_text(one, "certificate"), call->messages);

		*ret_held += is_true(again, "holds");
		json_array_append(found, again != NULL ? again : one);
		json_decref(again);
	}
	json_decref(numbers);
	return found;
}

int cli_book_recompute(int argc, char **argv)
{
	gboolean all = FALSE;
	const GOptionEntry own[] = {
		{ "all", 0, 0, G_OPTION_ARG_NONE, &all, "Every certificate, a line each", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"[NUMBER]",
		"Computes an issued certificate again and compares every number and every printed "
		"digit.\nExit status 1 when one doesn't hold.",
		own,
		0,
		1,
		false,
	};
	struct cli_book_call call = { 0 };
	json_t *answer = NULL;
	size_t n = 0;
	int held = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		if ((call.n == 1) == all) {
			call.status = cli_wrong(&call.common,
						"name one certificate, or write --all and none");
		} else {
			json_t *found = recompute(&call, all, &held);

			n = json_array_size(found);
			good = all || json_object_get(json_array_get(found, 0), "numbers") != NULL;
			answer = json_pack("{sb so si}", "all", all, "certificates", found, "held",
					   held);
		}
	}
	const int status = cli_book_answer(&call, good, answer, tell);
	return status == CLI_DONE && (size_t)held < n ? CLI_NOT_ACCEPTED : status;
}
