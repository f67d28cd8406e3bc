#include "app/service/book/impact.h"

#include "app/base/time.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/service/book/certificate.h"
#include "app/service/book/compose.h"

#include <math.h>
#include <string.h>

struct impact {
	service_book *book;
	const struct service_suspicion *suspicion;
	GString *report;
	base_messages *messages;
	int n;
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

static void report_curve(GString *to, const struct lab_curve *was, const struct lab_curve *is)
{
	double largest_K = 0, at_K = NAN;

	for (guint i = 0; i < was->points->len && i < is->points->len; i++) {
		const struct lab_curve_point *a = LAB_AT(was->points, lab_curve_point, i);
		const struct lab_curve_point *b = LAB_AT(is->points, lab_curve_point, i);
		/* At one temperature the thermometer's W is another: read by the old table, that W
		   is wrong by as many kelvin. */
		const double change_K = (a->w - b->w) / a->dw_per_K;

		if (isnan(at_K) || fabs(change_K) > fabs(largest_K)) {
			largest_K = change_K;
			at_K = a->t90_K;
		}
	}
	g_string_append_printf(to, "  %-10s temperatures change by up to %+.4f mK, at %.3f °C\n",
			       was->name, 1e3 * largest_K, at_K - 273.15);
}

static const struct lab_curve *curve_named(const GArray *curves, const char *name)
{
	for (guint i = 0; i < curves->len; i++)
		if (strcmp(LAB_AT(curves, lab_curve, i)->name, name) == 0)
			return LAB_AT(curves, lab_curve, i);
	return NULL;
}

/* dW_r/dT90 at the triple point of water, 1/K: the slope of ITS-90, equation (9a), at 273.16 K. */
#define SLOPE_AT_TPW 3.98853e-3

static void report_r_tpw(GString *to, const lab_calibration_result *was,
			 const lab_calibration_result *is)
{
	const struct lab_tpw_value *a, *b;

	if (was->tpw->len == 0 || is->tpw->len == 0)
		return;
	a = LAB_AT(was->tpw, lab_tpw_value, was->tpw->len - 1);
	b = LAB_AT(is->tpw, lab_tpw_value, is->tpw->len - 1);
	g_string_append_printf(to, "  %-10s changes by %+.4f mK\n", "R(TPW)",
			       1e3 * (b->ohm.value / a->ohm.value - 1) / SLOPE_AT_TPW);
}

static void report_certificate(struct impact *im, const char *number,
			       const lab_calibration_result *was, const lab_calibration_result *is)
{
	im->n++;
	g_string_append_printf(im->report, "certificate %s\n", number);
	for (guint i = 0; i < was->curves->len; i++) {
		const struct lab_curve *a = LAB_AT(was->curves, lab_curve, i);
		const struct lab_curve *b = curve_named(is->curves, a->name);

		if (b != NULL)
			report_curve(im->report, a, b);
	}
	report_r_tpw(im->report, was, is);
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

static bool compare(struct impact *im, const char *number, lab_calibration *c)
{
	g_autoptr(lab_calibration_result) was = NULL, is = NULL;

	if (!is_since(c, im->suspicion->from))
		return true;
	was = calc_reduce(c, im->messages);
	if (was == NULL || !correct(c, im->suspicion))
		return was != NULL;
	is = calc_reduce(c, im->messages);
	if (is == NULL)
		return false;
	report_certificate(im, number, was, is);
	return true;
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
	if (c != NULL)
		(void)compare(im, entry->id, c);
	return true;
}

bool service_impact(service_book *book, const struct service_suspicion *suspicion, GString *report,
		    int *ret_n, base_messages *messages)
{
	struct impact im = { book, suspicion, report, messages, 0 };
	json_t *thing = service_book_get(book, suspicion->kind, suspicion->id, NULL, messages);
	const size_t before = base_messages_count(messages, BASE_ERROR);
	GError *error = NULL;

	if (thing == NULL)
		return false;
	json_decref(thing);
	if (!store_each(book->store, "certificate", visit_certificate, &im, &error)) {
		service_book_say(messages, book->where, error);
		return false;
	}
	*ret_n = im.n;
	return base_messages_count(messages, BASE_ERROR) == before;
}
