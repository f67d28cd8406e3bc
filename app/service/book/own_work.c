#include "app/service/book/own_work.h"

#include <string.h>

/* What each of the workers did: id of a person -> "measured", "reduced" (static). */
static void note(GHashTable *did, const char *person, const char *what)
{
	if (person != NULL)
		g_hash_table_insert(did, g_strdup(person), (char *)what);
}

/* Somebody who was once named can't be written out of it. */
static bool note_version(const struct store_entry *entry, void *data, GError **error)
{
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	note(data, service_book_text(body, "measured_by"), "measured");
	json_decref(body);
	return true;
}

/* Who brought readings into a visit took part in measuring. */
static bool note_visit_version(const struct store_entry *entry, void *data, GError **error)
{
	static const char *const bring_readings[] = { "import", "transcribe", "add readings",
						      NULL };
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	note(data, service_book_text(body, "person"), "measured");
	if (g_strv_contains(bring_readings, entry->action))
		note(data, entry->who, "measured");
	json_decref(body);
	return true;
}

static GHashTable *workers(service_book *book, const char *id, const json_t *calibration)
{
	GHashTable *did = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
	size_t i;
	json_t *visit;

	(void)store_history(book->store, "calibration", id, note_version, did, NULL);
	json_array_foreach(json_object_get(calibration, "visits"), i, visit)
	{
		(void)store_history(book->store, "visit", json_string_value(visit),
				    note_visit_version, did, NULL);
	}
	note(did, service_book_text(calibration, "reduced_by"), "reduced");
	return did;
}

bool service_may_do_step(service_book *book, const char *id, const json_t *calibration,
			 const char *person, enum service_step step, base_messages *messages)
{
	const char *rule = step == SERVICE_ISSUING ? "may_issue_own_work" : "may_check_own_work";
	json_t *laboratory = service_book_look(book, "laboratory", "laboratory");
	const bool allowed = json_is_true(json_object_get(laboratory, rule));
	g_autoptr(GHashTable) did = allowed ? NULL : workers(book, id, calibration);
	const char *what = allowed ? NULL : g_hash_table_lookup(did, person);

	json_decref(laboratory);
	if (!allowed && what == NULL && step == SERVICE_ISSUING &&
	    g_strcmp0(service_book_text(calibration, "checked_by"), person) == 0)
		what = "checked";
	if (what != NULL && messages != NULL) {
		g_autofree char *label = service_book_label("calibration", id);

		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "was %s by %s, and the laboratory's rule (%s) asks for somebody "
				  "else; let another authorised person do this",
				  what, person, rule);
	}
	return what == NULL;
}

bool service_is_own_work(service_book *book, const char *id, const json_t *calibration,
			 const char *signatory)
{
	const char *checker = service_book_text(calibration, "checked_by");
	g_autoptr(GHashTable) did = workers(book, id, calibration);

	return g_hash_table_contains(did, signatory) || g_strcmp0(checker, signatory) == 0 ||
	       (checker != NULL && g_hash_table_contains(did, checker));
}

json_t *service_rule_of_own_work(service_book *book)
{
	static const char *const members[] = { "may_check_own_work", "may_issue_own_work" };
	struct store_entry entry = { 0 };
	json_t *rule, *laboratory;

	if (!store_latest(book->store, "laboratory", "laboratory", &entry, NULL))
		return NULL;
	laboratory = json_loads(entry.body, 0, NULL);
	rule = json_pack("{sI}", "laboratory_version", (json_int_t)entry.version);
	for (size_t i = 0; i < G_N_ELEMENTS(members); i++)
		json_object_set(rule, members[i], json_object_get(laboratory, members[i]));
	store_entry_clear(&entry);
	json_decref(laboratory);
	return rule;
}
