#include "app/file/readings_say.h"

#include "app/file/readings.h"

static const char *const kind_names[FILE_SAY_KINDS] = {
	[FILE_SAY_FIELDS] = "rows with a wrong number of fields",
	[FILE_SAY_QUOTES] = "rows with wrong quotes",
	[FILE_SAY_VISIT] = "readings of unknown visits",
	[FILE_SAY_TIME] = "times that cannot be read",
	[FILE_SAY_ORDER] = "times out of order",
	[FILE_SAY_CURRENT] = "currents that cannot be",
	[FILE_SAY_NUMBER] = "fields that are no numbers",
	[FILE_SAY_OVERLOAD] = "overloads",
	[FILE_SAY_SIGN] = "readings that are not above 0",
	[FILE_SAY_BOTH] = "rows with both ratio and resistance_ohm",
	[FILE_SAY_EMPTY] = "rows without a reading",
	[FILE_SAY_RESISTOR] = "ratios without a resistor",
	[FILE_SAY_BATH] = "temperatures of the resistor that cannot be",
};

static void G_GNUC_PRINTF(3, 0)
    add(struct file_say *say, struct base_mark mark, const char *format, va_list arguments)
{
	g_autofree char *text = g_strdup_vprintf(format, arguments);

	base_messages_add(say->messages, BASE_ERROR, say->path, mark, "%s", text);
}

/* Both columns filled is a habit of a whole file: the first row of it tells everything. */
static size_t most(enum file_say_kind kind)
{
	return kind == FILE_SAY_BOTH ? 1 : FILE_READINGS_MESSAGES;
}

void file_say(struct file_say *say, enum file_say_kind kind, const char *at, const char *format,
	      ...)
{
	const size_t n = ++say->of_kind[kind];
	va_list arguments;

	say->count++;
	if (kind == FILE_SAY_FIELDS || kind == FILE_SAY_QUOTES)
		say->lost_rows = true;
	if (n == most(kind) + 1)
		say->first_unsaid[kind] = file_csv_mark(say->csv, at);
	if (n > most(kind))
		return;
	va_start(arguments, format);
	add(say, file_csv_mark(say->csv, at), format, arguments);
	va_end(arguments);
}

void file_say_once(struct file_say *say, const char *at, const char *format, ...)
{
	va_list arguments;

	say->count++;
	va_start(arguments, format);
	add(say, file_csv_mark(say->csv, at), format, arguments);
	va_end(arguments);
}

void file_say_rest(const struct file_say *say)
{
	for (int kind = 0; kind < FILE_SAY_KINDS; kind++) {
		const size_t unsaid_from = most((enum file_say_kind)kind);

		if (say->of_kind[kind] > unsaid_from)
			base_messages_add(say->messages, BASE_ERROR, say->path,
					  say->first_unsaid[kind],
					  "and %" G_GSIZE_FORMAT " more %s from here on",
					  say->of_kind[kind] - unsaid_from, kind_names[kind]);
	}
}
