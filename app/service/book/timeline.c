#include "app/service/book/timeline.h"

#include <string.h>

struct timeline {
	const char *id;
	service_timeline_visit *visit;
	void *data;
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
	if (t->role != NULL) {
		t->visit(entry, body, t->data);
		t->n++;
	}
	json_decref(body);
	return true;
}

bool service_timeline(service_book *book, const char *id, service_timeline_visit *visit, void *data,
		      base_messages *messages)
{
	struct timeline t = { id, visit, data, 0, NULL };
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
