#include "app/service/book/impact.h"

#include "app/base/time.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/service/book/certificate.h"
#include "app/service/book/compose.h"
#include "app/service/book/release.h"

#include <math.h>
#include <string.h>

struct impact {
	service_book *book;
	const struct service_suspicion *suspicion;
	json_t *found; /* a member for each certificate */
	base_messages *messages;
};

/* ---- a job as it should have been ---- */

static bool correct_resistor(lab_calibration *c, const struct service_suspicion *s)
{
	for (guint i = 0; i < c->resistors->len; i++) {
		struct lab_resistor *r = LAB_AT(c->resistors, lab_resistor, i);

		if (strcmp(r->id, s->id) == 0) {
			r->ohm *= 1 + s->by;
			return true;
		}
	}
	return false;
}

static bool correct_bridge(lab_calibration *c, const struct service_suspicion *s)
{
	bool found = false;

	for (guint i = 0; i < c->readings->len; i++) {
		struct lab_reading *r = LAB_AT(c->readings, lab_reading, i);
		const struct lab_visit *v = LAB_AT(c->visits, lab_visit, r->visit);

		if (v->bridge < 0 ||
		    strcmp(LAB_AT(c->bridges, lab_bridge, v->bridge)->id, s->id) != 0)
			continue;
		r->ratio *= 1 + s->by;
		r->resistance_ohm *= 1 + s->by;
		found = true;
	}
	return found;
}

/* As by the cell's certificate, whose correction takes the cell to the defined temperature: a
   warmer cell has a smaller one. */
static bool correct_cell(lab_calibration *c, const struct service_suspicion *s)
{
	for (guint i = 0; i < c->cells->len; i++) {
		struct lab_cell *cell = LAB_AT(c->cells, lab_cell, i);
		struct lab_cell_certificate *known = &cell->certificate;

		if (strcmp(cell->id, s->id) != 0)
			continue;
		if (isnan(known->correction_K)) {
			known->correction_K = 0;
			known->u_K = 0;
		}
		known->correction_K -= s->by;
		return true;
	}
	return false;
}

static bool correct(lab_calibration *c, const struct service_suspicion *s)
{
	if (strcmp(s->kind, "resistor") == 0)
		return correct_resistor(c, s);
	if (strcmp(s->kind, "bridge") == 0)
		return correct_bridge(c, s);
	return correct_cell(c, s);
}

/* ---- what it changes ---- */

/* The largest change in the table of a range. */
static json_t *change_of_curve(const struct lab_curve *was, const struct lab_curve *is)
{
	const struct lab_curve_point *largest = NULL;
	double largest_K = 0;

	for (guint i = 0; i < was->points->len && i < is->points->len; i++) {
		const struct lab_curve_point *a = LAB_AT(was->points, lab_curve_point, i);
		const struct lab_curve_point *b = LAB_AT(is->points, lab_curve_point, i);
		/* At one temperature the thermometer's W is another: read by the old table, that W
		   is wrong by as many kelvin. */
		const double change_K = (a->w - b->w) / a->dw_per_K;

		if (largest == NULL || fabs(change_K) > fabs(largest_K)) {
			largest_K = change_K;
			largest = a;
		}
	}
	if (largest == NULL)
		return NULL;
	return json_pack("{ss sf sf sf}", "subrange", was->name, "change_K", largest_K, "t90_K",
			 largest->t90_K, "u_K", largest->u_calibration_K);
}

static const struct lab_curve *curve_named(const GArray *curves, const char *name)
{
	for (guint i = 0; i < curves->len; i++)
		if (strcmp(LAB_AT(curves, lab_curve, i)->name, name) == 0)
			return LAB_AT(curves, lab_curve, i);
	return NULL;
}

/* The last one, which the certificate states. */
static json_t *change_of_r_tpw(const lab_calibration_result *was, const lab_calibration_result *is)
{
	const struct lab_tpw_value *a, *b;

	if (was->tpw->len == 0 || is->tpw->len == 0)
		return json_null();
	a = LAB_AT(was->tpw, lab_tpw_value, was->tpw->len - 1);
	b = LAB_AT(is->tpw, lab_tpw_value, is->tpw->len - 1);
	return json_pack("{sf sf}", "change_K", service_tpw_kelvin(b->ohm.value / a->ohm.value - 1),
			 "u_K", service_tpw_kelvin(a->ohm.u / a->ohm.value));
}

static json_t *changes(const char *number, const char *state, const lab_calibration_result *was,
		       const lab_calibration_result *is)
{
	json_t *ranges = json_array();

	for (guint i = 0; i < was->curves->len; i++) {
		const struct lab_curve *a = LAB_AT(was->curves, lab_curve, i);
		const struct lab_curve *b = curve_named(is->curves, a->name);

		if (b != NULL)
			json_array_append_new(ranges, change_of_curve(a, b));
	}
	return json_pack("{ss ss so so}", "certificate", number, "state", state, "temperatures",
			 ranges, "r_tpw", change_of_r_tpw(was, is));
}

/* ---- the certificates ---- */

static bool is_since(const lab_calibration *c, const char *from)
{
	char day[BASE_TIME_SIZE];
	int64_t last = BASE_NO_TIME;

	for (guint i = 0; i < c->readings->len; i++)
		last = MAX(last, LAB_AT(c->readings, lab_reading, i)->time_us);
	if (from == NULL || last == BASE_NO_TIME)
		return true;
	base_time_print(last, day);
	day[10] = '\0';
	return strcmp(day, from) >= 0;
}

static void compare(struct impact *im, const char *number, const char *state, lab_calibration *c)
{
	g_autoptr(lab_calibration_result) was = NULL, is = NULL;

	if (!is_since(c, im->suspicion->from))
		return;
	was = calc_reduce(c, im->messages);
	if (was == NULL || !correct(c, im->suspicion))
		return; /* said; or the certificate doesn't rest on the thing */
	is = calc_reduce(c, im->messages);
	if (is != NULL)
		json_array_append_new(im->found, changes(number, state, was, is));
}

static bool visit_certificate(const struct store_entry *entry, void *data, GError **error)
{
	struct impact *im = data;
	g_autoptr(GBytes) job = service_certificate_file(im->book, entry->id, "job", im->messages);
	g_autoptr(GBytes) readings =
	    service_certificate_file(im->book, entry->id, "readings", im->messages);
	g_autoptr(lab_calibration) c = NULL;

	(void)error;
	if (job == NULL || readings == NULL)
		return true; /* said; the others are still looked at */
	c = file_parse_calibration(SERVICE_JOB_NAME, job, readings, im->messages);
	if (c != NULL) {
		json_t *body = json_loads(entry->body, 0, NULL);

		compare(im, entry->id, service_book_text(body, "state"), c);
		json_decref(body);
	}
	return true;
}

json_t *service_impact(service_book *book, const struct service_suspicion *suspicion,
		       base_messages *messages)
{
	struct impact im = { book, suspicion, NULL, messages };
	json_t *thing = service_book_get(book, suspicion->kind, suspicion->id, NULL, messages);
	const size_t before = base_messages_count(messages, BASE_ERROR);
	GError *error = NULL;

	if (thing == NULL)
		return NULL;
	json_decref(thing);
	im.found = json_array();
	if (!store_each(book->store, "certificate", visit_certificate, &im, &error))
		service_book_say(messages, book->where, error);
	if (base_messages_count(messages, BASE_ERROR) == before)
		return im.found;
	json_decref(im.found);
	return NULL;
}
