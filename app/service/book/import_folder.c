/* An exported folder becomes a book again: what was written is written again, in the same order. */
#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/base/time.h"
#include "app/file/csv.h"
#include "app/service/book/export.h"
#include "firn/number.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_BYTES ((size_t)4 << 30)

struct import {
	const char *folder;
	service_book *book;
	base_messages *messages;
	GHashTable *visits; /* id -> struct visit */
	int line;           /* of the log */
};

/* Readings of a visit that a block has not taken yet. */
struct visit {
	GArray *readings; /* struct store_reading */
	GStringChunk *flags;
	guint taken;
};

static void free_visit(gpointer data)
{
	struct visit *visit = data;

	g_array_unref(visit->readings);
	g_string_chunk_free(visit->flags);
	g_free(visit);
}

static bool wrong(const struct import *in, const char *file, int line, const char *format, ...)
    G_GNUC_PRINTF(4, 5);
static bool wrong(const struct import *in, const char *file, int line, const char *format, ...)
{
	g_autofree char *path = g_build_filename(in->folder, file, NULL), *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(in->messages, BASE_ERROR, path, (struct base_mark){ line, 0 }, "%s",
			  text);
	return false;
}

static GBytes *read_file(const struct import *in, const char *name)
{
	g_autofree char *path = g_build_filename(in->folder, name, NULL);
	g_autoptr(GError) error = NULL;
	GBytes *bytes = base_file_read(path, MOST_BYTES, "a part of an exported book", &error);

	if (bytes == NULL)
		wrong(in, name, 0, "%s", error->message);
	return bytes;
}

/* ---- readings ---- */

static bool number_of(const struct file_csv_field *field, double *ret)
{
	*ret = NAN;
	return field->length == 0 || firn_number_parse(field->text, field->length, ret) == FIRN_OK;
}

static bool reading_of(const struct file_csv *csv, struct visit *visit)
{
	const struct file_csv_field *f = csv->fields;
	struct store_reading r = { .time_us = BASE_NO_TIME };
	double ratio, ohm;

	if (csv->n != 7 ||
	    (f[0].length > 0 && base_time_parse(f[0].text, f[0].length, &r.time_us) != NULL) ||
	    !number_of(&f[2], &r.current_mA) || !number_of(&f[3], &ratio) ||
	    !number_of(&f[4], &ohm) || !number_of(&f[5], &r.bath_C))
		return false;
	r.quantity = isnan(ohm) ? STORE_RATIO : STORE_OHM;
	r.value = isnan(ohm) ? ratio : ohm;
	if (f[6].length > 0)
		r.flag = g_string_chunk_insert_len(visit->flags, f[6].text, (gssize)f[6].length);
	g_array_append_val(visit->readings, r);
	return true;
}

static bool read_readings(const struct import *in, const char *name, struct visit *visit)
{
	g_autoptr(GBytes) bytes = read_file(in, name);
	enum file_csv_status status;
	const char *fault;
	struct file_csv csv;
	bool good = bytes != NULL;

	if (!good)
		return false;
	file_csv_open(&csv, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
	file_csv_skip_line(&csv, 't'); /* the header */
	while (good && (status = file_csv_next(&csv, &fault)) != FILE_CSV_END) {
		good = status == FILE_CSV_RECORD && reading_of(&csv, visit);
		if (!good)
			wrong(in, name, csv.record_line,
			      "this is no reading as the export wrote it; restore the file");
	}
	file_csv_close(&csv);
	return good;
}

static struct visit *visit_of(struct import *in, const char *id)
{
	struct visit *visit = g_hash_table_lookup(in->visits, id);
	g_autofree char *part = g_strdelimit(g_strdup(id), "/", '+');
	g_autofree char *name = g_strdup_printf("readings/%s.csv", part);

	if (visit != NULL)
		return visit;
	visit = g_new0(struct visit, 1);
	visit->readings = g_array_new(FALSE, TRUE, sizeof(struct store_reading));
	visit->flags = g_string_chunk_new(256);
	g_hash_table_insert(in->visits, g_strdup(id), visit);
	return read_readings(in, name, visit) ? visit : NULL;
}

/* ---- entries ---- */

static bool put_block(struct import *in, const struct store_entry *entry, const json_t *body,
		      GError **error)
{
	const char *id = service_book_text(body, "visit");
	const guint n = (guint)json_number_value(json_object_get(body, "n"));
	struct visit *visit = id != NULL ? visit_of(in, id) : NULL;

	if (visit == NULL)
		return false;
	if (n < 1 || visit->taken + n > visit->readings->len)
		return wrong(in, "log.jsonl", in->line,
			     "the readings of visit %s are fewer than were sealed", id);
	visit->taken += n;
	return store_add_sealed(
	    in->book->store, id,
	    &g_array_index(visit->readings, struct store_reading, visit->taken - n), n, entry->who,
	    entry->time_us, error);
}

static bool entry_of(const json_t *json, struct store_entry *ret)
{
	const char *time = service_book_text(json, "time");

	*ret = (struct store_entry){
		.who = (char *)service_book_text(json, "who"),
		.action = (char *)service_book_text(json, "action"),
		.why = (char *)service_book_text(json, "why"),
		.kind = (char *)service_book_text(json, "kind"),
		.id = (char *)service_book_text(json, "id"),
		.version = (int64_t)json_number_value(json_object_get(json, "version")),
	};
	return time != NULL && base_time_parse(time, strlen(time), &ret->time_us) == NULL &&
	       ret->who != NULL && ret->action != NULL && ret->why != NULL && ret->kind != NULL &&
	       ret->id != NULL && json_is_object(json_object_get(json, "body"));
}

/* The book computes the hash anew; it must be the one that the folder tells. */
static bool is_as_it_was(struct import *in, const json_t *json, const char *kind, const char *id)
{
	struct store_entry written = { 0 };
	GError *error = NULL;
	bool same;

	if (!store_latest(in->book->store, kind, id, &written, &error)) {
		service_book_say(in->messages, in->folder, error);
		return false;
	}
	same = g_strcmp0(service_book_text(json, "hash"), written.hash) == 0;
	store_entry_clear(&written);
	return same || wrong(in, "log.jsonl", in->line,
			     "%s %s is not what was exported: its hash differs; restore the folder",
			     kind, id);
}

static bool put_entry(struct import *in, const json_t *json)
{
	const json_t *body = json_object_get(json, "body");
	struct store_entry entry;
	GError *error = NULL;
	bool good;

	if (!entry_of(json, &entry))
		return wrong(in, "log.jsonl", in->line,
			     "this is no entry as the export wrote it; restore the file");
	if (strcmp(entry.kind, "block") == 0) {
		good = put_block(in, &entry, body, &error);
	} else {
		g_autofree char *text = base_canonical(body);

		entry.body = text;
		good = store_append(in->book->store, &entry, entry.version - 1, &error);
	}
	if (error != NULL)
		service_book_say(in->messages, in->folder, error);
	return good && is_as_it_was(in, json, service_book_text(json, "kind"),
				    service_book_text(json, "id"));
}

static bool put_log(struct import *in)
{
	g_autoptr(GBytes) bytes = read_file(in, "log.jsonl");
	const char *at = bytes != NULL ? g_bytes_get_data(bytes, NULL) : NULL;
	const char *end = at + (bytes != NULL ? g_bytes_get_size(bytes) : 0);
	bool good = at != NULL;

	for (in->line = 1; good && at < end; in->line++) {
		const char *feed = memchr(at, '\n', (size_t)(end - at));
		const size_t n = feed != NULL ? (size_t)(feed - at) : (size_t)(end - at);
		json_t *json = json_loadb(at, n, JSON_REJECT_DUPLICATES, NULL);

		good = json != NULL ? put_entry(in, json)
				    : wrong(in, "log.jsonl", in->line,
					    "this line is no JSON; restore the file");
		json_decref(json);
		at += n + 1;
	}
	return good;
}

/* ---- files, and readings that were not sealed yet ---- */

static bool put_file(struct import *in, const char *name)
{
	g_autofree char *path = g_build_filename("files", name, NULL);
	g_autoptr(GBytes) bytes = read_file(in, path);
	char sha256[STORE_HASH_SIZE];
	GError *error = NULL;

	if (bytes == NULL)
		return false;
	if (!store_put_file(in->book->store, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes),
			    sha256, &error)) {
		service_book_say(in->messages, in->folder, error);
		return false;
	}
	return strcmp(sha256, name) == 0 ||
	       wrong(in, path, 0, "its bytes are not what was exported; restore the file");
}

static bool put_files(struct import *in)
{
	g_autofree char *path = g_build_filename(in->folder, "files", NULL);
	g_autoptr(GDir) folder = g_dir_open(path, 0, NULL);
	const char *name;

	while (folder != NULL && (name = g_dir_read_name(folder)) != NULL)
		if (!put_file(in, name))
			return false;
	return true;
}

static bool put_open_readings(struct import *in, const char *file)
{
	g_autofree char *id = g_strndup(file, strlen(file) - strlen(".csv"));
	struct visit *visit;
	GError *error = NULL;

	g_strdelimit(id, "+", '/');
	visit = visit_of(in, id);
	if (visit == NULL)
		return false;
	if (visit->taken == visit->readings->len ||
	    store_add_readings(in->book->store, id,
			       &g_array_index(visit->readings, struct store_reading, visit->taken),
			       visit->readings->len - visit->taken, NULL, &error))
		return true;
	service_book_say(in->messages, in->folder, error);
	return false;
}

static bool put_all_open_readings(struct import *in)
{
	g_autofree char *path = g_build_filename(in->folder, "readings", NULL);
	g_autoptr(GDir) folder = g_dir_open(path, 0, NULL);
	const char *name;

	while (folder != NULL && (name = g_dir_read_name(folder)) != NULL)
		if (g_str_has_suffix(name, ".csv") && !put_open_readings(in, name))
			return false;
	return true;
}

/* ---- the book ---- */

static bool fill(service_book *book, void *data, base_messages *messages)
{
	struct import *in = data;

	(void)messages;
	in->book = book;
	return put_files(in) && put_log(in) && put_all_open_readings(in);
}

/* The new book is the old one by name; the transaction that makes it takes all of the folder. */
static bool create(struct import *in, const char *where)
{
	g_autoptr(GBytes) bytes = read_file(in, "book.json");
	json_t *json = bytes != NULL ? json_loadb(g_bytes_get_data(bytes, NULL),
						  g_bytes_get_size(bytes), 0, NULL)
				     : NULL;
	const char *created = service_book_text(json, "created");
	struct store_identity identity = {
		.book = (char *)service_book_text(json, "book"),
		.laboratory = (char *)service_book_text(json, "laboratory"),
		.simulated = json_is_true(json_object_get(json, "simulated")),
	};
	bool good = identity.book != NULL && identity.laboratory != NULL && created != NULL &&
		    base_time_parse(created, strlen(created), &identity.created_us) == NULL;

	if (!good && bytes != NULL)
		wrong(in, "book.json", 0,
		      "this is no exported book; name the folder that `firn "
		      "book export` made");
	good = good && service_book_make(where, &identity, fill, in, in->messages);
	json_decref(json);
	return good;
}

bool service_book_import_folder(const char *folder, const char *where, base_messages *messages)
{
	struct import in = { .folder = folder, .messages = messages };
	bool good;

	if (!store_is_remote(where) && g_file_test(where, G_FILE_TEST_EXISTS)) {
		base_messages_add(messages, BASE_ERROR, where, (struct base_mark){ 0, 0 },
				  "there is a file of this name; name another for the new book");
		return false;
	}
	in.visits = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_visit);
	good = create(&in, where);
	g_hash_table_destroy(in.visits);
	return good;
}
