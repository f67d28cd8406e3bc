#include "app/service/book/mantle.h"

#include "app/base/time.h"
#include "app/service/book/book.h"

#include <string.h>

#define UNSEEN_U_M 3e-3 /* of a first thickness that nobody wrote down; ours */

static const struct lab_quantity nothing = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };

/* What is looked for while the book is read. */
struct search {
	service_book *book;
	struct lab_cell_study *study;
	base_messages *messages;
	char *realisation; /* id */
	int64_t begun_us;
	enum lab_freezing way;
};

static int64_t time_of(const json_t *body, const char *name)
{
	const char *text = service_book_text(body, name);
	int64_t us = BASE_NO_TIME;

	if (text == NULL || base_time_parse(text, strlen(text), &us) != NULL)
		return BASE_NO_TIME;
	return us;
}

static enum lab_freezing way_named(const char *name)
{
	for (int i = LAB_DRY_ICE; i <= LAB_SUPERCOOLING; i++)
		if (g_strcmp0(name, lab_freezing_name((enum lab_freezing)i)) == 0)
			return (enum lab_freezing)i;
	return LAB_FREEZING_NOT_SAID;
}

/* The latest of this cell that is still alive. */
static bool one_realisation(const struct store_entry *entry, void *data, GError **error)
{
	struct search *s = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const int64_t begun = time_of(body, "begun");

	(void)error;
	if (g_strcmp0(service_book_text(body, "cell"), s->study->cell.id) == 0 &&
	    g_strcmp0(service_book_text(body, "state"), "ended") != 0 && begun != BASE_NO_TIME &&
	    (s->realisation == NULL || begun > s->begun_us)) {
		g_free(s->realisation);
		s->realisation = g_strdup(entry->id);
		s->begun_us = begun;
		s->way = way_named(service_book_text(body, "method"));
	}
	json_decref(body);
	return true;
}

static bool is_of(const struct search *s, const json_t *body)
{
	return g_strcmp0(service_book_text(body, "realisation"), s->realisation) == 0;
}

static int yes_or_no(const json_t *body, const char *name)
{
	const json_t *value = json_object_get(body, name);

	return json_is_boolean(value) ? json_is_true(value) : -1;
}

static bool one_inspection(const struct store_entry *entry, void *data, GError **error)
{
	struct search *s = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const json_t *ice = json_object_get(body, "ice_mm");
	struct lab_mantle_look look = {
		.time_us = time_of(body, "time"),
		.ice_m = nothing,
		.free = yes_or_no(body, "free"),
		.bridge = yes_or_no(body, "bridge"),
	};

	(void)error;
	if (is_of(s, body) && look.time_us != BASE_NO_TIME && look.time_us >= s->begun_us) {
		if (json_is_number(ice))
			look.ice_m.value = 1e-3 * json_number_value(ice);
		look.note = lab_cell_study_text(s->study, service_book_text(body, "found"));
		g_array_append_val(s->study->mantle.looks, look);
	}
	json_decref(body);
	return true;
}

static bool one_visit(const struct store_entry *entry, void *data, GError **error)
{
	struct search *s = data;
	const struct lab_cell_study *study = s->study;
	json_t *body = json_loads(entry->body, 0, NULL);
	const bool counts = is_of(s, body);
	struct lab_mantle_visit visit = { .time_us = entry->time_us,
					  .from_C = lab_stated(&study->wanted.from_C)
							? study->wanted.from_C
							: study->surroundings.ambient_C,
					  .heat_capacity_J_per_K = nothing };

	json_decref(body);
	if (!counts || visit.time_us < s->begun_us)
		return true;
	if (!lab_stated(&visit.from_C) || !study->thermometer.given) {
		base_messages_add(
		    s->messages, BASE_RESERVATION, study->path, study->cell.mark,
		    "visit %s to this mantle is not counted: the heat that it brought "
		    "can't be told; give a thermometer, and wanted: {from_C}",
		    entry->id);
		return true;
	}
	(void)error;
	g_array_append_val(s->study->mantle.visits, visit);
	return true;
}

static int earlier_look(const void *a, const void *b)
{
	const struct lab_mantle_look *x = a, *y = b;

	return (x->time_us > y->time_us) - (x->time_us < y->time_us);
}

static int earlier_visit(const void *a, const void *b)
{
	const struct lab_mantle_visit *x = a, *y = b;

	return (x->time_us > y->time_us) - (x->time_us < y->time_us);
}

/* What was wanted when it was made, or what was seen first. */
static struct lab_quantity first_thickness(const struct lab_cell_study *study)
{
	struct lab_quantity first = study->preparation.ice_m;

	for (guint i = 0; !lab_stated(&first) && i < study->mantle.looks->len; i++)
		first.value = LAB_AT(study->mantle.looks, lab_mantle_look, i)->ice_m.value;
	if (!lab_given(first.u))
		first.u = UNSEEN_U_M;
	return first;
}

static bool say(struct search *s, const char *text)
{
	base_messages_add(s->messages, BASE_ERROR, s->study->path, s->study->cell.mark, "%s", text);
	return false;
}

static bool read_mantle(struct search *s)
{
	struct lab_mantle *m = &s->study->mantle;
	store *from = s->book->store;
	GError *error = NULL;

	if (!store_each(from, "realisation", one_realisation, s, &error) ||
	    (s->realisation != NULL &&
	     (!store_each(from, "inspection", one_inspection, s, &error) ||
	      !store_each(from, "visit", one_visit, s, &error)))) {
		base_messages_add(s->messages, BASE_FAILURE, s->book->where,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		g_clear_error(&error);
		return false;
	}
	if (s->realisation == NULL) {
		g_autofree char *text =
		    g_strdup_printf("the book has no mantle of cell %s that is alive; its "
				    "realisations have ended, or name another cell",
				    s->study->cell.id);

		return say(s, text);
	}
	g_array_sort(m->looks, earlier_look);
	g_array_sort(m->visits, earlier_visit);
	m->given = true;
	m->mark = s->study->cell.mark;
	m->way = s->way;
	m->frozen_us = s->begun_us;
	m->ice_m = first_thickness(s->study);
	if (!lab_stated(&m->ice_m))
		return say(
		    s, "no inspection in the book tells a thickness; look at the mantle, or give "
		       "preparation: {way, ice_mm}");
	if (!store_identity(from)->simulated)
		m->at_us = MAX(m->frozen_us,
			       service_book_time(s->book, &(struct service_act){ .time_us = 0 }));
	return true;
}

bool service_cell_mantle(const char *where, struct lab_cell_study *study, base_messages *messages)
{
	struct search s = { .study = study, .messages = messages };
	bool good;

	if (study->mantle.given || study->cell.id == NULL)
		return say(&s,
			   study->mantle.given
			       ? "the file has a mantle, and the book has one too; leave it out of "
				 "the file"
			       : "cell has no id; with --book it is that of the book's record");

	g_autoptr(service_book) book = service_book_open(where, false, messages);
	if (book == NULL)
		return false;
	s.book = book;
	good = read_mantle(&s);
	g_free(s.realisation);
	return good;
}
