#include "app/service/book/past.h"

#include "app/base/time.h"
#include "app/calc/check_standard.h"
#include "app/service/book/members.h"

#include <math.h>
#include <string.h>

struct search {
	const char *thermometer;
	int64_t before_us;
	struct service_past *past;
};

static bool is_of_it(const struct search *search, const json_t *body)
{
	return g_strcmp0(service_book_text(body, "thermometer"), search->thermometer) == 0;
}

static bool note_receipt(const struct store_entry *entry, void *data, GError **error)
{
	const struct search *search = data;
	struct service_past *past = search->past;
	json_t *body = json_loads(entry->body, 0, NULL);
	const int64_t time_us = service_book_time_of(body, "time");

	(void)error;
	if (is_of_it(search, body) && time_us <= search->before_us &&
	    (past->receipt == NULL || time_us > past->received_us)) {
		json_decref(past->receipt);
		g_free(past->receipt_id);
		past->receipt = json_incref(body);
		past->receipt_id = g_strdup(entry->id);
		past->received_us = time_us;
	}
	json_decref(body);
	return true;
}

static bool note_treatment(const struct store_entry *entry, void *data, GError **error)
{
	const struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const struct service_treatment t = {
		service_book_time_of(body, "begun"),
		1e3 * calc_tpw_change_K(service_book_number_of(body, "r_tpw_before_ohm"),
					service_book_number_of(body, "r_tpw_after_ohm")),
		body,
	};

	(void)error;
	if (is_of_it(search, body) && service_book_time_of(body, "ended") <= search->before_us &&
	    t.begun_us >= search->past->received_us) {
		json_incref(body);
		g_array_append_val(search->past->treatments, t);
	}
	json_decref(body);
	return true;
}

/* ---- the last certificate ---- */

/* R(TPW) that a certificate states: the last of its sequence. */
static double certified_ohm(service_book *book, const json_t *certificate)
{
	const char *sha256 = service_book_text(certificate, "result");
	g_autoptr(GBytes) bytes = sha256 != NULL ? store_get_file(book->store, sha256, NULL) : NULL;
	gsize n = 0;
	const char *text = bytes != NULL ? g_bytes_get_data(bytes, &n) : NULL;
	json_t *result = text != NULL ? json_loadb(text, n, 0, NULL) : NULL;
	const json_t *sequence = json_object_get(json_object_get(result, "r_tpw"), "sequence");
	const size_t len = json_array_size(sequence);
	const double ohm =
	    len > 0 ? service_book_number_of(
			  json_object_get(json_array_get(sequence, len - 1), "ohm"), "value")
		    : (double)NAN;

	json_decref(result);
	return ohm;
}

struct latest {
	service_book *book;
	const char *thermometer, *before; /* a day */
	char *date, *number;
	double ohm;
};

static bool note_certificate(const struct store_entry *entry, void *data, GError **error)
{
	struct latest *l = data;
	json_t *body = json_loads(entry->body, 0, NULL), *calibration = NULL;
	const char *date = service_book_text(body, "date");

	(void)error;
	if (g_strcmp0(service_book_text(body, "state"), "issued") == 0 &&
	    strcmp(date, l->before) <= 0 && (l->date == NULL || strcmp(date, l->date) > 0))
		calibration = service_book_look(l->book, "calibration",
						service_book_text(body, "calibration"));
	if (g_strcmp0(service_book_text(calibration, "thermometer"), l->thermometer) == 0) {
		g_free(l->date);
		g_free(l->number);
		l->date = g_strdup(date);
		l->number = g_strdup(entry->id);
		l->ohm = certified_ohm(l->book, body);
	}
	json_decref(calibration);
	json_decref(body);
	return true;
}

static bool look_back(service_book *book, const char *thermometer, struct service_past *past,
		      GError **error)
{
	char day[BASE_TIME_SIZE];
	struct latest latest = { book, thermometer, day, NULL, NULL, NAN };
	bool good;

	past->last_ohm = service_book_number_of(past->receipt, "last_r_tpw_ohm");
	if (past->receipt == NULL || !isnan(past->last_ohm))
		return true;
	base_time_print(past->received_us, day);
	day[10] = '\0';
	good = store_each(book->store, "certificate", note_certificate, &latest, error);
	past->last_ohm = latest.ohm;
	past->last_certificate = latest.number;
	g_free(latest.date);
	return good;
}

static int by_time(const void *a, const void *b)
{
	const struct service_treatment *x = a, *y = b;

	return (x->begun_us > y->begun_us) - (x->begun_us < y->begun_us);
}

static void clear_treatment(void *data)
{
	json_decref(((struct service_treatment *)data)->body);
}

bool service_past_of(service_book *book, const char *thermometer, int64_t before_us,
		     struct service_past *ret, base_messages *messages)
{
	struct search search = { thermometer, before_us, ret };
	GError *error = NULL;

	*ret = (struct service_past){ .received_us = BASE_NO_TIME,
				      .last_ohm = NAN,
				      .treatments = g_array_new(FALSE, FALSE,
								sizeof(struct service_treatment)) };
	g_array_set_clear_func(ret->treatments, clear_treatment);
	if (store_each(book->store, "receipt", note_receipt, &search, &error) &&
	    look_back(book, thermometer, ret, &error) &&
	    store_each(book->store, "heat treatment", note_treatment, &search, &error)) {
		g_array_sort(ret->treatments, by_time);
		return true;
	}
	service_book_say(messages, book->where, error);
	return false;
}

void service_past_clear(struct service_past *past)
{
	json_decref(past->receipt);
	g_free(past->receipt_id);
	g_free(past->last_certificate);
	g_clear_pointer(&past->treatments, g_array_unref);
	*past = (struct service_past){ .last_ohm = NAN };
}
