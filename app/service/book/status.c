#include "app/service/book/status.h"

#include "app/base/time.h"
#include "app/service/book/own_work.h"

#include <stdlib.h>
#include <string.h>

#define DAY_US (INT64_C(86400) * 1000000)

struct record {
	char *id, *who; /* who wrote it last */
	int64_t time_us;
	json_t *body;
};

struct status {
	service_book *book;
	int64_t day_us; /* noon of the day */
	char day[BASE_TIME_SIZE];
	int days;
	GHashTable *all; /* kind -> GPtrArray of struct record */
	base_messages *messages;
};

/* ---- reading ---- */

static const char *const kinds[] = { "laboratory",  "person",       "realisation",
				     "inspection",  "cell",         "visit",
				     "calibration", "resistor",     "bridge",
				     "instrument",  "thermometer",  "equipment certificate",
				     "order",       "nonconformity" };

static void free_record(void *data)
{
	struct record *r = data;

	g_free(r->id);
	g_free(r->who);
	json_decref(r->body);
	g_free(r);
}

static bool note(const struct store_entry *entry, void *data, GError **error)
{
	struct record *r = g_new(struct record, 1);

	(void)error;
	*r = (struct record){ g_strdup(entry->id), g_strdup(entry->who), entry->time_us,
			      json_loads(entry->body, 0, NULL) };
	g_ptr_array_add(data, r);
	return true;
}

static bool read_all(struct status *s)
{
	for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++) {
		GPtrArray *list = g_ptr_array_new_with_free_func(free_record);
		GError *error = NULL;

		g_hash_table_insert(s->all, (char *)kinds[i], list);
		if (!store_each(s->book->store, kinds[i], note, list, &error)) {
			service_book_say(s->messages, s->book->where, error);
			return false;
		}
	}
	return true;
}

static const GPtrArray *of_kind(const struct status *s, const char *kind)
{
	return g_hash_table_lookup(s->all, kind);
}

static const json_t *body_of(const struct status *s, const char *kind, const char *id)
{
	const GPtrArray *list = of_kind(s, kind);

	for (guint i = 0; id != NULL && i < list->len; i++) {
		const struct record *r = list->pdata[i];

		if (strcmp(r->id, id) == 0)
			return r->body;
	}
	return NULL;
}

static bool has_state(const struct record *r, const char *state)
{
	return g_strcmp0(service_book_text(r->body, "state"), state) == 0;
}

/* ---- days ---- */

static bool time_of(const char *text, int64_t *ret_us)
{
	return text != NULL && base_time_parse(text, strlen(text), ret_us) == NULL;
}

static int64_t noon_of(const char *day)
{
	g_autofree char *noon = g_strdup_printf("%.10sT12:00:00Z", day);
	int64_t us = 0;

	(void)time_of(noon, &us);
	return us;
}

/* Whole days from the day that is looked at to another one; null where there is none. */
static json_t *days_until(const struct status *s, const char *day)
{
	return day != NULL ? json_integer((noon_of(day) - s->day_us) / DAY_US) : json_null();
}

static void choose_day(struct status *s, const char *day)
{
	int64_t latest = 0;

	if (day == NULL && store_identity(s->book->store)->simulated) {
		for (size_t k = 0; k < G_N_ELEMENTS(kinds); k++)
			for (guint i = 0; i < of_kind(s, kinds[k])->len; i++) {
				const struct record *r = of_kind(s, kinds[k])->pdata[i];

				latest = MAX(latest, r->time_us);
			}
	}
	base_time_print(latest != 0 ? latest : g_get_real_time(), s->day);
	if (day != NULL)
		g_strlcpy(s->day, day, sizeof s->day);
	s->day[10] = '\0';
	s->day_us = noon_of(s->day);
}

static json_t *text_or_null(const char *text)
{
	return text != NULL ? json_string(text) : json_null();
}

/* ---- what is alive ---- */

static const struct record *last_look(const struct status *s, const char *realisation)
{
	const GPtrArray *list = of_kind(s, "inspection");
	const struct record *last = NULL;
	int64_t last_us = INT64_MIN, us;

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];

		if (g_strcmp0(service_book_text(r->body, "realisation"), realisation) == 0 &&
		    time_of(service_book_text(r->body, "time"), &us) && us > last_us) {
			last = r;
			last_us = us;
		}
	}
	return last;
}

static json_t *alive(const struct status *s)
{
	const GPtrArray *list = of_kind(s, "realisation");
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];
		const char *cell = service_book_text(r->body, "cell");
		const json_t *job = json_object_get(body_of(s, "cell", cell), "job");
		const struct record *look = last_look(s, r->id);
		int64_t begun_us;

		if (has_state(r, "ended") ||
		    !time_of(service_book_text(r->body, "begun"), &begun_us) ||
		    begun_us > s->day_us + DAY_US / 2)
			continue;
		json_array_append_new(
		    found,
		    json_pack(
			"{ss ss so ss ss ss sf so so}", "realisation", r->id, "cell", cell, "point",
			text_or_null(service_book_text(job, "point")), "method",
			service_book_text(r->body, "method"), "state",
			service_book_text(r->body, "state"), "begun",
			service_book_text(r->body, "begun"), "age_days",
			(double)(s->day_us - begun_us) / (double)DAY_US, "looked",
			text_or_null(look != NULL ? service_book_text(look->body, "time") : NULL),
			"found",
			text_or_null(look != NULL ? service_book_text(look->body, "found")
						  : NULL)));
	}
	return found;
}

static json_t *open_visits(const struct status *s)
{
	const GPtrArray *list = of_kind(s, "visit");
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];
		int64_t n = 0;

		if (!has_state(r, "open"))
			continue;
		(void)store_count_readings(s->book->store, r->id, &n, NULL);
		json_array_append_new(
		    found, json_pack("{ss ss so sI}", "visit", r->id, "thermometer",
				     service_book_text(r->body, "thermometer"), "cell",
				     text_or_null(service_book_text(json_object_get(r->body, "job"),
								    "cell")),
				     "readings", (json_int_t)n));
	}
	return found;
}

/* ---- what waits for whom ---- */

static const struct {
	const char *state, *next, *right;
} steps[] = {
	{ "checked", "issue", "issue" }, /* what is nearest to the customer first */
	{ "reduced", "agree", "check" },
	{ "measuring", "reduce", "operate" },
	{ "planned", "measure", "operate" },
};

static json_t *who_may(const struct status *s, const struct record *calibration, size_t step)
{
	const GPtrArray *list = of_kind(s, "person");
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *p = list->pdata[i];

		if (service_person_may(p->body, steps[step].right, s->day) &&
		    (step > 1 ||
		     service_may_do_step(s->book, calibration->id, calibration->body, p->id,
					 step == 0 ? SERVICE_ISSUING : SERVICE_CHECKING, NULL)))
			json_array_append_new(found, json_string(p->id));
	}
	return found;
}

/* All that the calibration stands on. */
static GHashTable *things_of(const struct status *s, const struct record *calibration)
{
	static const char *const members[] = { "cell", "resistor", "bridge" };
	GHashTable *things = g_hash_table_new(g_str_hash, g_str_equal);
	size_t i;
	json_t *id;

	g_hash_table_add(things, calibration->id);
	g_hash_table_add(things, (char *)service_book_text(calibration->body, "thermometer"));
	json_array_foreach(json_object_get(calibration->body, "visits"), i, id)
	{
		const json_t *visit = body_of(s, "visit", json_string_value(id));
		const json_t *job = json_object_get(visit, "job");
		const char *realisation = service_book_text(visit, "realisation");

		g_hash_table_add(things, (char *)json_string_value(id));
		if (realisation != NULL)
			g_hash_table_add(things, (char *)realisation);
		for (size_t m = 0; m < G_N_ELEMENTS(members); m++)
			if (service_book_text(job, members[m]) != NULL)
				g_hash_table_add(things,
						 (char *)service_book_text(job, members[m]));
	}
	return things;
}

static bool touches(const json_t *about, GHashTable *things)
{
	size_t i;
	json_t *item;

	json_array_foreach(about, i, item)
	{
		if (g_hash_table_contains(things, json_string_value(item)))
			return true;
	}
	return false;
}

static json_t *held_by(const struct status *s, const struct record *calibration)
{
	const GPtrArray *list = of_kind(s, "nonconformity");
	g_autoptr(GHashTable) things = things_of(s, calibration);
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];

		if (has_state(r, "open") && touches(json_object_get(r->body, "about"), things))
			json_array_append_new(found, json_string(r->id));
	}
	return found;
}

static json_t *waiting(const struct status *s)
{
	const GPtrArray *list = of_kind(s, "calibration");
	json_t *found = json_array();

	for (size_t step = 0; step < G_N_ELEMENTS(steps); step++)
		for (guint i = 0; i < list->len; i++) {
			const struct record *r = list->pdata[i];
			char time[BASE_TIME_SIZE];

			if (!has_state(r, steps[step].state))
				continue;
			base_time_print(r->time_us, time);
			json_array_append_new(
			    found,
			    json_pack("{ss ss so ss ss ss ss so so}", "calibration", r->id,
				      "thermometer", service_book_text(r->body, "thermometer"),
				      "order", text_or_null(service_book_text(r->body, "order")),
				      "state", steps[step].state, "since", time, "by", r->who,
				      "next", steps[step].next, "persons", who_may(s, r, step),
				      "held_by", held_by(s, r)));
		}
	return found;
}

/* ---- what is due ---- */

static int by_days(const void *a, const void *b)
{
	const json_t *x = json_object_get(*(json_t *const *)a, "days"),
		     *y = json_object_get(*(json_t *const *)b, "days");
	const json_int_t m = json_is_null(x) ? INT32_MIN : json_integer_value(x);
	const json_int_t n = json_is_null(y) ? INT32_MIN : json_integer_value(y);

	return (m > n) - (m < n);
}

/* By days to go; what has none stands first. Takes the list over. */
static json_t *in_order_of_days(json_t *list)
{
	const size_t n = json_array_size(list);
	g_autofree json_t **items = g_new(json_t *, n + 1);
	json_t *sorted = json_array();

	for (size_t i = 0; i < n; i++)
		items[i] = json_array_get(list, i);
	qsort(items, n, sizeof *items, by_days);
	for (size_t i = 0; i < n; i++)
		json_array_append(sorted, items[i]);
	json_decref(list);
	return sorted;
}

static const char *latest_due(const struct status *s, const char *equipment)
{
	const GPtrArray *list = of_kind(s, "equipment certificate");
	const char *latest = NULL;

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];
		const char *due = service_book_text(r->body, "due");

		if (g_strcmp0(service_book_text(r->body, "equipment"), equipment) == 0 &&
		    (latest == NULL || g_strcmp0(due, latest) > 0))
			latest = due;
	}
	return latest;
}

static json_t *due(const struct status *s)
{
	static const char *const of[] = { "resistor", "bridge", "cell", "instrument",
					  "thermometer" };
	json_t *found = json_array();

	for (size_t k = 0; k < G_N_ELEMENTS(of); k++)
		for (guint i = 0; i < of_kind(s, of[k])->len; i++) {
			const struct record *r = of_kind(s, of[k])->pdata[i];
			const char *until = latest_due(s, r->id);
			json_t *days = days_until(s, until);

			/* a thermometer without one is calibrated here, or not used as a standard
			 */
			if (has_state(r, "in service") &&
			    (until != NULL ? json_integer_value(days) <= s->days : k < 4))
				json_array_append_new(
				    found, json_pack("{ss ss so sO}", "kind", of[k], "id", r->id,
						     "due", text_or_null(until), "days", days));
			json_decref(days);
		}
	return in_order_of_days(found);
}

/* ---- orders ---- */

static bool has_certificate(const struct status *s, const char *order, const char *thermometer)
{
	const GPtrArray *list = of_kind(s, "calibration");

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];

		if (has_state(r, "issued") &&
		    g_strcmp0(service_book_text(r->body, "order"), order) == 0 &&
		    g_strcmp0(service_book_text(r->body, "thermometer"), thermometer) == 0)
			return true;
	}
	return false;
}

static json_t *orders(const struct status *s)
{
	const GPtrArray *list = of_kind(s, "order");
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];
		const char *promised = service_book_text(r->body, "promised");
		json_t *open = json_array(), *one;
		size_t k;

		json_array_foreach(json_object_get(r->body, "thermometers"), k, one)
		{
			if (!has_certificate(s, r->id, json_string_value(one)))
				json_array_append(open, one);
		}
		if (has_state(r, "open"))
			json_array_append_new(
			    found, json_pack("{ss ss so so sO}", "order", r->id, "customer",
					     service_book_text(r->body, "customer"), "promised",
					     text_or_null(promised), "days",
					     days_until(s, promised), "open", open));
		json_decref(open);
	}
	return in_order_of_days(found);
}

static json_t *nonconformities(const struct status *s)
{
	const GPtrArray *list = of_kind(s, "nonconformity");
	json_t *found = json_array();

	for (guint i = 0; i < list->len; i++) {
		const struct record *r = list->pdata[i];

		if (has_state(r, "open"))
			json_array_append_new(
			    found, json_pack("{ss ss sO ss}", "nonconformity", r->id, "opened",
					     service_book_text(r->body, "opened"), "about",
					     json_object_get(r->body, "about"), "what",
					     service_book_text(r->body, "what")));
	}
	return found;
}

json_t *service_book_status(service_book *book, const char *day, int days, base_messages *messages)
{
	struct status s = { .book = book, .days = days, .messages = messages };
	json_t *status = NULL;

	s.all =
	    g_hash_table_new_full(g_str_hash, g_str_equal, NULL, (GDestroyNotify)g_ptr_array_unref);
	if (read_all(&s)) {
		choose_day(&s, day);
		status =
		    json_pack("{ss ss si so so so so so so}", "laboratory",
			      service_book_text(body_of(&s, "laboratory", "laboratory"), "name"),
			      "day", s.day, "days", days, "alive", alive(&s), "visits",
			      open_visits(&s), "waiting", waiting(&s), "due", due(&s), "orders",
			      orders(&s), "nonconformities", nonconformities(&s));
	}
	g_hash_table_destroy(s.all);
	return status;
}
