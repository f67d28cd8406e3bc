#define _XOPEN_SOURCE 700 /* nftw */

#include "app/service/book/export.h"

#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/base/time.h"
#include "app/service/book/readings_csv.h"

#include <errno.h>
#include <ftw.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <string.h>

static const char readme[] =
    "This folder is the whole book of a temperature-calibration laboratory, as plain files.\n"
    "\n"
    "book.json              whose book it is\n"
    "log.jsonl              everything that was ever written, one JSON object a line, in order:\n"
    "                       who wrote which version of which record, when and why; \"hash\" is "
    "the\n"
    "                       SHA-256 of the line's RFC 8785 JSON with body replaced by the SHA-256\n"
    "                       of its own, without hash itself, and time as text; \"previous\" is "
    "the\n"
    "                       hash of the line before\n"
    "records/KIND/ID.json   the latest version of each record\n"
    "readings/VISIT.csv     the readings of each visit, in order, as they were read\n"
    "files/SHA256           files that were imported or issued, by the SHA-256 of their bytes\n"
    "SHA256SUMS             the SHA-256 of all of them: sha256sum -c SHA256SUMS\n"
    "\n"
    "A / in an id is written + in the name of a file. Times are UTC (RFC 3339), numbers have a\n"
    "point and as many digits as read back to the same double.\n";

struct export_run {
	service_book *book;
	const char *folder; /* where it is made */
	GString *log, *sums;
	GHashTable *files; /* SHA-256 of files that records refer to */
	base_messages *messages;
	bool good;
};

/* ---- files of the folder ---- */

static char *name_of(const char *id)
{
	return g_strdelimit(g_strdup(id), "/", '+');
}

static void put_unsummed(struct export_run *e, const char *name, const void *bytes, size_t n)
{
	g_autofree char *path = g_build_filename(e->folder, name, NULL);
	g_autofree char *parent = g_path_get_dirname(path);
	g_autoptr(GError) error = NULL;

	if (!e->good)
		return;
	if (g_mkdir_with_parents(parent, 0777) == 0 && base_file_write(path, bytes, n, &error))
		return;
	e->good = false;
	base_messages_add(e->messages, BASE_FAILURE, path, (struct base_mark){ 0, 0 }, "%s",
			  error != NULL ? error->message : g_strerror(errno));
}

static void put(struct export_run *e, const char *name, const void *bytes, size_t n)
{
	g_autofree char *hash = base_sha256(bytes, n);

	g_string_append_printf(e->sums, "%s  %s\n", hash, name);
	put_unsummed(e, name, bytes, n);
}

static void put_json(struct export_run *e, const char *name, const json_t *json)
{
	g_autofree char *text = base_canonical(json);

	put(e, name, text, strlen(text));
}

/* ---- the log ---- */

static void note_file(const char *path, const char *kinds, const char *sha256, void *data)
{
	struct export_run *e = data;

	(void)path, (void)kinds;
	g_hash_table_add(e->files, g_strdup(sha256));
}

static bool export_entry(const struct store_entry *entry, void *data, GError **error)
{
	struct export_run *e = data;
	const struct lab_kind *kind = lab_kind_named(entry->kind);
	json_t *body = json_loads(entry->body, 0, NULL), *json;
	char time[BASE_TIME_SIZE];

	(void)error;
	base_time_print(entry->time_us, time);
	json =
	    json_pack("{ss sO ss ss ss ss sI ss sI ss ss}", "action", entry->action, "body", body,
		      "hash", entry->hash, "id", entry->id, "kind", entry->kind, "previous",
		      entry->previous, "seq", (json_int_t)entry->seq, "time", time, "version",
		      (json_int_t)entry->version, "who", entry->who, "why", entry->why);
	g_autofree char *text = base_canonical(json);
	g_string_append_printf(e->log, "%s\n", text);
	if (kind != NULL)
		lab_record_files(kind, body, note_file, e);
	json_decref(json);
	json_decref(body);
	return true;
}

/* ---- the rest ---- */

static bool export_record(const struct store_entry *entry, void *data, GError **error)
{
	struct export_run *e = data;
	g_autofree char *kind = g_strdelimit(g_strdup(entry->kind), " ", '-');
	g_autofree char *id = name_of(entry->id);
	g_autofree char *name = g_strdup_printf("records/%s/%s.json", kind, id);

	(void)error;
	put(e, name, entry->body, strlen(entry->body));
	return e->good;
}

static void export_records(struct export_run *e)
{
	GError *error = NULL;

	for (const struct lab_kind *kind = lab_kinds; e->good && kind->name != NULL; kind++)
		if (!store_each(e->book->store, kind->name, export_record, e, &error)) {
			e->good = false;
			if (error != NULL)
				service_book_say(e->messages, e->book->where, error);
		}
}

static void export_readings(struct export_run *e)
{
	g_autoptr(GPtrArray) visits = g_ptr_array_new_with_free_func(g_free);
	GError *error = NULL;

	if (!store_visits_with_readings(e->book->store, visits, &error)) {
		e->good = false;
		service_book_say(e->messages, e->book->where, error);
	}
	for (guint i = 0; e->good && i < visits->len; i++) {
		const char *visit = g_ptr_array_index(visits, i);
		g_autofree char *id = name_of(visit);
		g_autofree char *name = g_strdup_printf("readings/%s.csv", id);
		g_autoptr(GString) csv = g_string_new(SERVICE_READINGS_HEADER);

		e->good = service_readings_csv(e->book, visit, visit, NULL, csv, e->messages);
		put(e, name, csv->str, csv->len);
	}
}

static int by_name(const void *a, const void *b)
{
	return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static void export_files(struct export_run *e)
{
	GHashTableIter files;
	gpointer sha256;
	g_autoptr(GPtrArray) names = g_ptr_array_new();

	g_hash_table_iter_init(&files, e->files);
	while (g_hash_table_iter_next(&files, &sha256, NULL))
		g_ptr_array_add(names, sha256);
	g_ptr_array_sort(names, by_name);
	for (guint i = 0; e->good && i < names->len; i++) {
		const char *hash = g_ptr_array_index(names, i);
		g_autofree char *name = g_strdup_printf("files/%s", hash);
		GError *error = NULL;
		g_autoptr(GBytes) bytes = store_get_file(e->book->store, hash, &error);

		if (bytes == NULL) {
			e->good = false;
			service_book_say(e->messages, e->book->where, error);
			return;
		}
		put(e, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
	}
}

static void export_identity(struct export_run *e)
{
	const struct store_identity *identity = store_identity(e->book->store);
	char created[BASE_TIME_SIZE];
	json_t *json;

	base_time_print(identity->created_us, created);
	json = json_pack("{ss ss ss sb}", "book", identity->book, "created", created, "laboratory",
			 identity->laboratory, "simulated", identity->simulated);
	put_json(e, "book.json", json);
	json_decref(json);
}

/* One moment of the book: everything within one transaction that only reads. */
static void export_all(struct export_run *e)
{
	GError *error = NULL;

	if (!store_begin(e->book->store, false, &error) ||
	    !store_log(e->book->store, 0, export_entry, e, &error)) {
		e->good = false;
		service_book_say(e->messages, e->book->where, error);
	}
	put(e, "README.txt", readme, strlen(readme));
	export_identity(e);
	put(e, "log.jsonl", e->log->str, e->log->len);
	if (e->good)
		export_records(e);
	if (e->good)
		export_readings(e);
	if (e->good)
		export_files(e);
	store_rollback(e->book->store);
	put_unsummed(e, "SHA256SUMS", e->sums->str, e->sums->len);
}

static int remove_one(const char *path, const struct stat *st, int kind, struct FTW *where)
{
	(void)st, (void)kind, (void)where;
	return remove(path);
}

/* An export that was not completed is nobody's. */
static void remove_folder(const char *path)
{
	(void)nftw(path, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

static bool begin_folder(const char *folder, char *made, base_messages *messages)
{
	if (g_file_test(folder, G_FILE_TEST_EXISTS)) {
		base_messages_add(messages, BASE_ERROR, folder, (struct base_mark){ 0, 0 },
				  "there is something of this name; name a new folder");
		return false;
	}
	if (g_mkdtemp_full(made, 0777) != NULL)
		return true;
	base_messages_add(messages, BASE_ERROR, folder, (struct base_mark){ 0, 0 },
			  "no folder can be made here (%s); name one in a folder of your own",
			  g_strerror(errno));
	return false;
}

bool service_book_export(service_book *book, const char *folder, base_messages *messages)
{
	g_autofree char *made = g_strconcat(folder, ".new-XXXXXX", NULL);
	struct export_run e = { book,
				made,
				g_string_new(NULL),
				g_string_new(NULL),
				g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
				messages,
				true };

	e.good = begin_folder(folder, made, messages);
	if (e.good) {
		export_all(&e);
		if (e.good && rename(made, folder) != 0) {
			base_messages_add(messages, BASE_FAILURE, folder,
					  (struct base_mark){ 0, 0 },
					  "the folder can't take its name: %s", g_strerror(errno));
			e.good = false;
		}
		if (!e.good)
			remove_folder(made);
	}
	g_string_free(e.log, TRUE);
	g_string_free(e.sums, TRUE);
	g_hash_table_destroy(e.files);
	return e.good;
}
