/* close */
#define _POSIX_C_SOURCE 200809L

#include "app/service/book/add_readings.h"

#include "app/base/file.h"
#include "app/base/time.h"
#include "app/file/readings_stream.h"

#include <math.h>
#include <unistd.h>

struct addition {
	service_book *book;
	const struct service_act *act;
	const char *visit;
	const char *label;
	int64_t time_us; /* one for all blocks */
	struct store_reading readings[STORE_BLOCK_READINGS];
	size_t n;
	base_messages *messages;
};

static bool take(const struct lab_reading *readings, size_t n, void *data)
{
	struct addition *a = data;
	GError *error = NULL;

	g_assert(n <= STORE_BLOCK_READINGS);
	for (size_t i = 0; i < n; i++) {
		const struct lab_reading *r = &readings[i];
		const bool is_ratio = isnan(r->resistance_ohm);

		a->readings[i] = (struct store_reading){
			.time_us = r->time_us,
			.current_mA = r->current_mA,
			.quantity = is_ratio ? STORE_RATIO : STORE_OHM,
			.value = is_ratio ? r->ratio : r->resistance_ohm,
			.bath_C = r->bath_C,
			.flag = r->flag,
		};
	}
	a->n += n;
	if (store_add_sealed(a->book->store, a->visit, a->readings, n, a->act->person, a->time_us,
			     &error))
		return true;
	service_book_say(a->messages, a->label, error);
	return false;
}

/* When the visit's last reading was taken; BASE_NO_TIME where that isn't known. */
static bool last_time(const struct addition *a, int64_t *ret_us)
{
	struct store_readings last = { NULL, NULL };
	GError *error = NULL;
	int64_t n;
	const bool good = store_count_readings(a->book->store, a->visit, &n, &error) &&
			  (n == 0 || store_read(a->book->store, a->visit, n - 1, 1, &last, &error));

	*ret_us = BASE_NO_TIME;
	if (!good)
		service_book_say(a->messages, a->label, error);
	else if (n > 0 && last.readings->len == 1)
		*ret_us = g_array_index(last.readings, struct store_reading, 0).time_us;
	store_readings_clear(&last);
	return good;
}

/* A version of the visit tells the log who added readings and why, and who adds too late. */
static bool write_visit(const struct addition *a)
{
	int64_t version;
	json_t *visit = service_book_get(a->book, "visit", a->visit, &version, a->messages);
	bool good = visit != NULL;

	if (good && g_strcmp0(service_book_text(visit, "state"), "open") != 0) {
		base_messages_add(a->messages, BASE_ERROR, a->label, (struct base_mark){ 0, 0 },
				  "is closed and takes no more readings; open another visit");
		good = false;
	}
	good = good && service_book_write(a->book, a->act, "add readings", "visit", a->visit, visit,
					  version, a->messages);
	json_decref(visit);
	return good;
}

static bool add_all(struct addition *a, const char *path, int fd)
{
	struct file_readings_stream stream = {
		.path = path,
		.fd = fd,
		.visit = a->visit,
		.at_once = STORE_BLOCK_READINGS,
		.take = take,
		.data = a,
		.messages = a->messages,
	};

	return write_visit(a) && last_time(a, &stream.after_us) &&
	       file_read_readings_stream(&stream);
}

static bool add_in_one(struct addition *a, const char *path, int fd)
{
	if (!service_book_begin(a->book, a->messages))
		return false;
	if (add_all(a, path, fd))
		return service_book_commit(a->book, a->messages);
	service_book_rollback(a->book);
	return false;
}

bool service_book_add_readings(service_book *book, const struct service_act *act, const char *visit,
			       const char *path, size_t *ret_n, base_messages *messages)
{
	GError *error = NULL;
	const int fd = base_file_open(path, &error);
	g_autofree char *label = service_book_label("visit", visit);
	g_autofree struct addition *a = g_new0(struct addition, 1);
	bool good;

	if (fd < 0) {
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		g_error_free(error);
		return false;
	}
	a->book = book;
	a->act = act;
	a->visit = visit;
	a->label = label;
	a->time_us = service_book_time(book, act);
	a->messages = messages;
	good = add_in_one(a, path, fd);
	close(fd);
	*ret_n = a->n;
	return good;
}
