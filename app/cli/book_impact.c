/* A thing was found wrong: each certificate computed again as if it had been right. */
#include "app/cli/book_impact.h"

#include "app/base/time.h"
#include "app/cli/book_answer.h"
#include "app/report/rounding.h"
#include "app/service/book/impact.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

static double number(const json_t *object, const char *name)
{
	return json_number_value(json_object_get(object, name));
}

/* A change is told beside what it is to be measured by. */
static void append_u(GString *to, const json_t *change)
{
	char u[REPORT_NUMBER_SIZE];

	report_significant(1e3 * number(change, "u_K"), 2, REPORT_PLAIN, u);
	g_string_append_printf(to, "; its standard uncertainty is %s mK\n", u);
}

static void tell_certificate(const json_t *certificate, GString *to)
{
	const json_t *r_tpw = json_object_get(certificate, "r_tpw");
	const char *state = cli_book_text(certificate, "state");
	size_t i;
	json_t *range;

	g_string_append_printf(to, "certificate %s", cli_book_text(certificate, "certificate"));
	if (strcmp(state, "issued") != 0)
		g_string_append_printf(to, ", %s", state);
	g_string_append_c(to, '\n');
	json_array_foreach(json_object_get(certificate, "temperatures"), i, range)
	{
		const double change_mK = 1e3 * number(range, "change_K");

		g_string_append_printf(to, "  %-10s temperatures change by up to %+.4f mK",
				       cli_book_text(range, "subrange"), change_mK);
		if (fabs(change_mK) < 5e-5) { /* then no place tells anything */
			g_string_append(to, " anywhere\n");
			continue;
		}
		g_string_append_printf(to, ", at %.3f °C", number(range, "t90_K") - 273.15);
		append_u(to, range);
	}
	if (json_is_object(r_tpw)) {
		g_string_append_printf(to, "  %-10s changes by %+.4f mK", "R(TPW)",
				       1e3 * number(r_tpw, "change_K"));
		append_u(to, r_tpw);
	}
}

static void tell(const json_t *answer, GString *to)
{
	const json_t *certificates = json_object_get(answer, "certificates");
	const size_t n = json_array_size(certificates);
	size_t i;
	json_t *certificate;

	json_array_foreach(certificates, i, certificate) tell_certificate(certificate, to);
	g_string_append_printf(to, "%zu certificate%s touched\n", n, n == 1 ? " is" : "s are");
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

int cli_book_impact(int argc, char **argv)
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
	struct service_suspicion s = { 0 };
	json_t *found = NULL, *answer = NULL;

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
			found = service_impact(call.book, &s, call.messages);
	}
	if (found != NULL)
		answer = json_pack("{ss ss sf so}", "of", s.kind, "id", s.id, "by", s.by,
				   "certificates", found);
	return cli_book_answer(&call, found != NULL, answer, tell);
}
