#include "app/service/book/past.h"

#include "app/base/time.h"
#include "app/calc/check_standard.h"
#include "app/service/book/members.h"

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
				      .treatments = g_array_new(FALSE, FALSE,
								sizeof(struct service_treatment)) };
	g_array_set_clear_func(ret->treatments, clear_treatment);
	if (store_each(book->store, "receipt", note_receipt, &search, &error) &&
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
	g_clear_pointer(&past->treatments, g_array_unref);
	*past = (struct service_past){ NULL, NULL, 0, NULL };
}
