/* Readings by the million. */
#include "app/cli/book.h"

#include "app/service/book/add_readings.h"

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

const struct cli_book_action cli_book_readings[] = {
	{ "readings", readings, "a long file of readings goes to a visit, sealed at once" },
	{ NULL, NULL, NULL },
};
