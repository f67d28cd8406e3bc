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

static bool write_all(service_book *book, const struct service_act *act,
		      const struct service_transcription *t, const struct file_old_readings *from,
		      GBytes *source, base_messages *messages)
{
	int64_t version;
	json_t *visit = service_book_get(book, "visit", t->visit, &version, messages);
	g_autofree struct store_reading *readings = as_stored(from);
	g_autofree char *label = service_book_label("visit", t->visit);
	char sha256[STORE_HASH_SIZE];
	GError *error = NULL;
	bool good = visit != NULL;

	if (good && g_strcmp0(service_book_text(visit, "state"), "open") != 0) {
		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "is closed and takes no more readings; open another visit");
		good = false;
	}
	if (good && (!store_put_file(book->store, g_bytes_get_data(source, NULL),
				     g_bytes_get_size(source), sha256, &error) ||
		     !store_add_sealed(book->store, t->visit, readings, from->readings->len,
				       act->person, service_book_time(book, act), &error))) {
		service_book_say(messages, label, error);
		good = false;
	}
	if (good) {
		json_object_set_new(visit, "source", json_string(sha256));
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
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) source = base_file_read(t->file, (size_t)1 << 30, "readings", &error);
	bool good = read_all(t, &readings, messages) && source != NULL &&
		    service_book_begin(book, messages);

	if (good) {
		*ret_n = readings.readings->len;
		good = write_all(book, act, t, &readings, source, messages);
		if (good)
			good = service_book_commit(book, messages);
		else
			service_book_rollback(book);
	}
	file_old_readings_clear(&readings);
	return good;
}
