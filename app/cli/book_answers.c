/* What an assessor asks: where a number comes from, whether it comes out again, whom a fault
 * touches. */
#include "app/cli/book.h"

#include "app/base/time.h"
#include "app/cli/book_recompute.h"
#include "app/cli/book_timeline.h"
#include "app/service/book/impact.h"
#include "app/service/book/timeline.h"
#include "firn/number.h"

#include <string.h>

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
	{ "recompute", cli_book_recompute, "issued certificates computed again, and compared" },
	{ "impact", impact, "a thing found wrong: which certificates, by how much" },
	{ "timeline", cli_book_timeline, "everything that happened to a thing" },
	{ NULL, NULL, NULL },
};
