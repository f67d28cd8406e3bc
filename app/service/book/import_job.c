#include "app/service/book/import_job.h"

#include "app/base/file.h"
#include "app/file/job.h"
#include "app/file/job_json.h"
#include "app/service/book/compose.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

struct import {
	service_book *book;
	const struct service_act *act;
	const char *path, *calibration, *provenance;
	base_messages *messages;
	json_t *job;
	lab_calibration *c;
	json_t *visits; /* ids in the book */
	char source[STORE_HASH_SIZE];
};

/* Text of a scalar that may have been read as a number: ids. */
static char *text_of(const json_t *json)
{
	return json_is_string(json)   ? g_strdup(json_string_value(json))
	       : json_is_number(json) ? g_strdup_printf("%.17g", json_number_value(json))
				      : NULL;
}

/* The number that a scalar of a job is read as: job files keep 1e-5 as it was written, other
   records have 0.00001. NaN: it is none. */
static double number_of(const json_t *json)
{
	const char *text = json_string_value(json);
	double x = NAN;

	if (json_is_number(json))
		return json_number_value(json);
	return text != NULL && firn_number_parse(text, strlen(text), &x) == FIRN_OK ? x : NAN;
}

static bool say_the_same(const json_t *a, const json_t *b)
{
	const size_t n = json_is_array(a) ? json_array_size(a) : json_object_size(a);
	const char *name;
	json_t *value;

	if (json_is_object(a) && json_is_object(b)) {
		json_object_foreach((json_t *)a, name, value)
		{
			if (!say_the_same(value, json_object_get(b, name)))
				return false;
		}
		return json_object_size(b) == n;
	}
	for (size_t i = 0; json_is_array(a) && i < n; i++)
		if (!say_the_same(json_array_get(a, i), json_array_get(b, i)))
			return false;
	if (json_is_array(a))
		return json_array_size(b) == n;
	return json_equal(a, b) ||
	       ((json_is_number(a) || json_is_number(b)) && number_of(a) == number_of(b));
}

/* A thing that the book knows must be what the job says; one it doesn't know is registered. */
static bool add_thing(const struct import *in, const char *kind, const char *id, json_t *body)
{
	json_t *known = service_book_look(in->book, kind, id);
	bool good = true;

	if (known == NULL) {
		good = service_book_write(in->book, in->act, "import", kind, id, body, 0,
					  in->messages);
	} else if (!say_the_same(json_object_get(known, "job"), json_object_get(body, "job"))) {
		g_autofree char *label = service_book_label(kind, id);

		base_messages_add(in->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "says something else in the book than in %s; change it in the "
				  "book first, with the reason, or correct the job",
				  in->path);
		good = false;
	}
	json_decref(known);
	json_decref(body);
	return good;
}

/* The keys that a record of the book holds outside of "job". */
static void lift(json_t *body, json_t *job, const char *name)
{
	json_t *value = json_object_get(job, name);

	if (value == NULL)
		return;
	g_autofree char *text = text_of(value);
	json_object_set_new(body, name, json_string(text));
	json_object_del(job, name);
}

static bool add_section(const struct import *in, const char *section, const char *kind)
{
	const char *id;
	json_t *job;

	json_object_foreach(json_object_get(in->job, section), id, job)
	{
		json_t *body = json_object();

		json_object_set_new(body, "job", json_deep_copy(job));
		json_object_set_new(body, "state", json_string("in service"));
		if (!add_thing(in, kind, id, body))
			return false;
	}
	return true;
}

static bool add_thermometer(const struct import *in)
{
	json_t *body = json_object(),
	       *job = json_deep_copy(json_object_get(in->job, "thermometer"));
	g_autofree char *id = text_of(json_object_get(job, "id"));

	json_object_del(job, "id");
	lift(body, job, "maker");
	lift(body, job, "type");
	lift(body, job, "serial");
	json_object_set_new(body, "job", job);
	json_object_set_new(body, "state", json_string("in service"));
	return add_thing(in, "thermometer", id, body);
}

/* ---- visits ---- */

static struct store_reading *readings_of(const struct import *in, int visit, size_t *ret_n)
{
	struct store_reading *all = g_new0(struct store_reading, in->c->readings->len + 1);
	size_t n = 0;

	for (guint i = 0; i < in->c->readings->len; i++) {
		const struct lab_reading *r = LAB_AT(in->c->readings, lab_reading, i);
		struct store_reading *to = &all[n];

		if (r->visit != visit)
			continue;
		to->time_us = r->time_us;
		to->current_mA = r->current_mA;
		to->quantity =
		    isnan(r->ratio) && !isnan(r->resistance_ohm) ? STORE_OHM : STORE_RATIO;
		to->value = to->quantity == STORE_OHM ? r->resistance_ohm : r->ratio;
		to->bath_C = r->bath_C;
		to->flag = r->flag;
		n++;
	}
	*ret_n = n;
	return all;
}

static bool add_readings(const struct import *in, int visit, const char *id)
{
	size_t n;
	g_autofree struct store_reading *readings = readings_of(in, visit, &n);
	GError *error = NULL;

	if (store_add_sealed(in->book->store, id, readings, n, in->act->person,
			     service_book_time(in->book, in->act), &error))
		return true;
	g_autofree char *label = service_book_label("visit", id);
	service_book_say(in->messages, label, error);
	return false;
}

static bool add_visit(const struct import *in, size_t i, json_t *job)
{
	g_autofree char *name = text_of(json_object_get(job, "id"));
	g_autofree char *id = g_strdup_printf("%s/%s", in->calibration, name);
	g_autofree char *thermometer =
	    text_of(json_object_get(json_object_get(in->job, "thermometer"), "id"));
	json_t *own = json_deep_copy(job), *body;
	bool good;

	json_object_del(own, "id");
	body = json_pack("{ss so ss ss ss}", "thermometer", thermometer, "job", own, "provenance",
			 in->provenance, "source", in->source, "state", "closed");
	json_array_append_new(in->visits, json_string(id));
	good =
	    service_book_write(in->book, in->act, "import", "visit", id, body, 0, in->messages) &&
	    add_readings(in, (int)i, id);
	json_decref(body);
	return good;
}

static bool add_visits(const struct import *in)
{
	size_t i;
	json_t *job;

	json_array_foreach(json_object_get(in->job, "visits"), i,
			   job) if (!add_visit(in, i, job)) return false;
	return true;
}

/* ---- the calibration ---- */

/* What is left of the job when the book holds the rest. A release is the book's to make. */
static json_t *settings_of(const struct import *in)
{
	static const char *const elsewhere[] = { "kind",     "thermometer", "resistors",
						 "bridges",  "cells",       "visits",
						 "readings", "release",     "simulated" };
	json_t *settings = json_deep_copy(in->job);

	for (size_t i = 0; i < G_N_ELEMENTS(elsewhere); i++)
		json_object_del(settings, elsewhere[i]);
	return settings;
}

/* What a plan has said already: it becomes the calibration that it planned. */
static bool take_over_plan(const struct import *in, const char *thermometer, json_t *body,
			   int64_t *ret_version)
{
	static const char *const kept[] = { "order", "customer", "plan", "planned_by", "note" };
	json_t *planned = service_book_look(in->book, "calibration", in->calibration);
	bool good = true;

	*ret_version = 0;
	if (g_strcmp0(service_book_text(planned, "state"), "planned") == 0) {
		json_decref(planned);
		planned = service_book_get(in->book, "calibration", in->calibration, ret_version,
					   in->messages);
		for (size_t i = 0; i < G_N_ELEMENTS(kept); i++)
			if (json_object_get(planned, kept[i]) != NULL)
				json_object_set(body, kept[i], json_object_get(planned, kept[i]));
		if (g_strcmp0(service_book_text(planned, "thermometer"), thermometer) != 0) {
			g_autofree char *label = service_book_label("calibration", in->calibration);

			base_messages_add(in->messages, BASE_ERROR, label,
					  (struct base_mark){ 0, 0 },
					  "is planned for thermometer %s, and the job is of %s",
					  service_book_text(planned, "thermometer"), thermometer);
			good = false;
		}
	}
	json_decref(planned);
	return good;
}

static bool add_calibration(const struct import *in)
{
	g_autofree char *thermometer =
	    text_of(json_object_get(json_object_get(in->job, "thermometer"), "id"));
	json_t *body = json_pack("{ss sO so ss}", "thermometer", thermometer, "visits", in->visits,
				 "job", settings_of(in), "state", "measuring");
	int64_t version;
	bool good = take_over_plan(in, thermometer, body, &version);

	if (strcmp(in->act->person, "init") != 0)
		json_object_set_new(body, "measured_by", json_string(in->act->person));
	good = good && service_book_write(in->book, in->act, "import", "calibration",
					  in->calibration, body, version, in->messages);
	json_decref(body);
	return good;
}

/* The two files as they came. */
static bool keep_files(struct import *in, GBytes *job)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) csv =
	    base_file_read(in->c->readings_path, (size_t)1 << 30, "a set of readings", &error);
	char unused[STORE_HASH_SIZE];
	GError *fault = NULL;

	if (csv == NULL) {
		base_messages_add(in->messages, base_file_error_kind(error), in->c->readings_path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		return false;
	}
	if (store_put_file(in->book->store, g_bytes_get_data(job, NULL), g_bytes_get_size(job),
			   unused, &fault) &&
	    store_put_file(in->book->store, g_bytes_get_data(csv, NULL), g_bytes_get_size(csv),
			   in->source, &fault))
		return true;
	service_book_say(in->messages, in->path, fault);
	return false;
}

static bool write_all(struct import *in, GBytes *job)
{
	return keep_files(in, job) && add_thermometer(in) &&
	       add_section(in, "resistors", "resistor") && add_section(in, "bridges", "bridge") &&
	       add_section(in, "cells", "cell") && add_visits(in) && add_calibration(in);
}

/* What was simulated stays so: a real book doesn't take it. */
static bool is_real_enough(const struct import *in)
{
	if (!in->c->simulated || store_identity(in->book->store)->simulated)
		return true;
	base_messages_add(
	    in->messages, BASE_ERROR, in->path, lab_calibration_mark(in->c, "simulated"),
	    "is simulated, and a real book refuses it; bring it into a book made with "
	    "--simulated");
	return false;
}

bool service_book_import_job(service_book *book, const struct service_act *act, const char *path,
			     const char *calibration, const char *provenance,
			     base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, (size_t)8000000, "a job", &error);
	g_autoptr(lab_calibration) c = bytes != NULL ? file_read_calibration(path, messages) : NULL;
	struct import in = { .book = book,
			     .act = act,
			     .path = path,
			     .calibration = calibration,
			     .provenance = provenance,
			     .messages = messages,
			     .c = c };
	bool good = false;

	if (bytes == NULL)
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
	if (c == NULL || !is_real_enough(&in) || !service_book_begin(book, messages))
		return false;
	in.job = file_job_to_json(path, bytes, messages);
	in.visits = json_array();
	good = in.job != NULL && write_all(&in, bytes);
	json_decref(in.job);
	json_decref(in.visits);
	if (good)
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}
