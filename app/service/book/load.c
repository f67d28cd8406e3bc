#include "app/service/book/load.h"

#include "app/base/file.h"
#include "app/base/suggest.h"
#include "app/base/time.h"
#include "app/service/book/add_readings.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/import_job.h"
#include "app/service/book/plan.h"

#include <string.h>

#define MOST_BYTES ((size_t)1 << 30)

struct load {
	service_book *book;
	const char *path;
	base_messages *messages;
	struct service_act by_default, act; /* of the whole file, and of this line */
	int64_t latest_us;                  /* the latest "when" so far */
	int line;
	const json_t *said; /* this line */
	const char *id;
};

static void wrong(const struct load *l, int column, const char *format, ...) G_GNUC_PRINTF(3, 4);
static void wrong(const struct load *l, int column, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	base_messages_add_valist(l->messages, BASE_ERROR, l->path,
				 (struct base_mark){ l->line, column }, format, arguments);
	va_end(arguments);
}

static const char *text(const struct load *l, const char *name)
{
	return service_book_text(l->said, name);
}

/* ---- the acts ---- */

static bool do_put(const struct load *l)
{
	struct store_entry latest = { 0 };
	const int64_t version = store_latest(l->book->store, text(l, "kind"), l->id, &latest, NULL)
				    ? latest.version
				    : 0;

	store_entry_clear(&latest);
	return service_book_put(l->book, &l->act, version == 0 ? "register" : "change",
				text(l, "kind"), l->id, json_object_get(l->said, "body"), version,
				l->messages);
}

static bool do_change(const struct load *l)
{
	return service_book_change(l->book, &l->act, text(l, "kind"), l->id,
				   json_object_get(l->said, "body"), 0, l->messages);
}

/* Its path counts from the folder in which the list of acts stands. */
static char *path_of_file(const struct load *l)
{
	g_autofree char *folder = g_path_get_dirname(l->path);

	return g_path_is_absolute(text(l, "file"))
		   ? g_strdup(text(l, "file"))
		   : g_build_filename(folder, text(l, "file"), NULL);
}

static bool do_readings(const struct load *l)
{
	g_autofree char *path = path_of_file(l);
	size_t n;

	return service_book_add_readings(l->book, &l->act, l->id, path, &n, l->messages);
}

static bool do_job(const struct load *l)
{
	g_autofree char *path = path_of_file(l);
	const bool simulated = store_identity(l->book->store)->simulated;

	return service_book_import_job(l->book, &l->act, path, l->id,
				       simulated ? "simulated" : "imported", l->messages);
}

static bool do_plan(const struct load *l)
{
	g_autoptr(GPtrArray) subranges = g_ptr_array_new();
	g_autoptr(GString) steps = g_string_new(NULL); /* for people; here nobody reads it */
	const json_t *list = json_object_get(l->said, "subranges");
	struct service_plan plan = { l->id, text(l, "thermometer"), text(l, "order"), NULL,
				     json_is_true(json_object_get(l->said, "check")) };

	for (size_t i = 0; i < json_array_size(list); i++) {
		const char *name = json_string_value(json_array_get(list, i));

		g_ptr_array_add(subranges, (gpointer)(name != NULL ? name : ""));
	}
	g_ptr_array_add(subranges, NULL);
	plan.subranges = (const char *const *)subranges->pdata;
	return service_calibration_plan(l->book, &l->act, &plan, steps, l->messages);
}

static bool do_reduce(const struct load *l)
{
	return service_calibration_reduce(l->book, &l->act, l->id, NULL, l->messages);
}

static bool do_agree(const struct load *l)
{
	return service_calibration_check(l->book, &l->act, l->id, l->messages);
}

static bool do_issue(const struct load *l)
{
	return service_certificate_issue(l->book, &l->act, l->id, text(l, "number"),
					 text(l, "replaces"), l->messages);
}

/* ---- what a line may say ---- */

struct key {
	const char *name;
	json_type type;
	bool needed;
};

static const struct key shared_keys[] = { { "do", JSON_STRING, true },
					  { "id", JSON_STRING, true },
					  { "who", JSON_STRING, false },
					  { "when", JSON_STRING, false },
					  { "why", JSON_STRING, false } };

static const struct known_act {
	const char *name;
	bool (*carry_out)(const struct load *l);
	struct key keys[4]; /* beside those that all share */
} known_acts[] = {
	{ "put", do_put, { { "kind", JSON_STRING, true }, { "body", JSON_OBJECT, true } } },
	{ "change", do_change, { { "kind", JSON_STRING, true }, { "body", JSON_OBJECT, true } } },
	{ "job", do_job, { { "file", JSON_STRING, true } } },
	{ "readings", do_readings, { { "file", JSON_STRING, true } } },
	{ "plan",
	  do_plan,
	  { { "thermometer", JSON_STRING, true },
	    { "subranges", JSON_ARRAY, true },
	    { "order", JSON_STRING, false },
	    { "check", JSON_TRUE, false } } },
	{ "reduce", do_reduce, { { NULL, JSON_NULL, false } } },
	{ "agree", do_agree, { { NULL, JSON_NULL, false } } },
	{ "issue",
	  do_issue,
	  { { "number", JSON_STRING, true }, { "replaces", JSON_STRING, false } } },
};

static bool has_type(const json_t *value, json_type type)
{
	return type == JSON_TRUE ? json_is_boolean(value) : json_typeof(value) == (json_type)type;
}

static const char *type_in_words(json_type type)
{
	return type == JSON_STRING   ? "a text in quotes"
	       : type == JSON_OBJECT ? "an object in braces"
	       : type == JSON_ARRAY  ? "a list in brackets"
				     : "true or false";
}

static const struct known_act *act_named(const struct load *l, const char *name)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	const char *near;

	for (size_t i = 0; i < G_N_ELEMENTS(known_acts); i++) {
		if (g_strcmp0(known_acts[i].name, name) == 0)
			return &known_acts[i];
		g_ptr_array_add(names, (gpointer)known_acts[i].name);
	}
	g_ptr_array_add(names, NULL);
	near = name != NULL ? base_suggest(name, (const char *const *)names->pdata) : NULL;
	wrong(l, 0, "\"do\" must be put, change, job, readings, plan, reduce, agree or issue%s%s",
	      near != NULL ? "; probably " : "", near != NULL ? near : "");
	return NULL;
}

/* All keys that the act knows, shared ones first. */
static GArray *keys_of(const struct known_act *known)
{
	GArray *keys = g_array_new(FALSE, FALSE, sizeof(struct key));

	g_array_append_vals(keys, shared_keys, G_N_ELEMENTS(shared_keys));
	for (size_t i = 0; i < G_N_ELEMENTS(known->keys) && known->keys[i].name != NULL; i++)
		g_array_append_val(keys, known->keys[i]);
	return keys;
}

static bool keys_are_known(const struct load *l, const struct known_act *known, const GArray *keys)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	const char *name, *near;
	json_t *value;

	for (guint i = 0; i < keys->len; i++)
		g_ptr_array_add(names, (gpointer)g_array_index(keys, struct key, i).name);
	g_ptr_array_add(names, NULL);
	json_object_foreach((json_t *)l->said, name, value)
	{
		if (g_strv_contains((const char *const *)names->pdata, name))
			continue;
		near = base_suggest(name, (const char *const *)names->pdata);
		wrong(l, 0, "\"%.40s\" is nothing that %s takes%s%s", name, known->name,
		      near != NULL ? "; probably " : "", near != NULL ? near : "");
		return false;
	}
	return true;
}

static bool line_is_right(const struct load *l, const struct known_act *known)
{
	g_autoptr(GArray) keys = keys_of(known);
	bool good = keys_are_known(l, known, keys);

	for (guint i = 0; i < keys->len; i++) {
		const struct key *key = &g_array_index(keys, struct key, i);
		const json_t *value = json_object_get(l->said, key->name);

		if (value == NULL ? !key->needed : has_type(value, key->type))
			continue;
		wrong(l, 0,
		      value == NULL ? "\"%s\" is missing; %s needs it, %s"
				    : "\"%s\" is wrong; %s takes %s there",
		      key->name, known->name, type_in_words(key->type));
		good = false;
	}
	return good;
}

/* ---- a line ---- */

/* The times of a simulated history run one way. */
static bool read_when(struct load *l, const char *when)
{
	const char *fault;

	if (!store_identity(l->book->store)->simulated) {
		wrong(l, 0,
		      "\"when\" is for books of simulated work; in this one the clock tells "
		      "the time");
		return false;
	}
	fault = base_time_parse(when, strlen(when), &l->act.time_us);
	if (fault == NULL && l->act.time_us < l->latest_us)
		fault = "is before that of an earlier line; put the acts in their order";
	if (fault != NULL)
		wrong(l, 0, "\"when\" %s", fault);
	l->latest_us = l->act.time_us;
	return fault == NULL;
}

static bool read_act(struct load *l)
{
	const char *who = text(l, "who"), *when = text(l, "when"), *why = text(l, "why");

	l->act = l->by_default;
	l->act.person = who != NULL ? who : l->act.person;
	l->act.why = why != NULL ? why : l->act.why;
	if (strcmp(l->act.person, "init") == 0) {
		wrong(l, 0, "init is nobody's id; \"who\" is the id of a person");
		return false;
	}
	return when == NULL || read_when(l, when);
}

static bool carry_out(struct load *l)
{
	const struct known_act *known = act_named(l, text(l, "do"));

	if (known == NULL || !line_is_right(l, known))
		return false;
	l->id = text(l, "id");
	if (!read_act(l))
		return false;
	if (known->carry_out(l))
		return true;
	wrong(l, 0, "%s of %s is refused; nothing of this file is in the book", known->name, l->id);
	return false;
}

static bool load_line(struct load *l, const char *line, size_t n)
{
	json_error_t fault;
	json_t *said = json_loadb(line, n, JSON_REJECT_DUPLICATES, &fault);
	bool good = false;

	l->said = said;
	if (said == NULL)
		wrong(l, fault.column, "%s; each line is one JSON object", fault.text);
	else if (!json_is_object(said))
		wrong(l, 0, "is no JSON object; each line is one, in braces");
	else
		good = carry_out(l);
	l->said = NULL;
	json_decref(said);
	return good;
}

static bool is_blank(const char *line, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!g_ascii_isspace(line[i]))
			return false;
	return true;
}

static bool load_all(struct load *l, GBytes *bytes, int *ret_n)
{
	gsize size;
	const char *at = g_bytes_get_data(bytes, &size), *end = at + size;

	*ret_n = 0;
	while (at < end) {
		const char *newline = memchr(at, '\n', (size_t)(end - at));
		const char *next = newline != NULL ? newline + 1 : end;

		l->line++;
		if (!is_blank(at, (size_t)(next - at))) {
			if (!load_line(l, at, (size_t)(next - at)))
				return false;
			(*ret_n)++;
		}
		at = next;
	}
	return true;
}

bool service_book_load(service_book *book, const struct service_act *act, const char *path,
		       int *ret_n, base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, MOST_BYTES, "a list of acts", &error);
	struct load l = { .book = book,
			  .path = path,
			  .messages = messages,
			  .by_default = *act,
			  .latest_us = INT64_MIN };

	if (bytes == NULL) {
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		return false;
	}
	if (!service_book_begin(book, messages))
		return false;
	if (load_all(&l, bytes, ret_n))
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}
