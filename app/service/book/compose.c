#include "app/service/book/compose.h"

#include "app/file/job_json.h"
#include "app/service/book/readings_csv.h"
#include "app/service/book/report_texts.h"

#include <string.h>

struct composition {
	service_book *book;
	base_messages *messages;
	json_t *job;
	GString *csv;
	bool simulated;
	bool good;
};

const char *service_visit_in_job(const char *visit)
{
	const char *slash = strrchr(visit, '/');

	return slash != NULL ? slash + 1 : visit;
}

static json_t *fetch(struct composition *c, const char *kind, const char *id)
{
	json_t *body = service_book_get(c->book, kind, id, NULL, c->messages);

	c->good = c->good && body != NULL;
	return body;
}

static void set_text(json_t *object, const char *name, const char *text)
{
	if (text != NULL)
		json_object_set_new(object, name, json_string(text));
}

/* A section of named things, made when the first one is needed. */
static void add_named(struct composition *c, const char *section, const char *kind, const char *id)
{
	json_t *all = json_object_get(c->job, section), *body;

	if (id == NULL || json_object_get(all, id) != NULL)
		return;
	body = fetch(c, kind, id);
	if (body == NULL)
		return;
	if (all == NULL) {
		all = json_object();
		json_object_set_new(c->job, section, all);
	}
	json_object_set_new(all, id, json_deep_copy(json_object_get(body, "job")));
	json_decref(body);
}

static void add_thermometer(struct composition *c, const char *id)
{
	json_t *body = fetch(c, "thermometer", id), *job;

	if (body == NULL)
		return;
	job = json_deep_copy(json_object_get(body, "job"));
	set_text(job, "id", id);
	set_text(job, "maker", service_book_text(body, "maker"));
	set_text(job, "type", service_book_text(body, "type"));
	set_text(job, "serial", service_book_text(body, "serial"));
	json_object_set_new(c->job, "thermometer", job);
	json_decref(body);
}

static void add_visit(struct composition *c, const char *id)
{
	json_t *body = fetch(c, "visit", id), *job;
	const char *provenance;

	if (body == NULL)
		return;
	job = json_deep_copy(json_object_get(body, "job"));
	set_text(job, "id", service_visit_in_job(id));
	add_named(c, "cells", "cell", service_book_text(job, "cell"));
	add_named(c, "resistors", "resistor", service_book_text(job, "resistor"));
	add_named(c, "bridges", "bridge", service_book_text(job, "bridge"));
	json_array_append_new(json_object_get(c->job, "visits"), job);
	provenance = service_book_text(body, "provenance");
	c->simulated = c->simulated || g_strcmp0(provenance, "simulated") == 0;
	c->good = c->good &&
		  service_readings_csv(c->book, id, service_visit_in_job(id),
				       json_object_get(body, "exclusions"), c->csv, c->messages);
	json_decref(body);
}

/* The person's name for the certificate. */
static void add_person(struct composition *c, json_t *report, const char *name, const char *person)
{
	json_t *body = person != NULL ? fetch(c, "person", person) : NULL;

	if (body != NULL)
		set_text(report, name, service_book_text(body, "name"));
	json_decref(body);
}

/* Whom the calibration names, or its order; NULL: nobody. */
static json_t *customer_of(struct composition *c, const json_t *calibration)
{
	const char *id = service_book_text(calibration, "customer"),
		   *order_id = service_book_text(calibration, "order");
	json_t *order = id == NULL && order_id != NULL ? fetch(c, "order", order_id) : NULL;
	json_t *customer;

	if (order != NULL)
		id = service_book_text(order, "customer");
	customer = id != NULL ? fetch(c, "customer", id) : NULL;
	json_decref(order);
	return customer;
}

/* What certificates say and the book knows; what the calibration itself says goes before. */
static void add_report(struct composition *c, const json_t *calibration)
{
	json_t *report = json_object(), *own = json_object_get(c->job, "report");
	json_t *laboratory = fetch(c, "laboratory", "laboratory");
	json_t *customer = customer_of(c, calibration);

	set_text(report, "laboratory", service_book_text(laboratory, "name"));
	set_text(report, "address", service_book_text(laboratory, "address"));
	set_text(report, "place", service_book_text(laboratory, "place"));
	set_text(report, "method", service_book_text(laboratory, "method"));
	set_text(report, "customer", service_book_text(customer, "name"));
	set_text(report, "customer_address", service_book_text(customer, "address"));
	add_person(c, report, "measured_by", service_book_text(calibration, "measured_by"));
	add_person(c, report, "checked_by", service_book_text(calibration, "checked_by"));
	if (own != NULL)
		json_object_update(report, own);
	c->good =
	    service_report_texts(c->book, calibration, c->job, report, c->messages) && c->good;
	json_object_set_new(c->job, "report", report);
	json_decref(laboratory);
	json_decref(customer);
}

static void add_release(json_t *job, const struct service_release *release)
{
	json_t *json = json_object();

	set_text(json, "number", release->number);
	set_text(json, "date", release->date);
	set_text(json, "name", release->name);
	set_text(json, "function", release->function);
	json_object_set_new(job, "release", json);
	if (release->replaces != NULL)
		set_text(json_object_get(job, "report"), "replaces", release->replaces);
}

static void compose_values(struct composition *c, const json_t *body)
{
	size_t i;
	json_t *visit;

	json_object_update(c->job, json_object_get(body, "job"));
	set_text(c->job, "kind", "fixed-point calibration");
	set_text(c->job, "readings", SERVICE_READINGS_NAME);
	add_thermometer(c, service_book_text(body, "thermometer"));
	json_object_set_new(c->job, "visits", json_array());
	g_string_append(c->csv, SERVICE_READINGS_HEADER);
	json_array_foreach(json_object_get(body, "visits"), i, visit)
	    add_visit(c, json_string_value(visit));
	if (c->simulated || store_identity(c->book->store)->simulated)
		json_object_set_new(c->job, "simulated", json_true());
}

static bool finish(struct composition *c, GBytes **ret_job, GBytes **ret_readings)
{
	if (c->good) {
		*ret_job = file_job_from_json(c->job);
		*ret_readings = g_string_free_to_bytes(c->csv);
	} else {
		g_string_free(c->csv, TRUE);
	}
	json_decref(c->job);
	return c->good;
}

bool service_book_compose_values(service_book *book, const json_t *body, GBytes **ret_job,
				 GBytes **ret_readings, base_messages *messages)
{
	struct composition c = { book, messages, json_object(), g_string_new(NULL), false, true };

	compose_values(&c, body);
	return finish(&c, ret_job, ret_readings);
}

bool service_book_compose(service_book *book, const char *calibration, const json_t *body,
			  const struct service_release *release, GBytes **ret_job,
			  GBytes **ret_readings, base_messages *messages)
{
	struct composition c = { book, messages, json_object(), g_string_new(NULL), false, true };

	if (json_array_size(json_object_get(body, "visits")) == 0) {
		g_autofree char *label = service_book_label("calibration", calibration);

		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "has no visits yet; import or record some first");
		c.good = false;
	} else {
		compose_values(&c, body);
		add_report(&c, body);
	}
	if (release != NULL)
		add_release(c.job, release);
	return finish(&c, ret_job, ret_readings);
}
