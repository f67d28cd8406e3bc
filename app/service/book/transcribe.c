#include "app/service/book/transcribe.h"

#include "app/base/file.h"
#include "app/base/time.h"
#include "app/file/old_readings.h"

#include <math.h>
#include <string.h>

static bool same(double a, double b)
{
	return a == b || (isnan(a) && isnan(b));
}

static bool is_same_reading(const struct lab_reading *a, const struct lab_reading *b)
{
	return a->time_us == b->time_us && same(a->current_mA, b->current_mA) &&
	       same(a->ratio, b->ratio) && same(a->resistance_ohm, b->resistance_ohm) &&
	       same(a->bath_C, b->bath_C) && g_strcmp0(a->flag, b->flag) == 0;
}

/* Every place where two people typed differently. */
static bool entries_agree(const struct service_transcription *t,
			  const struct file_old_readings *first,
			  const struct file_old_readings *second, base_messages *messages)
{
	const guint n = MIN(first->readings->len, second->readings->len);
	bool agree = first->readings->len == second->readings->len;

	if (!agree)
		base_messages_add(messages, BASE_ERROR, t->again, (struct base_mark){ 0, 0 },
				  "has %u readings and %s has %u; both must be all of them",
				  second->readings->len, t->file, first->readings->len);
	for (guint i = 0; i < n; i++) {
		const struct lab_reading *a = LAB_AT(first->readings, lab_reading, i);
		const struct lab_reading *b = LAB_AT(second->readings, lab_reading, i);

		if (is_same_reading(a, b))
			continue;
		agree = false;
		base_messages_add(
		    messages, BASE_ERROR, t->again, (struct base_mark){ b->line, 0 },
		    "is not what line %d of %s says; look at the original and correct "
		    "the one that is wrong",
		    a->line, t->file);
	}
	return agree;
}

static bool read_all(const struct service_transcription *t, struct file_old_readings *ret,
		     base_messages *messages)
{
	struct file_old_readings second = { NULL, NULL };
	bool good = file_read_old_readings(t->file, t->map, ret, messages);

	if (t->again != NULL)
		good = file_read_old_readings(t->again, t->map, &second, messages) && good &&
		       entries_agree(t, ret, &second, messages);
	file_old_readings_clear(&second);
	return good;
}

static struct store_reading *as_stored(const struct file_old_readings *from)
{
	struct store_reading *to = g_new0(struct store_reading, from->readings->len + 1);

	for (guint i = 0; i < from->readings->len; i++) {
		const struct lab_reading *r = LAB_AT(from->readings, lab_reading, i);

		to[i].time_us = r->time_us;
		to[i].current_mA = r->current_mA;
		to[i].quantity = isnan(r->resistance_ohm) ? STORE_RATIO : STORE_OHM;
		to[i].value = isnan(r->resistance_ohm) ? r->ratio : r->resistance_ohm;
		to[i].bath_C = r->bath_C;
		to[i].flag = r->flag;
	}
	return to;
}

static bool wrong(const struct service_transcription *t, const char *what, base_messages *messages)
{
	g_autofree char *label = service_book_label("visit", t->visit);

	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", what);
	return false;
}

/* A second entry is worth something when another person made it from the original. */
static bool is_another_entry(service_book *book, const struct service_act *act,
			     const struct service_transcription *t, base_messages *messages)
{
	const struct service_act other = { t->again_by, act->time_us, NULL };

	if ((t->again == NULL) != (t->again_by == NULL))
		return wrong(t,
			     "has a second entry with the file and the person who made it, or "
			     "none; give both (--again, --again-by)",
			     messages);
	if (t->again == NULL)
		return true;
	if (strcmp(t->again_by, act->person) == 0)
		return wrong(t, "must be entered the second time by somebody else", messages);
	if (strcmp(t->again, t->file) == 0)
		return wrong(t, "has the same file twice; the second entry is a file of its own",
			     messages);
	return service_book_may(book, &other, "operate", messages);
}

static bool takes_readings(const json_t *visit, const struct service_transcription *t,
			   base_messages *messages)
{
	static const char *const from_elsewhere[] = { "transcribed", "imported", NULL };
	const char *provenance = service_book_text(visit, "provenance");

	if (g_strcmp0(service_book_text(visit, "state"), "open") != 0)
		return wrong(t, "is closed and takes no more readings; open another visit",
			     messages);
	return (provenance != NULL && g_strv_contains(from_elsewhere, provenance)) ||
	       wrong(t,
		     "is not of readings from elsewhere; register it with the provenance "
		     "transcribed (or imported)",
		     messages);
}

/* The bytes of a file; their SHA-256 into the visit. */
static bool keep(service_book *book, const char *path, json_t *visit, const char *name,
		 base_messages *messages)
{
	g_autoptr(GError) fault = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, (size_t)1 << 30, "readings", &fault);
	char sha256[STORE_HASH_SIZE];
	GError *error = NULL;

	if (bytes == NULL) {
		base_messages_add(messages, base_file_error_kind(fault), path,
				  (struct base_mark){ 0, 0 }, "%s", fault->message);
		return false;
	}
	if (!store_put_file(book->store, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes),
			    sha256, &error)) {
		service_book_say(messages, path, error);
		return false;
	}
	json_object_set_new(visit, name, json_string(sha256));
	return true;
}

static bool keep_sources(service_book *book, const struct service_transcription *t, json_t *visit,
			 base_messages *messages)
{
	if (!keep(book, t->file, visit, "source", messages))
		return false;
	if (t->again == NULL)
		return true;
	json_object_set_new(visit, "second_by", json_string(t->again_by));
	return keep(book, t->again, visit, "second_source", messages);
}

static bool write_all(service_book *book, const struct service_act *act,
		      const struct service_transcription *t, const struct file_old_readings *from,
		      base_messages *messages)
{
	int64_t version;
	json_t *visit = service_book_get(book, "visit", t->visit, &version, messages);
	g_autofree struct store_reading *readings = as_stored(from);
	g_autofree char *label = service_book_label("visit", t->visit);
	GError *error = NULL;
	bool good = visit != NULL && takes_readings(visit, t, messages) &&
		    keep_sources(book, t, visit, messages);

	if (good && !store_add_sealed(book->store, t->visit, readings, from->readings->len,
				      act->person, service_book_time(book, act), &error)) {
		service_book_say(messages, label, error);
		good = false;
	}
	if (good) {
		json_object_set_new(visit, "state", json_string("closed"));
		good = service_book_write(book, act, "transcribe", "visit", t->visit, visit,
					  version, messages);
	}
	json_decref(visit);
	return good;
}

bool service_book_transcribe(service_book *book, const struct service_act *act,
			     const struct service_transcription *t, size_t *ret_n,
			     base_messages *messages)
{
	struct file_old_readings readings = { NULL, NULL };
	bool good = is_another_entry(book, act, t, messages) && read_all(t, &readings, messages) &&
		    service_book_begin(book, messages);

	if (good) {
		*ret_n = readings.readings->len;
		good = write_all(book, act, t, &readings, messages);
		if (good)
			good = service_book_commit(book, messages);
		else
			service_book_rollback(book);
	}
	file_old_readings_clear(&readings);
	return good;
}
