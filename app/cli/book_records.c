/* Records: to see them and to write them. */
#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/cli/book_answer.h"
#include "app/cli/book_kind.h"
#include "app/service/book/load.h"

#include <stdio.h>
#include <string.h>

#define MOST_BYTES ((size_t)8000000) /* of a record; the largest hold a few hundred lines */

/* ---- to see one ---- */

static void tell_record(const json_t *answer, GString *to)
{
	const json_t *record = json_object_get(answer, "record");
	g_autofree char *body = base_pretty(json_object_get(record, "body"));
	const int64_t version = cli_book_integer(record, "version"),
		      latest = cli_book_integer(answer, "latest");

	g_string_append_printf(to, "%s %s, version %d", cli_book_text(record, "kind"),
			       cli_book_text(record, "id"), (int)version);
	if (version != latest)
		g_string_append_printf(to, " of %d", (int)latest);
	g_string_append_c(to, '\n');
	cli_book_tell_time(record, "time", to);
	g_string_append_printf(to, "  %s by %s", cli_book_text(record, "action"),
			       cli_book_text(record, "who"));
	if (cli_book_text(record, "why")[0] != '\0')
		g_string_append_printf(to, ": %s", cli_book_text(record, "why"));
	g_string_append_printf(to, "\nentry %d of the log, hash %s\n%s",
			       (int)cli_book_integer(record, "entry"),
			       cli_book_text(record, "hash"), body);
}

static void tell_body(const json_t *answer, GString *to)
{
	g_autofree char *body =
	    base_pretty(json_object_get(json_object_get(answer, "record"), "body"));

	g_string_append(to, body);
}

/* The record in one of its versions (0: the latest) as {"record", "latest"}; NULL with messages. */
static json_t *look_up(struct cli_book_call *call, const char *kind, const char *id,
		       int64_t version)
{
	g_autofree char *label = service_book_label(kind, id);
	struct store_entry latest, chosen;
	GError *error = NULL;
	json_t *record;

	if (!store_latest(call->book->store, kind, id, &latest, &error)) {
		service_book_say(call->messages, label, error);
		return NULL;
	}
	if (!store_version(call->book->store, kind, id, version > 0 ? version : latest.version,
			   &chosen, &error)) {
		if (g_error_matches(error, STORE_ERROR, STORE_ABSENT)) {
			g_clear_error(&error);
			base_messages_add(call->messages, BASE_ERROR, label,
					  (struct base_mark){ 0, 0 },
					  "has no version %d; its latest is %d", (int)version,
					  (int)latest.version);
		} else {
			service_book_say(call->messages, label, error);
		}
		store_entry_clear(&latest);
		return NULL;
	}
	record = cli_book_entry(&chosen);
	json_object_set_new(record, "body", json_loads(chosen.body, 0, NULL));
	json_t *answer =
	    json_pack("{so sI}", "record", record, "latest", (json_int_t)latest.version);
	store_entry_clear(&latest);
	store_entry_clear(&chosen);
	return answer;
}

static int show(int argc, char **argv)
{
	g_autofree char *text = NULL;
	gboolean body = FALSE;
	const GOptionEntry own[] = {
		{ "version", 0, 0, G_OPTION_ARG_STRING, &text, "An older one of its versions",
		  "N" },
		{ "body", 0, 0, G_OPTION_ARG_NONE, &body,
		  "The record alone, as put and change take it", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"KIND ID", "Prints a record, its version, and who wrote it, when and why.",
		own,       2,
		2,         false,
	};
	struct cli_book_call call = { 0 };
	json_t *answer = NULL;
	gint64 version = 0;
	const char *kind;

	if (cli_book_begin(&call, argc, argv, &form) &&
	    (kind = cli_book_kind(&call, call.arguments[0])) != NULL) {
		if (cli_whole_number(&call.common, "--version", text, 1, INT32_MAX, &version))
			answer = look_up(&call, kind, call.arguments[1], version);
		else
			call.status = CLI_WRONG;
	}
	return cli_book_answer(&call, answer != NULL, answer, body ? tell_body : tell_record);
}

/* ---- to write one ---- */

static GBytes *read_stdin(struct cli_book_call *call)
{
	g_autoptr(GByteArray) bytes = g_byte_array_new();
	guint8 block[65536];
	size_t n;

	while ((n = fread(block, 1, sizeof block, stdin)) > 0 && bytes->len <= MOST_BYTES)
		g_byte_array_append(bytes, block, (guint)n);
	if (!ferror(stdin) && bytes->len <= MOST_BYTES)
		return g_byte_array_free_to_bytes(g_steal_pointer(&bytes));
	base_messages_add(call->messages, ferror(stdin) ? BASE_FAILURE : BASE_ERROR, "stdin",
			  (struct base_mark){ 0, 0 },
			  ferror(stdin) ? "could not be read"
					: "is longer than 8 MB; a record is one JSON object");
	return NULL;
}

/* The JSON object in a file, or on stdin for "-". */
static json_t *read_object(struct cli_book_call *call, const char *path)
{
	const bool piped = strcmp(path, "-") == 0;
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes =
	    piped ? read_stdin(call) : base_file_read(path, MOST_BYTES, "a record", &error);
	json_error_t fault;
	json_t *body;

	if (error != NULL)
		base_messages_add(call->messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
	if (bytes == NULL)
		return NULL;
	body = json_loadb(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes),
			  JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &fault);
	if (json_is_object(body))
		return body;
	if (body != NULL)
		g_strlcpy(fault.text, "something else stands here", sizeof fault.text);
	base_messages_add(
	    call->messages, BASE_ERROR, piped ? "stdin" : path,
	    (struct base_mark){ body != NULL ? 0 : fault.line, body != NULL ? 0 : fault.column },
	    "%s; a record is one JSON object, in braces", fault.text);
	json_decref(body);
	return NULL;
}

struct writing {
	struct cli_book_call *call;
	const char *kind, *id;
	json_t *said;
	int64_t latest,
	    seen; /* versions: what is there, what the writer says to have seen (or 0) */
};

/* What is there already needs no new version. */
static bool is_new(const struct writing *w)
{
	g_autofree char *label = service_book_label(w->kind, w->id);
	json_t *body = service_book_look(w->call->book, w->kind, w->id);
	const bool same = json_equal(body, w->said);

	json_decref(body);
	if (same)
		base_messages_add(w->call->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "says just this already, in version %d; nothing is written",
				  (int)w->latest);
	return !same;
}

static bool carry_out_put(const struct writing *w)
{
	return is_new(w) &&
	       service_book_put(w->call->book, &w->call->act,
				w->latest == 0 ? "register" : "change", w->kind, w->id, w->said,
				w->seen > 0 ? w->seen : w->latest, w->call->messages);
}

static bool carry_out_change(const struct writing *w)
{
	return service_book_change(w->call->book, &w->call->act, w->kind, w->id, w->said, w->seen,
				   w->call->messages);
}

static int write_record(int argc, char **argv, const char *summary,
			bool (*carry_out)(const struct writing *w))
{
	g_autofree char *seen = NULL;
	const GOptionEntry own[] = {
		{ "seen", 0, 0, G_OPTION_ARG_STRING, &seen,
		  "The version that you looked at; refused when there is a later one", "N" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = { "KIND ID FILE", summary, own, 3, 3, true };
	struct cli_book_call call = { 0 };
	struct writing w = { .call = &call };
	json_t *answer = NULL;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form) &&
	    (w.kind = cli_book_kind(&call, call.arguments[0])) != NULL) {
		struct store_entry entry = { 0 };

		w.id = call.arguments[1];
		w.said = read_object(&call, call.arguments[2]);
		if (store_latest(call.book->store, w.kind, w.id, &entry, NULL))
			w.latest = entry.version;
		store_entry_clear(&entry);
		if (!cli_whole_number(&call.common, "--seen", seen, 1, INT32_MAX, &w.seen))
			call.status = CLI_WRONG;
		else
			good = w.said != NULL && carry_out(&w);
		json_decref(w.said);
		answer = json_pack("{s{ss ss sI}}", "record", "kind", w.kind, "id", w.id, "version",
				   (json_int_t)w.latest + 1);
	}
	return cli_book_said(&call, good, answer, "%s %s is version %d", w.kind, w.id,
			     (int)w.latest + 1);
}

static int put(int argc, char **argv)
{
	return write_record(
	    argc, argv,
	    "Writes a record, or a new version of it, from a file with its JSON; - is "
	    "stdin.\nA new version needs a reason (--why).",
	    carry_out_put);
}

static int change(int argc, char **argv)
{
	return write_record(
	    argc, argv,
	    "Writes a new version of a record: the members in the file (- is stdin) "
	    "take the place\nof the record's, null takes one away. It needs a reason "
	    "(--why).",
	    carry_out_change);
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
	int n = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good =
		    service_book_load(call.book, &call.act, call.arguments[0], &n, call.messages);
	return cli_book_said(&call, good, json_pack("{si}", "acts", n), "%d acts are in the book",
			     n);
}

const struct cli_book_action cli_book_records[] = {
	{ "kinds", cli_book_kinds, "the kinds of records, and what one may say" },
	{ "list", cli_book_list, "the records of a kind" },
	{ "show", show, "one record, or an older version of it" },
	{ "put", put, "write a record, or a new version of it" },
	{ "change", change, "some members of a record" },
	{ "load", load, "many acts from a file, all or none" },
	{ NULL, NULL, NULL },
};
