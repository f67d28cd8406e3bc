#include "app/service/book/book.h"

#include "app/base/canonical.h"
#include "app/base/time.h"

#include <string.h>

char *service_book_label(const char *kind, const char *id)
{
	return g_strdup_printf("%s %s", kind, id);
}

void service_book_say(base_messages *messages, const char *label, GError *error)
{
	base_messages_add(messages, store_error_kind(error), label, (struct base_mark){ 0, 0 },
			  "%s", error->message);
	g_error_free(error);
}

const char *service_book_text(const json_t *body, const char *name)
{
	return json_string_value(json_object_get(body, name));
}

service_book *service_book_open(const char *where, bool write, base_messages *messages)
{
	GError *error = NULL;
	store *s = store_open(where, write, &error);
	service_book *book;

	if (s == NULL) {
		service_book_say(messages, where, error);
		return NULL;
	}
	book = g_new0(service_book, 1);
	book->where = g_strdup(where);
	book->store = s;
	return book;
}

void service_book_close(service_book *book)
{
	if (book == NULL)
		return;
	store_close(book->store);
	g_free(book->where);
	g_free(book);
}

/* ---- time and rights ---- */

int64_t service_book_time(const service_book *book, const struct service_act *act)
{
	if (act->time_us != 0 && store_identity(book->store)->simulated)
		return act->time_us;
	return g_get_real_time();
}

/* RFC 3339 dates compare as texts. */
static bool holds_on(const json_t *authorisation, const char *what, const char *date)
{
	const char *act = service_book_text(authorisation, "act");
	const char *from = service_book_text(authorisation, "from");
	const char *until = service_book_text(authorisation, "until");

	return g_strcmp0(act, what) == 0 && from != NULL && strcmp(from, date) <= 0 &&
	       (until == NULL || strcmp(date, until) <= 0);
}

static bool is_authorised(const json_t *person, const char *what, const char *date)
{
	size_t i;
	json_t *authorisation;

	json_array_foreach(json_object_get(person, "authorisations"), i,
			   authorisation) if (holds_on(authorisation, what, date)) return true;
	return false;
}

bool service_person_may(const json_t *person, const char *what, const char *day)
{
	return g_strcmp0(service_book_text(person, "state"), "active") == 0 &&
	       is_authorised(person, what, day);
}

bool service_book_may(service_book *book, const struct service_act *act, const char *what,
		      base_messages *messages)
{
	g_autofree char *label = service_book_label("person", act->person);
	char date[BASE_TIME_SIZE];
	json_t *person = service_book_look(book, "person", act->person);
	const char *problem = NULL;

	base_time_print(service_book_time(book, act), date);
	date[10] = '\0'; /* the day */
	if (person == NULL)
		problem = "is not in the book; somebody who may manage registers people";
	else if (g_strcmp0(service_book_text(person, "state"), "active") != 0)
		problem = "doesn't work here any more; somebody else must act";
	else if (!is_authorised(person, what, date))
		problem = "was not authorised for this on the day; somebody who may manage "
			  "authorises people";
	json_decref(person);
	if (problem == NULL)
		return true;
	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s (%s, %s)",
			  problem, what, date);
	return false;
}

/* ---- reading ---- */

static json_t *body_of(const struct store_entry *entry)
{
	return json_loads(entry->body, JSON_DECODE_ANY, NULL);
}

json_t *service_book_look(service_book *book, const char *kind, const char *id)
{
	struct store_entry entry;
	json_t *body;

	if (!store_latest(book->store, kind, id, &entry, NULL))
		return NULL;
	body = body_of(&entry);
	store_entry_clear(&entry);
	return body;
}

json_t *service_book_get(service_book *book, const char *kind, const char *id, int64_t *ret_version,
			 base_messages *messages)
{
	struct store_entry entry;
	GError *error = NULL;
	json_t *body;

	if (!store_latest(book->store, kind, id, &entry, &error)) {
		g_autofree char *label = service_book_label(kind, id);

		service_book_say(messages, label, error);
		return NULL;
	}
	body = body_of(&entry);
	if (ret_version != NULL)
		*ret_version = entry.version;
	store_entry_clear(&entry);
	return body;
}

/* ---- writing ---- */

bool service_book_begin(service_book *book, base_messages *messages)
{
	GError *error = NULL;

	if (book->depth == 0) {
		if (!store_begin(book->store, true, &error)) {
			service_book_say(messages, book->where, error);
			return false;
		}
		book->refused = false;
		book->messages = messages;
		book->said = base_messages_n(messages);
	}
	book->depth++;
	return true;
}

bool service_book_commit(service_book *book, base_messages *messages)
{
	GError *error = NULL;

	if (book->depth > 1) {
		book->depth--;
		return true;
	}
	if (book->refused) {
		service_book_rollback(book);
		return false; /* whoever refused has said why */
	}
	book->depth = 0;
	if (store_commit(book->store, &error))
		return true;
	service_book_say(messages, book->where, error);
	return false;
}

void service_book_say_trouble(const service_book *book)
{
	const GError *trouble = store_trouble(book->store);

	for (size_t i = book->said; trouble != NULL && i < base_messages_n(book->messages); i++)
		if (strcmp(base_messages_at(book->messages, i)->text, trouble->message) == 0)
			return;
	if (trouble != NULL)
		service_book_say(book->messages, book->where, g_error_copy(trouble));
}

void service_book_rollback(service_book *book)
{
	book->refused = true;
	if (--book->depth > 0)
		return;
	service_book_say_trouble(book);
	store_rollback(book->store);
}

bool service_book_end(service_book *book, bool good, base_messages *messages)
{
	if (good)
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}

struct reference_check {
	service_book *book;
	const char *label;
	base_messages *messages;
	bool good;
};

static void check_reference(const char *path, const char *kinds, const char *id, void *data)
{
	struct reference_check *check = data;
	g_auto(GStrv) list = g_strsplit(kinds, "|", -1);

	for (char **kind = list; *kind != NULL; kind++) {
		struct store_entry entry;

		if (store_latest(check->book->store, *kind, id, &entry, NULL)) {
			store_entry_clear(&entry);
			return;
		}
	}
	check->good = false;
	base_messages_add(check->messages, BASE_ERROR, check->label, (struct base_mark){ 0, 0 },
			  "%s names %s, and there is no such %s in the book; register it first",
			  path, id, kinds);
}

static void check_file(const char *path, const char *kinds, const char *sha256, void *data)
{
	struct reference_check *check = data;
	g_autoptr(GBytes) bytes = store_get_file(check->book->store, sha256, NULL);

	(void)kinds;
	if (bytes != NULL)
		return;
	check->good = false;
	base_messages_add(check->messages, BASE_ERROR, check->label, (struct base_mark){ 0, 0 },
			  "%s names a file that the book doesn't keep", path);
}

bool service_book_references_hold(service_book *book, const char *kind, const json_t *body,
				  const char *label, base_messages *messages)
{
	struct reference_check check = { book, label, messages, true };

	lab_record_references(lab_kind_named(kind), body, check_reference, &check);
	lab_record_files(lab_kind_named(kind), body, check_file, &check);
	return check.good;
}

static bool state_follows(const struct lab_kind *kind, const json_t *before, const json_t *body,
			  const char *label, base_messages *messages)
{
	const char *from = before != NULL ? service_book_text(before, "state") : NULL;
	const char *to = service_book_text(body, "state");

	if (kind->states == NULL || to == NULL ||
	    (before == NULL ? true : lab_state_may_follow(kind, from, to)))
		return true;
	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
			  "is %s and can't become %s; look at its timeline", from, to);
	return false;
}

#define MOST_OF_A_VALUE 60 /* characters of it that a message shows */

/* A member of both bodies that isn't the same in them; "nothing" where one hasn't got it. */
static void tell_difference(GString *to, const char *name, const json_t *was, const json_t *is)
{
	const json_t *const values[] = { was, is };

	if (json_equal(was, is))
		return;
	g_string_append_printf(to, "%s%s was ", to->len > 0 ? ", " : "", name);
	for (size_t i = 0; i < G_N_ELEMENTS(values); i++) {
		char *text = values[i] != NULL ? base_canonical(values[i]) : g_strdup("nothing");

		if (g_utf8_strlen(text, -1) > MOST_OF_A_VALUE) {
			char *cut = g_utf8_substring(text, 0, MOST_OF_A_VALUE);

			g_free(text);
			text = g_strconcat(cut, "…", NULL);
			g_free(cut);
		}
		g_string_append_printf(to, "%s%s", i == 0 ? "" : " and is ", text);
		g_free(text);
	}
}

/* The members in which two bodies differ, with what they were and are. */
static char *differences(const json_t *a, const json_t *b)
{
	GString *told = g_string_new(NULL);
	const char *name;
	json_t *value;

	json_object_foreach((json_t *)b, name, value)
	{
		tell_difference(told, name, json_object_get(a, name), value);
	}
	json_object_foreach((json_t *)a, name, value)
	{
		if (json_object_get(b, name) == NULL)
			tell_difference(told, name, value, NULL);
	}
	return g_string_free(told, FALSE);
}

/* The second writer learns who was first and what they changed. */
static void say_changed(service_book *book, const char *kind, const char *id, int64_t expected,
			const char *label, base_messages *messages)
{
	struct store_entry seen, latest;
	char time[BASE_TIME_SIZE];

	if (!store_latest(book->store, kind, id, &latest, NULL))
		return;
	base_time_print(latest.time_us, time);
	if (store_version(book->store, kind, id, expected, &seen, NULL)) {
		json_t *a = body_of(&seen), *b = body_of(&latest);
		g_autofree char *fields = differences(a, b);

		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "%s changed it at %s after you had read version %d: %s; look at "
				  "version %d and decide anew",
				  latest.who, time, (int)expected, fields, (int)latest.version);
		json_decref(a);
		json_decref(b);
		store_entry_clear(&seen);
	} else {
		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "is in the book already, version %d by %s at %s; choose another "
				  "id, or change that one",
				  (int)latest.version, latest.who, time);
	}
	store_entry_clear(&latest);
}

static bool append(service_book *book, const struct service_act *act, const char *action,
		   const char *kind, const char *id, const json_t *body, int64_t expected,
		   const char *label, base_messages *messages)
{
	g_autofree char *text = base_canonical(body);
	struct store_entry entry = {
		.time_us = service_book_time(book, act),
		.who = (char *)act->person,
		.action = (char *)action,
		.why = (char *)(act->why != NULL ? act->why : ""),
		.kind = (char *)kind,
		.id = (char *)id,
		.body = text,
	};
	GError *error = NULL;

	if (store_append(book->store, &entry, expected, &error))
		return true;
	if (error->code == STORE_CHANGED && error->domain == STORE_ERROR) {
		g_clear_error(&error);
		say_changed(book, kind, id, expected, label, messages);
	} else {
		service_book_say(messages, label, error);
	}
	return false;
}

bool service_book_write_as(service_book *book, const struct service_act *act, const char *right,
			   const char *action, const char *kind_name, const char *id,
			   const json_t *body, int64_t expected, base_messages *messages)
{
	const struct lab_kind *kind = lab_kind_named(kind_name);
	g_autofree char *label = service_book_label(kind_name, id);
	json_t *before;
	bool good;

	if (kind == NULL || !lab_id_is_valid(id)) {
		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  kind == NULL
				      ? "is of no kind that the book knows; `firn book "
					"kinds` lists them"
				      : "is no id; use letters, digits and - _ . / between "
					"them, at most 60");
		return false;
	}
	if (strcmp(act->person, "init") != 0 && !service_book_may(book, act, right, messages))
		return false;
	good = lab_record_check(kind, body, label, messages);
	good = service_book_references_hold(book, kind_name, body, label, messages) && good;
	before = expected > 0 ? service_book_look(book, kind_name, id) : NULL;
	good = state_follows(kind, before, body, label, messages) && good;
	json_decref(before);
	return good && append(book, act, action, kind_name, id, body, expected, label, messages);
}

bool service_book_write(service_book *book, const struct service_act *act, const char *action,
			const char *kind, const char *id, const json_t *body, int64_t expected,
			base_messages *messages)
{
	const struct lab_kind *known = lab_kind_named(kind);

	return service_book_write_as(book, act, known != NULL ? known->act : "manage", action, kind,
				     id, body, expected, messages);
}

bool service_book_put(service_book *book, const struct service_act *act, const char *action,
		      const char *kind, const char *id, const json_t *body, int64_t expected,
		      base_messages *messages)
{
	if (!service_book_begin(book, messages))
		return false;
	if (service_book_may_be_put(book, act, kind, id, body, expected, messages) &&
	    service_book_write(book, act, action, kind, id, body, expected, messages))
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}

bool service_book_change(service_book *book, const struct service_act *act, const char *kind,
			 const char *id, const json_t *members, int64_t expected,
			 base_messages *messages)
{
	int64_t version;
	json_t *body = service_book_get(book, kind, id, &version, messages);
	const char *name;
	json_t *value;
	bool good;

	if (body == NULL)
		return false;
	json_object_foreach((json_t *)members, name, value)
	{
		if (json_is_null(value))
			json_object_del(body, name);
		else
			json_object_set(body, name, value);
	}
	good = service_book_put(book, act, "change", kind, id, body,
				expected > 0 ? expected : version, messages);
	json_decref(body);
	return good;
}
