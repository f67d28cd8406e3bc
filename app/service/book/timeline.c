#include "app/service/book/timeline.h"

#include "app/base/time.h"

#include <string.h>

struct timeline {
	const char *id;
	GString *to;
	int n;
	const char *role; /* of the reference that was found */
};

static void look_for(const char *path, const char *kinds, const char *id, void *data)
{
	struct timeline *t = data;

	(void)kinds;
	if (strcmp(id, t->id) == 0)
		t->role = path;
}

static void append(struct timeline *t, const struct store_entry *entry, const json_t *body)
{
	const char *state = service_book_text(body, "state");
	const char *words[] = { "what", "found", "condition", "decision" };
	char time[BASE_TIME_SIZE];

	base_time_print(entry->time_us, time);
	g_string_append_printf(t->to, "%s  %s  %s %s", time, entry->who, entry->action,
			       entry->kind);
	g_string_append_printf(t->to, " %s", entry->id);
	if (state != NULL)
		g_string_append_printf(t->to, ", %s", state);
	for (size_t i = 0; i < G_N_ELEMENTS(words); i++)
		if (service_book_text(body, words[i]) != NULL)
			g_string_append_printf(t->to, ": %s", service_book_text(body, words[i]));
	if (entry->why[0] != '\0')
		g_string_append_printf(t->to, " (%s)", entry->why);
	g_string_append_c(t->to, '\n');
	t->n++;
}

static bool visit_entry(const struct store_entry *entry, void *data, GError **error)
{
	struct timeline *t = data;
	const struct lab_kind *kind = lab_kind_named(entry->kind);
	json_t *body;

	(void)error;
	if (kind == NULL) /* blocks of readings */
		return true;
	body = json_loads(entry->body, 0, NULL);
	t->role = strcmp(entry->id, t->id) == 0 ? "" : NULL;
	if (t->role == NULL)
		lab_record_references(kind, body, look_for, t);
	if (t->role != NULL)
		append(t, entry, body);
	json_decref(body);
	return true;
}

bool service_timeline(service_book *book, const char *id, GString *to, base_messages *messages)
{
	struct timeline t = { id, to, 0, NULL };
	GError *error = NULL;

	if (!store_log(book->store, 0, visit_entry, &t, &error)) {
		service_book_say(messages, book->where, error);
		return false;
	}
	if (t.n > 0)
		return true;
	base_messages_add(messages, BASE_ERROR, id, (struct base_mark){ 0, 0 },
			  "nothing in the book has this id or refers to it; firn book list KIND "
			  "lists what there is");
	return false;
}
