/* What an assessor asks: where a number comes from, whether it comes out again, whom a fault
 * touches. */
#include "app/cli/book.h"

#include "app/cli/book_impact.h"
#include "app/cli/book_recompute.h"
#include "app/cli/book_timeline.h"
#include "app/service/book/timeline.h"

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

const struct cli_book_action cli_book_answers[] = {
	{ "trace", trace, "a certificate back to its observations" },
	{ "recompute", cli_book_recompute, "issued certificates computed again, and compared" },
	{ "impact", cli_book_impact, "a thing found wrong: which certificates, by how much" },
	{ "timeline", cli_book_timeline, "everything that happened to a thing" },
	{ NULL, NULL, NULL },
};
