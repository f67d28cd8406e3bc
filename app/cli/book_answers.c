/* What an assessor asks: where a number comes from, whether it comes out again, whom a fault
 * touches. */
#include "app/cli/book.h"

#include "app/base/time.h"
#include "app/service/book/certificate.h"
#include "app/service/book/impact.h"
#include "app/service/book/timeline.h"
#include "firn/number.h"

#include <string.h>

static bool recompute_one(struct cli_book_call *call, const char *number, GString *output,
			  int *held)
{
	struct service_recomputation found = { .holds = false };
	const bool good = service_certificate_recompute(call->book, number, &found, call->messages);

	if (good) {
		g_string_append(output, found.report->str);
		*held += found.holds;
	}
	if (found.report != NULL)
		g_string_free(found.report, TRUE);
	return good;
}

static bool note_number(const struct store_entry *entry, void *data, GError **error)
{
	(void)error;
	g_ptr_array_add(data, g_strdup(entry->id));
	return true;
}

/* Numbers of all certificates, of whatever state: each must come out again for good. */
static bool all_numbers(struct cli_book_call *call, GPtrArray *numbers)
{
	GError *error = NULL;

	if (store_each(call->book->store, "certificate", note_number, numbers, &error))
		return true;
	service_book_say(call->messages, call->where, error);
	return false;
}

static int recompute(int argc, char **argv)
{
	gboolean all = FALSE;
	const GOptionEntry own[] = {
		{ "all", 0, 0, G_OPTION_ARG_NONE, &all, "Every certificate of the book", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"[NUMBER]", "Computes an issued certificate again and compares.", own, 0, 1, false
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GPtrArray) numbers = g_ptr_array_new_with_free_func(g_free);
	g_autoptr(GString) output = g_string_new(NULL);
	int held = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		if ((call.n == 1) == all) {
			call.status = cli_wrong(&call.common,
						"name one certificate, or write --all and none");
		} else if (all) {
			good = all_numbers(&call, numbers);
		} else {
			g_ptr_array_add(numbers, g_strdup(call.arguments[0]));
			good = true;
		}
		for (guint i = 0; good && i < numbers->len; i++)
			good = recompute_one(&call, numbers->pdata[i], output, &held);
		if (all)
			g_string_append_printf(output, "%d of %u certificates hold\n", held,
					       numbers->len);
	}
	const int status = cli_book_end(&call, good, output);
	return status == CLI_DONE && held < (int)numbers->len ? CLI_NOT_ACCEPTED : status;
}

static int trace(int argc, char **argv)
{
	const struct cli_book_form form = {
		"CERTIFICATE [NUMBER]",
		"Goes back from a certificate to the observations; NUMBER (visit.2.W, "
		"subrange.NAME.a)\n"
		"is unfolded down to its readings.",
		NULL,
		1,
		2,
		false,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_trace(call.book, call.arguments[0],
				     call.n > 1 ? call.arguments[1] : NULL, output, call.messages);
	return cli_book_end(&call, good, output);
}

static int timeline(int argc, char **argv)
{
	const struct cli_book_form form = { "ID", "Everything that happened to a thing, in order.",
					    NULL, 1,
					    1,    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_timeline(call.book, call.arguments[0], output, call.messages);
	return cli_book_end(&call, good, output);
}

/* The size of the fault: of a resistor or bridge in ppm, of a cell in millikelvin. */
static bool read_size(struct cli_book_call *call, struct service_suspicion *s, const char *ppm,
		      const char *mK)
{
	const bool is_cell = strcmp(s->kind, "cell") == 0;
	const char *text = is_cell ? mK : ppm;

	if (!is_cell && strcmp(s->kind, "resistor") != 0 && strcmp(s->kind, "bridge") != 0) {
		cli_wrong(&call->common, "the impact is found for a resistor, a bridge or a cell");
		return false;
	}
	if (text == NULL || (is_cell ? ppm : mK) != NULL ||
	    firn_number_parse(text, strlen(text), &s->by) != FIRN_OK) {
		cli_wrong(&call->common,
			  is_cell ? "a cell is found wrong by --mK X, a number"
				  : "a resistor or bridge is found wrong by --ppm X, a number");
		return false;
	}
	s->by *= is_cell ? 1e-3 : 1e-6;
	return true;
}

static int impact(int argc, char **argv)
{
	g_autofree char *ppm = NULL, *mK = NULL, *from = NULL;
	const GOptionEntry own[] = {
		{ "ppm", 0, 0, G_OPTION_ARG_STRING, &ppm,
		  "A resistor was really so much larger, a bridge's ratios too", "X" },
		{ "mK", 0, 0, G_OPTION_ARG_STRING, &mK, "A cell was really so much warmer", "X" },
		{ "from", 0, 0, G_OPTION_ARG_STRING, &from,
		  "Only calibrations with readings from this day on", "DATE" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"resistor|bridge|cell ID",
		"A thing was found wrong: which certificates, by how many millikelvin.",
		own,
		2,
		2,
		false,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	struct service_suspicion s = { 0 };
	int n = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		s.kind = call.arguments[0];
		s.id = call.arguments[1];
		s.from = from;
		if (from != NULL && !base_date_is_valid(from))
			call.status =
			    cli_wrong(&call.common, "--from is a date such as 2031-03-04");
		else if (!read_size(&call, &s, ppm, mK))
			call.status = CLI_WRONG;
		else
			good = service_impact(call.book, &s, output, &n, call.messages);
		g_string_append_printf(output, "%d certificate%s touched\n", n,
				       n == 1 ? " is" : "s are");
	}
	return cli_book_end(&call, good, output);
}

const struct cli_book_action cli_book_answers[] = {
	{ "trace", trace, "a certificate back to its observations" },
	{ "recompute", recompute, "an issued certificate computed again, and compared" },
	{ "impact", impact, "a thing found wrong: which certificates, by how much" },
	{ "timeline", timeline, "everything that happened to a thing" },
	{ NULL, NULL, NULL },
};
