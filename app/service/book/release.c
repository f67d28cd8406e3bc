#include "app/service/book/release.h"

#include "app/base/time.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/own_work.h"

#include <math.h>
#include <string.h>

/* Against whom messages speak, and what the calibration rests on. */
struct release {
	service_book *book;
	const char *id;
	base_messages *messages;
	GHashTable *things; /* "cell W1": all that the calibration stands on */
	bool good;
};

static void against(struct release *r, const char *format, ...) G_GNUC_PRINTF(2, 3);
static void against(struct release *r, const char *format, ...)
{
	g_autofree char *label = service_book_label("calibration", r->id), *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(r->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", text);
	r->good = false;
}

/* ---- what it stands on ---- */

static void note_thing(struct release *r, const char *kind, const char *id)
{
	if (id != NULL)
		g_hash_table_add(r->things, service_book_label(kind, id));
}

static void note_visit(struct release *r, const char *id)
{
	json_t *visit = service_book_look(r->book, "visit", id),
	       *job = json_object_get(visit, "job");

	note_thing(r, "visit", id);
	note_thing(r, "cell", service_book_text(job, "cell"));
	note_thing(r, "resistor", service_book_text(job, "resistor"));
	note_thing(r, "bridge", service_book_text(job, "bridge"));
	note_thing(r, "realisation", service_book_text(visit, "realisation"));
	json_decref(visit);
}

static void note_all(struct release *r, const json_t *calibration)
{
	size_t i;
	json_t *visit;

	note_thing(r, "calibration", r->id);
	note_thing(r, "thermometer", service_book_text(calibration, "thermometer"));
	json_array_foreach(json_object_get(calibration, "visits"), i, visit)
	    note_visit(r, json_string_value(visit));
}

/* ---- nonconforming work: ISO/IEC 17025:2017, 7.10 ---- */

static bool check_nonconformity(const struct store_entry *entry, void *data, GError **error)
{
	struct release *r = data;
	json_t *body = json_loads(entry->body, 0, NULL), *about;
	size_t i;

	(void)error;
	if (g_strcmp0(service_book_text(body, "state"), "open") != 0) {
		json_decref(body);
		return true;
	}
	json_array_foreach(json_object_get(body, "about"), i, about)
	{
		GHashTableIter things;
		gpointer thing;

		g_hash_table_iter_init(&things, r->things);
		while (g_hash_table_iter_next(&things, &thing, NULL))
			if (g_strcmp0(strchr(thing, ' ') + 1, json_string_value(about)) == 0)
				against(r,
					"can't be issued while nonconformity %s about %s is open; "
					"decide on it and close it first",
					entry->id, (const char *)thing);
	}
	json_decref(body);
	return true;
}

/* ---- equipment: 6.4.4, 6.4.8 ---- */

static void check_in_service(struct release *r)
{
	GHashTableIter things;
	gpointer thing;

	g_hash_table_iter_init(&things, r->things);
	while (g_hash_table_iter_next(&things, &thing, NULL)) {
		g_auto(GStrv) parts = g_strsplit(thing, " ", 2);
		json_t *body;

		if (strcmp(parts[0], "resistor") != 0 && strcmp(parts[0], "bridge") != 0 &&
		    strcmp(parts[0], "cell") != 0)
			continue;
		body = service_book_look(r->book, parts[0], parts[1]);
		if (g_strcmp0(service_book_text(body, "state"), "in service") != 0)
			against(r,
				"can't be issued: %s is %s; see what that means for its readings, "
				"and open a nonconformity or bring it back into service",
				(const char *)thing, service_book_text(body, "state"));
		json_decref(body);
	}
}

bool service_release_unhindered(service_book *book, const char *id, const json_t *calibration,
				base_messages *messages)
{
	struct release r = { book, id, messages,
			     g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL), true };
	GError *error = NULL;

	note_all(&r, calibration);
	if (!store_each(book->store, "nonconformity", check_nonconformity, &r, &error)) {
		service_book_say(messages, book->where, error);
		r.good = false;
	}
	check_in_service(&r);
	g_hash_table_destroy(r.things);
	return r.good;
}

/* ---- all of it ---- */

static void check_replacement(struct release *r, const struct service_act *act,
			      const char *replaces)
{
	json_t *old = service_book_look(r->book, "certificate", replaces);

	if (old == NULL)
		against(r, "can't replace certificate %s: there is none", replaces);
	else if (g_strcmp0(service_book_text(old, "state"), "issued") != 0)
		against(r, "can't replace certificate %s, which is %s", replaces,
			service_book_text(old, "state"));
	if (act->why == NULL || act->why[0] == '\0')
		against(r, "replaces a certificate and needs a reason; say why");
	json_decref(old);
}

bool service_release_allowed(service_book *book, const struct service_act *act, const char *id,
			     const json_t *calibration, const char *replaces,
			     base_messages *messages)
{
	struct release r = { book, id, messages, NULL, true };
	const char *state = service_book_text(calibration, "state");

	if (g_strcmp0(state, "checked") != 0)
		against(&r, "is %s and can't be issued; it must be checked first", state);
	else
		r.good = service_calibration_still_holds(book, id, calibration, messages) && r.good;
	r.good =
	    service_may_do_step(book, id, calibration, act->person, SERVICE_ISSUING, messages) &&
	    r.good;
	r.good = service_release_unhindered(book, id, calibration, messages) && r.good;
	if (replaces != NULL)
		check_replacement(&r, act, replaces);
	return r.good;
}

/* ---- scope: ILAC-P14:09/2020 ---- */

double service_capability_mK(const json_t *scope, double t_C)
{
	double least = NAN;
	size_t i;
	json_t *line;

	json_array_foreach(scope, i, line)
	{
		const double U = json_number_value(json_object_get(line, "U_mK"));

		if (t_C >= json_number_value(json_object_get(line, "low_C")) - 1e-9 &&
		    t_C <= json_number_value(json_object_get(line, "high_C")) + 1e-9)
			least = isnan(least) ? U : fmin(least, U);
	}
	return least;
}

static void check_range(struct release *r, const json_t *scope, const struct lab_curve *curve)
{
	for (guint i = 0; i < curve->points->len; i++) {
		const double t_C = LAB_AT(curve->points, lab_curve_point, i)->t90_K - 273.15;

		if (!isnan(service_capability_mK(scope, t_C)))
			continue;
		against(r, "covers %.2f °C (%s), which is outside the laboratory's scope", t_C,
			curve->name);
		return;
	}
}

/* At the fixed points, where a capability is assessed; towards the triple point of water, where W
   is 1 by definition, the U of a table goes to nothing and says nothing of the laboratory. */
static void check_capability(struct release *r, const json_t *scope,
			     const struct lab_visit_result *visit)
{
	const double U_mK = 2e3 * visit->u_w_K;
	const double least = service_capability_mK(scope, visit->t90_defined_K - 273.15);

	if (visit->point == LAB_NO_POINT || visit->point == LAB_H2O || !(U_mK < least))
		return;
	against(
	    r,
	    "has U = %.3g mK in visit %s (%s), below the laboratory's stated capability of %.3g "
	    "mK; state what the budget leaves out, or the capability that was assessed",
	    U_mK, visit->id, lab_point_name(visit->point), least);
}

double service_tpw_kelvin(double relative)
{
	/* dW_r/dT90 at the triple point of water, 1/K: ITS-90, equation (9a), at 273.16 K. */
	return relative / 3.98853e-3;
}

/* R(TPW), of which the certificate states the last. */
static void check_r_tpw(struct release *r, const json_t *scope,
			const struct lab_calibration_result *result)
{
	const double least = service_capability_mK(scope, 0.01);
	const struct lab_tpw_value *last =
	    result->tpw->len > 0 ? LAB_AT(result->tpw, lab_tpw_value, result->tpw->len - 1) : NULL;

	if (last == NULL || !lab_given(last->ohm.u))
		return;
	const double U_mK = 2e3 * service_tpw_kelvin(last->ohm.u / last->ohm.value);
	if (U_mK < least)
		against(r,
			"has U = %.3g mK in R(TPW), visit %s, below the laboratory's stated "
			"capability of %.3g mK; state what the budget leaves out, or the "
			"capability that was assessed",
			U_mK, last->visit, least);
}

bool service_release_within_scope(service_book *book, const char *id,
				  const struct lab_calibration_result *result,
				  base_messages *messages)
{
	struct release r = { book, id, messages, NULL, true };
	json_t *laboratory = service_book_look(book, "laboratory", "laboratory");
	const json_t *scope = json_object_get(laboratory, "scope");

	if (json_array_size(scope) == 0)
		against(&r, "can't be issued: the laboratory has stated no scope; write it into "
			    "the record laboratory");
	for (guint i = 0; r.good && i < result->curves->len; i++)
		check_range(&r, scope, LAB_AT(result->curves, lab_curve, i));
	for (guint i = 0; i < result->visits->len; i++)
		check_capability(&r, scope, LAB_AT(result->visits, lab_visit_result, i));
	check_r_tpw(&r, scope, result);
	json_decref(laboratory);
	return r.good;
}

/* ---- due dates ---- */

struct dates {
	struct release *release;
	GHashTable *due; /* "resistor S" -> latest day until which a certificate holds */
};

static bool note_due(const struct store_entry *entry, void *data, GError **error)
{
	struct dates *dates = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *equipment = service_book_text(body, "equipment");
	const char *due = service_book_text(body, "due");
	GHashTableIter things;
	gpointer thing;

	(void)error;
	g_hash_table_iter_init(&things, dates->release->things);
	while (g_hash_table_iter_next(&things, &thing, NULL)) {
		const char *known = g_hash_table_lookup(dates->due, thing);

		if (g_strcmp0(strchr(thing, ' ') + 1, equipment) == 0 &&
		    (known == NULL || strcmp(known, due) < 0))
			g_hash_table_insert(dates->due, g_strdup(thing), g_strdup(due));
	}
	json_decref(body);
	return true;
}

static void check_due(struct dates *dates, const char *day)
{
	GHashTableIter iter;
	gpointer thing, due;

	g_hash_table_iter_init(&iter, dates->due);
	while (g_hash_table_iter_next(&iter, &thing, &due))
		if (strcmp(due, day) < 0)
			against(dates->release,
				"can't be issued: %s was due on %s and was used until %s; "
				"calibrate it and enter the certificate, or open a nonconformity",
				(const char *)thing, (const char *)due, day);
}

bool service_release_within_dates(service_book *book, const char *id, const json_t *calibration,
				  const struct lab_calibration_result *result,
				  base_messages *messages)
{
	struct release r = { book, id, messages,
			     g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL), true };
	struct dates dates = { &r, g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free) };
	char day[BASE_TIME_SIZE];
	GError *error = NULL;

	note_all(&r, calibration);
	base_time_print(result->last_us, day);
	day[MIN(strlen(day), 10)] = '\0';
	if (!store_each(book->store, "equipment certificate", note_due, &dates, &error)) {
		service_book_say(messages, book->where, error);
		r.good = false;
	}
	if (day[0] != '\0') /* readings without times have no day */
		check_due(&dates, day);
	g_hash_table_destroy(dates.due);
	g_hash_table_destroy(r.things);
	return r.good;
}

bool service_release_retire_calibration(service_book *book, const struct service_act *act,
					const char *id, base_messages *messages)
{
	int64_t version;
	json_t *body = service_book_get(book, "calibration", id, &version, messages);
	bool good = body != NULL;

	if (good && g_strcmp0(service_book_text(body, "state"), "issued") == 0) {
		json_object_set_new(body, "state", json_string("replaced"));
		good = service_book_write_as(book, act, "issue", "replace", "calibration", id, body,
					     version, messages);
	}
	json_decref(body);
	return good;
}
