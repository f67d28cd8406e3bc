#include "app/cli/book_answer.h"

#include "app/base/canonical.h"
#include "app/base/time.h"

#include <string.h>

#define SCHEMA 1 /* of all answers; docs/guide/book-answers.md */

const char *cli_book_text(const json_t *answer, const char *name)
{
	const char *text = service_book_text(answer, name);

	return text != NULL ? text : "";
}

int64_t cli_book_integer(const json_t *answer, const char *name)
{
	return json_integer_value(json_object_get(answer, name));
}

void cli_book_tell_time(const json_t *answer, const char *name, GString *to)
{
	const char *time = cli_book_text(answer, name);
	const size_t n = strcspn(time, ".Z");

	g_string_append_len(to, time, (gssize)n);
	if (n > 0)
		g_string_append_c(to, 'Z');
}

json_t *cli_book_entry(const struct store_entry *entry)
{
	char time[BASE_TIME_SIZE];

	base_time_print(entry->time_us, time);
	return json_pack("{ss ss sI ss ss ss ss sI ss}", "kind", entry->kind, "id", entry->id,
			 "version", (json_int_t)entry->version, "time", time, "who", entry->who,
			 "action", entry->action, "why", entry->why, "entry",
			 (json_int_t)entry->seq, "hash", entry->hash);
}

/* "book list", of the program's name "firn book list". */
static const char *action_name(void)
{
	const char *name = g_get_prgname(), *blank = strchr(name, ' ');

	return blank != NULL ? blank + 1 : name;
}

void cli_book_json(json_t *answer, GString *to)
{
	g_autofree char *text = NULL;

	json_object_set_new(answer, "kind", json_string(action_name()));
	json_object_set_new(answer, "schema", json_integer(SCHEMA));
	text = base_pretty(answer);
	g_string_append(to, text);
}

static int print_json(struct cli_book_call *call, bool good, json_t *answer)
{
	g_autoptr(GString) output = g_string_new(NULL);

	if (good && answer != NULL)
		cli_book_json(answer, output);
	json_decref(answer);
	return cli_book_end(call, good, output);
}

int cli_book_answer(struct cli_book_call *call, bool good, json_t *answer, cli_book_tell *tell)
{
	g_autoptr(GString) output = NULL;

	if (call->common.json)
		return print_json(call, good, answer);
	output = g_string_new(NULL);
	if (good && answer != NULL)
		tell(answer, output);
	json_decref(answer);
	return cli_book_end(call, good, output);
}

int cli_book_said(struct cli_book_call *call, bool good, json_t *answer, const char *format, ...)
{
	g_autoptr(GString) output = NULL;
	va_list arguments;

	if (call->common.json)
		return print_json(call, good, answer);
	json_decref(answer);
	output = g_string_new(NULL);
	va_start(arguments, format);
	g_string_append_vprintf(output, format, arguments);
	va_end(arguments);
	g_string_append_c(output, '\n');
	return cli_book_end(call, good, output);
}
