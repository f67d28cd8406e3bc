/* Records: to see them and to write them. */
#include "app/cli/book.h"

#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/base/time.h"
#include "app/service/book/load.h"

#include <string.h>

static int show(int argc, char **argv)
{
	const struct cli_book_form form = {
		"KIND ID", "Prints a record as JSON.", NULL, 2, 2, false
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	json_t *body = NULL;

	if (cli_book_begin(&call, argc, argv, &form)) {
		body = service_book_get(call.book, call.arguments[0], call.arguments[1], NULL,
					call.messages);
		if (body != NULL) {
			g_autofree char *text = base_canonical(body);

			g_string_append_printf(output, "%s\n", text);
		}
	}
	const bool good = body != NULL;
	json_decref(body);
	return cli_book_end(&call, good, output);
}

static bool list_entry(const struct store_entry *entry, void *data, GError **error)
{
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *state = service_book_text(body, "state");
	char time[BASE_TIME_SIZE];

	(void)error;
	base_time_print(entry->time_us, time);
	g_string_append_printf(data, "%-24s version %-3d %s  %-12s%s%s\n", entry->id,
			       (int)entry->version, time, entry->who, state != NULL ? " " : "",
			       state != NULL ? state : "");
	json_decref(body);
	return true;
}

static int list(int argc, char **argv)
{
	const struct cli_book_form form = { "KIND", "Lists the records of a kind.", NULL, 1, 1,
					    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		GError *error = NULL;

		good = store_each(call.book->store, call.arguments[0], list_entry, output, &error);
		if (!good)
			service_book_say(call.messages, call.where, error);
	}
	return cli_book_end(&call, good, output);
}

/* The record in a file, or on stdin for "-". */
static json_t *read_body(struct cli_book_call *call, const char *path)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, 8000000, "a record", &error);
	json_error_t fault;
	json_t *body;

	if (bytes == NULL) {
		base_messages_add(call->messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		return NULL;
	}
	body = json_loadb(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes),
			  JSON_REJECT_DUPLICATES, &fault);
	if (body == NULL)
		base_messages_add(call->messages, BASE_ERROR, path,
				  (struct base_mark){ fault.line, fault.column },
				  "%s; a record is one JSON object", fault.text);
	return body;
}

static int put(int argc, char **argv)
{
	const struct cli_book_form form = {
		"KIND ID FILE",
		"Writes a record, or a new version of it, from a file with its JSON.",
		NULL,
		3,
		3,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		const char *kind = call.arguments[0], *id = call.arguments[1];
		json_t *body = read_body(&call, call.arguments[2]);
		struct store_entry entry = { 0 };
		const int64_t version =
		    store_latest(call.book->store, kind, id, &entry, NULL) ? entry.version : 0;

		store_entry_clear(&entry);
		good = body != NULL &&
		       service_book_put(call.book, &call.act, version == 0 ? "register" : "change",
					kind, id, body, version, call.messages);
		json_decref(body);
		g_string_append_printf(output, "%s %s is version %d\n", kind, id, (int)version + 1);
	}
	return cli_book_end(&call, good, output);
}

static int load(int argc, char **argv)
{
	const struct cli_book_form form = {
		"FILE",
		"Carries out the acts of a file, one JSON object a line: all of them or none.",
		NULL,
		1,
		1,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	int n = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		good =
		    service_book_load(call.book, &call.act, call.arguments[0], &n, call.messages);
		g_string_append_printf(output, "%d acts are in the book\n", n);
	}
	return cli_book_end(&call, good, output);
}

static int kinds(int argc, char **argv)
{
	const struct cli_common common = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);

	(void)argc, (void)argv;
	for (const struct lab_kind *kind = lab_kinds; kind->name != NULL; kind++) {
		g_string_append_printf(output, "%s: %s\n", kind->name, kind->what);
		for (const struct lab_field *f = kind->fields; f->name != NULL; f++)
			g_string_append_printf(output, "  %-18s %s%s\n", f->name,
					       f->needed ? "" : "(may be absent) ", f->what);
	}
	return cli_print(&common, output->str, output->len);
}

const struct cli_book_action cli_book_records[] = {
	{ "kinds", kinds, "what each kind of record may say" },
	{ "list", list, "the records of a kind" },
	{ "show", show, "one record" },
	{ "put", put, "write a record, or a new version of it" },
	{ "load", load, "many acts from a file, all or none" },
	{ NULL, NULL, NULL },
};
