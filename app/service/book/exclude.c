#include "app/service/book/exclude.h"

#include "app/calc/check_standard.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/compose.h"
#include "app/service/book/members.h"

#include <math.h>
#include <string.h>

struct exclusion {
	service_book *book;
	const struct service_act *act;
	const char *visit;
	int64_t first, n;
	base_messages *messages;
	GPtrArray *calibrations; /* char *: ids of those that hold the visit */
};

static bool refuse(const struct exclusion *e, const char *format, ...) G_GNUC_PRINTF(2, 3);
static bool refuse(const struct exclusion *e, const char *format, ...)
{
	g_autofree char *label = service_book_label("visit", e->visit);
	va_list arguments;

	va_start(arguments, format);
	base_messages_add_valist(e->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, format,
				 arguments);
	va_end(arguments);
	return false;
}

/* ---- what the visit gives ---- */

struct value {
	enum lab_point point; /* LAB_NO_POINT: nothing was found */
	double value, u_K;
};

/* Of the visit within one calibration, as the records are now. What can't be reduced says nothing:
   there is no result that could change. */
static struct value value_in(const struct exclusion *e, const char *id)
{
	g_autoptr(base_messages) unused = base_messages_new();
	json_t *body = service_book_look(e->book, "calibration", id);
	g_autoptr(GBytes) job = NULL, readings = NULL;
	struct service_reduced reduced = { NULL, NULL, NULL };
	struct value found = { LAB_NO_POINT, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	if (service_book_compose(e->book, id, body, NULL, &job, &readings, unused) &&
	    service_book_compute(job, readings, &reduced, unused)) {
		for (guint i = 0; i < reduced.result->visits->len; i++) {
			const struct lab_visit_result *v =
			    LAB_AT(reduced.result->visits, lab_visit_result, i);

			if (strcmp(v->id, service_visit_in_job(e->visit)) != 0 ||
			    v->point == LAB_NO_POINT)
				continue;
			found.point = v->point;
			found.value = v->point == LAB_H2O ? v->r_ohm.value : v->w.value;
			found.u_K =
			    v->point == LAB_H2O
				? calc_tpw_change_K(v->r_ohm.value, v->r_ohm.value + v->r_ohm.u)
				: v->u_w_K;
		}
	}
	service_reduced_clear(&reduced);
	json_decref(body);
	return found;
}

static json_t *effect(const struct exclusion *e, const char *id, struct value was)
{
	const struct value is = value_in(e, id);
	json_t *calibration, *told;
	double change_K;

	if (was.point == LAB_NO_POINT || is.point != was.point)
		return NULL;
	change_K = was.point == LAB_H2O
		       ? calc_tpw_change_K(was.value, is.value)
		       : calc_check_kelvin(was.point, was.value) * (is.value - was.value);
	calibration = service_book_look(e->book, "calibration", id);
	told =
	    json_pack("{ss ss ss ss sf sf sf sf}", "calibration", id, "state",
		      service_book_text(calibration, "state"), "point", lab_point_name(was.point),
		      "what", was.point == LAB_H2O ? "R(TPW)" : "W", "was", was.value, "is",
		      is.value, "change_mK", 1e3 * change_K, "u_mK", 1e3 * is.u_K);
	json_decref(calibration);
	return told;
}

/* ---- the visit ---- */

static bool note_calibration(const struct store_entry *entry, void *data, GError **error)
{
	struct exclusion *e = data;
	json_t *body = json_loads(entry->body, 0, NULL), *id;
	size_t i;

	(void)error;
	json_array_foreach(json_object_get(body, "visits"), i, id)
	{
		if (g_strcmp0(json_string_value(id), e->visit) == 0)
			g_ptr_array_add(e->calibrations, g_strdup(entry->id));
	}
	json_decref(body);
	return true;
}

/* An issued certificate keeps the readings that it was issued with. */
static void say_issued(const struct exclusion *e, const char *id)
{
	json_t *body = service_book_look(e->book, "calibration", id);
	const char *number = service_book_text(body, "certificate_number");
	g_autofree char *label = service_book_label("calibration", id);

	if (number != NULL)
		base_messages_add(
		    e->messages, BASE_RESERVATION, label, (struct base_mark){ 0, 0 },
		    "certificate %s was issued with these readings; decide on it in a "
		    "nonconformity, and replace it where the change matters",
		    number);
	json_decref(body);
}

static bool overlaps(const json_t *exclusions, int64_t first, int64_t n)
{
	size_t i;
	json_t *one;

	json_array_foreach(exclusions, i, one)
	{
		const double from = service_book_number_of(one, "first"),
			     to = from + service_book_number_of(one, "n");

		if ((double)first < to && from < (double)(first + n))
			return true;
	}
	return false;
}

static bool write_visit(const struct exclusion *e)
{
	int64_t version, n = 0;
	json_t *visit = service_book_get(e->book, "visit", e->visit, &version, e->messages);
	json_t *list = json_object_get(visit, "exclusions");
	bool good = visit != NULL;

	(void)store_count_readings(e->book->store, e->visit, &n, NULL);
	if (good && e->first + e->n > n)
		good = refuse(e, "has %d readings, from 0 to %d; readings %d to %d are not there",
			      (int)n, (int)n - 1, (int)e->first, (int)(e->first + e->n - 1));
	if (good && overlaps(list, e->first, e->n))
		good = refuse(e, "has some of these readings set aside already; name the others");
	if (good) {
		list = list != NULL ? json_incref(list) : json_array();
		json_array_append_new(list,
				      json_pack("{sI sI ss ss}", "first", (json_int_t)e->first, "n",
						(json_int_t)e->n, "reason", e->act->why, "person",
						e->act->person));
		json_object_set_new(visit, "exclusions", list);
		good = service_book_write(e->book, e->act, "exclude", "visit", e->visit, visit,
					  version, e->messages);
	}
	json_decref(visit);
	return good;
}

static json_t *exclude(struct exclusion *e)
{
	g_autofree struct value *was = NULL;
	GError *error = NULL;
	json_t *effects = json_array(), *one;

	if (!store_each(e->book->store, "calibration", note_calibration, e, &error)) {
		service_book_say(e->messages, e->book->where, error);
		json_decref(effects);
		return NULL;
	}
	was = g_new0(struct value, e->calibrations->len + 1);
	for (guint i = 0; i < e->calibrations->len; i++)
		was[i] = value_in(e, e->calibrations->pdata[i]);
	if (!write_visit(e)) {
		json_decref(effects);
		return NULL;
	}
	for (guint i = 0; i < e->calibrations->len; i++) {
		one = effect(e, e->calibrations->pdata[i], was[i]);
		if (one != NULL)
			json_array_append_new(effects, one);
		say_issued(e, e->calibrations->pdata[i]);
	}
	return json_pack("{ss sI sI so}", "visit", e->visit, "first", (json_int_t)e->first, "n",
			 (json_int_t)e->n, "effects", effects);
}

json_t *service_book_exclude(service_book *book, const struct service_act *act, const char *visit,
			     int64_t first, int64_t n, base_messages *messages)
{
	struct exclusion e = {
		book, act, visit, first, n, messages, g_ptr_array_new_with_free_func(g_free)
	};
	json_t *told = NULL;

	if (act->why == NULL || act->why[strspn(act->why, " \t\n")] == '\0')
		(void)refuse(&e, "sets readings aside with a reason only; say why (--why)");
	else if (service_book_begin(book, messages)) {
		told = exclude(&e);
		if (told == NULL) {
			service_book_rollback(book);
		} else if (!service_book_commit(book, messages)) {
			json_decref(told);
			told = NULL;
		}
	}
	g_ptr_array_unref(e.calibrations);
	return told;
}
