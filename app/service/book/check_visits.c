#include "app/service/book/check_visits.h"

#include "app/base/time.h"
#include "app/calc/check_standard.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/service/book/compose.h"

#include <string.h>

struct search {
	service_book *book;
	enum lab_point point;
	GHashTable *thermometers; /* ids of check thermometers */
	GHashTable *points;       /* id of a cell -> name of its point */
	GHashTable *trouble;      /* id of a visit -> id of an open nonconformity about it */
	GArray *found;            /* at the point */
	GArray *tpw;              /* of the same thermometers at the triple point of water */
	GHashTable *named_tpw;    /* id of a visit -> the R(TPW) that it names */
};

static void clear_visit(void *data)
{
	struct service_check_visit *v = data;

	g_free(v->visit);
	g_free(v->thermometer);
	g_free(v->cell);
	g_free(v->realisation);
	g_free(v->tpw);
	g_free(v->left_out);
}

static GArray *visits_new(void)
{
	GArray *visits = g_array_new(FALSE, TRUE, sizeof(struct service_check_visit));

	g_array_set_clear_func(visits, clear_visit);
	return visits;
}

static struct service_check_visit *at(const GArray *visits, guint i)
{
	return &g_array_index(visits, struct service_check_visit, i);
}

static GHashTable *names_new(void)
{
	return g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
}

/* ---- what there is ---- */

static bool note_thermometer(const struct store_entry *entry, void *data, GError **error)
{
	struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	if (json_is_true(json_object_get(body, "check_thermometer")))
		g_hash_table_insert(search->thermometers, g_strdup(entry->id), NULL);
	json_decref(body);
	return true;
}

static bool note_cell(const struct store_entry *entry, void *data, GError **error)
{
	struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	g_hash_table_insert(search->points, g_strdup(entry->id),
			    g_strdup(service_book_text(json_object_get(body, "job"), "point")));
	json_decref(body);
	return true;
}

static bool note_trouble(const struct store_entry *entry, void *data, GError **error)
{
	struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL), *about;
	size_t i;

	(void)error;
	json_array_foreach(json_object_get(body, "about"), i, about)
	{
		if (g_strcmp0(service_book_text(body, "state"), "open") == 0)
			g_hash_table_insert(search->trouble, g_strdup(json_string_value(about)),
					    g_strdup(entry->id));
	}
	json_decref(body);
	return true;
}

static void note_of(struct search *search, const char *id, const json_t *body, GArray *to)
{
	const json_t *job = json_object_get(body, "job");
	const char *trouble = g_hash_table_lookup(search->trouble, id);
	struct service_check_visit v = {
		.visit = g_strdup(id),
		.thermometer = g_strdup(service_book_text(body, "thermometer")),
		.cell = g_strdup(service_book_text(job, "cell")),
		.realisation = g_strdup(service_book_text(body, "realisation")),
		.value = LAB_NOT_GIVEN,
		.u_K = LAB_NOT_GIVEN,
		.left_out =
		    trouble != NULL ? g_strdup_printf("nonconformity %s is open", trouble) : NULL,
	};

	g_array_append_val(to, v);
}

/* A job's visit may name its R(TPW): the visit of that name beside it. */
static void note_named_tpw(struct search *search, const char *id, const json_t *job)
{
	const char *named = service_book_text(job, "tpw");
	const size_t beside = strlen(id) - strlen(service_visit_in_job(id));

	if (named != NULL)
		g_hash_table_insert(search->named_tpw, g_strdup(id),
				    g_strdup_printf("%.*s%s", (int)beside, id, named));
}

static bool note_visit(const struct store_entry *entry, void *data, GError **error)
{
	struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const json_t *job = json_object_get(body, "job");
	const char *thermometer = service_book_text(body, "thermometer");
	const char *cell = service_book_text(job, "cell");
	const char *name = cell != NULL ? g_hash_table_lookup(search->points, cell) : NULL;
	const enum lab_point point = name != NULL ? lab_point_named(name) : LAB_NO_POINT;

	(void)error;
	if (thermometer != NULL && g_hash_table_contains(search->thermometers, thermometer)) {
		if (point == search->point) {
			note_of(search, entry->id, body, search->found);
			note_named_tpw(search, entry->id, job);
		} else if (point == LAB_H2O) {
			note_of(search, entry->id, body, search->tpw);
		}
	}
	json_decref(body);
	return true;
}

static int64_t time_of_reading(service_book *book, const char *visit, int64_t number)
{
	struct store_readings some;
	int64_t time_us = BASE_NO_TIME;

	if (!store_read(book->store, visit, number, 1, &some, NULL))
		return BASE_NO_TIME;
	if (some.readings->len > 0)
		time_us = g_array_index(some.readings, struct store_reading, 0).time_us;
	store_readings_clear(&some);
	return time_us;
}

int64_t service_visit_time(service_book *book, const char *visit)
{
	return time_of_reading(book, visit, 0);
}

int64_t service_visit_end(service_book *book, const char *visit)
{
	int64_t n = 0;

	if (!store_count_readings(book->store, visit, &n, NULL) || n == 0)
		return BASE_NO_TIME;
	return time_of_reading(book, visit, n - 1);
}

static int by_time(const void *a, const void *b)
{
	const struct service_check_visit *x = a, *y = b;

	if (x->time_us != y->time_us)
		return x->time_us < y->time_us ? -1 : 1;
	return strcmp(x->visit, y->visit);
}

static void put_in_order(struct search *search, GArray *visits)
{
	for (guint i = 0; i < visits->len; i++)
		at(visits, i)->time_us = service_visit_time(search->book, at(visits, i)->visit);
	g_array_sort(visits, by_time);
}

static bool look(struct search *search, base_messages *messages)
{
	GError *error = NULL;
	store *s = search->book->store;

	if (store_each(s, "thermometer", note_thermometer, search, &error) &&
	    store_each(s, "cell", note_cell, search, &error) &&
	    store_each(s, "nonconformity", note_trouble, search, &error) &&
	    store_each(s, "visit", note_visit, search, &error)) {
		put_in_order(search, search->found);
		put_in_order(search, search->tpw);
		return true;
	}
	service_book_say(messages, search->book->where, error);
	return false;
}

/* ---- values ---- */

/* In one job two visits can't have one name. */
static bool may_divide(const struct service_check_visit *v, const struct service_check_visit *tpw)
{
	return strcmp(tpw->thermometer, v->thermometer) == 0 && tpw->left_out == NULL &&
	       strcmp(service_visit_in_job(tpw->visit), service_visit_in_job(v->visit)) != 0;
}

static const char *tpw_of(const struct search *search, const struct service_check_visit *v)
{
	const char *named = g_hash_table_lookup(search->named_tpw, v->visit), *before = NULL;

	if (named != NULL)
		return named;
	for (guint i = 0; i < search->tpw->len; i++) {
		const struct service_check_visit *tpw = at(search->tpw, i);

		if (!may_divide(v, tpw))
			continue;
		if (tpw->time_us >= v->time_us)
			return tpw->visit;
		before = tpw->visit;
	}
	return before;
}

static void leave_out(struct service_check_visit *v, const base_messages *messages)
{
	for (size_t i = 0; i < base_messages_n(messages) && v->left_out == NULL; i++)
		if (base_messages_at(messages, i)->kind != BASE_RESERVATION)
			v->left_out = g_strdup(base_messages_at(messages, i)->text);
	if (v->left_out == NULL)
		v->left_out = g_strdup("its value can't be computed");
}

/* A job of the visit and its R(TPW) alone. */
static json_t *calibration_of(const struct service_check_visit *v)
{
	json_t *body = json_pack("{ss s{ss} s[s]}", "thermometer", v->thermometer, "job", "tpw",
				 "one", "visits", v->visit);

	if (v->tpw != NULL)
		json_array_append_new(json_object_get(body, "visits"), json_string(v->tpw));
	return body;
}

static void take_value(struct service_check_visit *v, const lab_calibration_result *result)
{
	const struct lab_visit_result *got = LAB_AT(result->visits, lab_visit_result, 0);

	v->value = v->tpw != NULL ? got->w.value : got->r_ohm.value;
	v->u_K = v->tpw != NULL ? got->u_w_K
				: got->r_ohm.u * calc_check_kelvin(LAB_H2O, got->r_ohm.value);
}

static void reduce(struct search *search, struct service_check_visit *v)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) job = NULL, readings = NULL;
	g_autoptr(lab_calibration) c = NULL;
	g_autoptr(lab_calibration_result) result = NULL;
	json_t *body;

	if (search->point != LAB_H2O) {
		v->tpw = g_strdup(tpw_of(search, v));
		if (v->tpw == NULL) {
			v->left_out =
			    g_strdup("there is no R(TPW) of this thermometer to divide by");
			return;
		}
	}
	body = calibration_of(v);
	if (service_book_compose_values(search->book, body, &job, &readings, messages))
		c = file_parse_calibration(SERVICE_JOB_NAME, job, readings, messages);
	json_decref(body);
	if (c != NULL)
		result = calc_reduce_visits(c, messages);
	if (result != NULL)
		take_value(v, result);
	else
		leave_out(v, messages);
}

GArray *service_check_visits(service_book *book, enum lab_point point, base_messages *messages)
{
	struct search search = { book,        point,        names_new(),  names_new(),
				 names_new(), visits_new(), visits_new(), names_new() };
	const bool good = look(&search, messages);

	for (guint i = 0; good && i < search.found->len; i++)
		if (at(search.found, i)->left_out == NULL)
			reduce(&search, at(search.found, i));
	g_hash_table_unref(search.thermometers);
	g_hash_table_unref(search.points);
	g_hash_table_unref(search.trouble);
	g_hash_table_unref(search.named_tpw);
	g_array_unref(search.tpw);
	if (good)
		return search.found;
	g_array_unref(search.found);
	return NULL;
}
