#include "app/service/book/check_book.h"

#include "app/service/book/members.h"
#include "app/service/book/status.h"

#include <math.h>
#include <string.h>

struct inspection {
	service_book *book;
	store_fault *fault;
	void *data;
	GHashTable *visits; /* ids of those that there are */
};

/* What messages say becomes faults. */
static void pass_on(const struct inspection *in, const base_messages *said)
{
	for (size_t i = 0; i < base_messages_n(said); i++)
		in->fault(base_messages_at(said, i)->file, base_messages_at(said, i)->text,
			  in->data);
}

/* ---- visits and their readings ---- */

static void check_exclusions(const struct inspection *in, const char *visit, const json_t *body)
{
	g_autofree char *label = service_book_label("visit", visit);
	int64_t n = 0;
	size_t i;
	json_t *exclusion;

	(void)store_count_readings(in->book->store, visit, &n, NULL);
	json_array_foreach(json_object_get(body, "exclusions"), i, exclusion)
	{
		if (service_book_number_of(exclusion, "first") +
			service_book_number_of(exclusion, "n") >
		    (double)n)
			in->fault(label, "sets aside readings that it doesn't have", in->data);
	}
}

static bool check_orphans(const struct inspection *in, GError **error)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);

	if (!store_visits_with_readings(in->book->store, names, error))
		return false;
	for (guint i = 0; i < names->len; i++)
		if (!g_hash_table_contains(in->visits, names->pdata[i])) {
			g_autofree char *label = service_book_label("visit", names->pdata[i]);

			in->fault(label, "there are readings of it, and no such visit", in->data);
		}
	return true;
}

/* ---- records ---- */

static bool check_record(const struct store_entry *entry, void *data, GError **error)
{
	const struct inspection *in = data;
	g_autoptr(base_messages) said = base_messages_new();
	g_autofree char *label = service_book_label(entry->kind, entry->id);
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	(void)lab_record_check(lab_kind_named(entry->kind), body, label, said);
	(void)service_book_references_hold(in->book, entry->kind, body, label, said);
	pass_on(in, said);
	if (strcmp(entry->kind, "visit") == 0) {
		g_hash_table_add(in->visits, g_strdup(entry->id));
		check_exclusions(in, entry->id, body);
	}
	json_decref(body);
	return true;
}

bool service_book_check_records(service_book *book, store_fault *fault, void *data,
				base_messages *messages)
{
	struct inspection in = { book, fault, data,
				 g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL) };
	GError *error = NULL;
	bool good = true;

	for (const struct lab_kind *kind = lab_kinds; good && kind->name != NULL; kind++)
		good = store_each(book->store, kind->name, check_record, &in, &error);
	good = good && check_orphans(&in, &error);
	g_hash_table_destroy(in.visits);
	if (!good)
		service_book_say(messages, book->where, error);
	return good;
}

/* ---- dates ---- */

bool service_book_tell_overdue(service_book *book, GString *to, base_messages *messages)
{
	json_t *status = service_book_status(book, NULL, 0, messages), *one;
	size_t i;

	json_array_foreach(json_object_get(status, "due"), i, one)
	{
		if (json_integer_value(json_object_get(one, "days")) < 0)
			g_string_append_printf(to, "%s %s: its latest certificate ended on %s\n",
					       service_book_text(one, "kind"),
					       service_book_text(one, "id"),
					       service_book_text(one, "due"));
	}
	json_decref(status);
	return status != NULL;
}
