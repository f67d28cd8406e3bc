/* What nobody may write by hand, whatever the rights. */
#include "app/service/book/book.h"

#include <string.h>

/* A record about to be written. */
struct writing {
	service_book *book;
	const char *kind, *id;
	const json_t *body;
	base_messages *messages;
};

static bool refuse(const struct writing *w, const char *why)
{
	g_autofree char *label = service_book_label(w->kind, w->id);

	base_messages_add(w->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", why);
	return false;
}

/* ---- what a use case alone makes ---- */

static const char *const of_use_cases[] = { "job_file",   "readings_file", "result_file",
					    "reduced_by", "checked_by",    "certificate_number" };

static bool is_made_by_use_case(const char *state)
{
	static const char *const states[] = { "reduced", "checked", "issued", "replaced", NULL };

	return state != NULL && g_strv_contains(states, state);
}

static bool calibration_may_be_put(const json_t *before, const json_t *body)
{
	const char *state = service_book_text(body, "state");

	if (is_made_by_use_case(state) && g_strcmp0(service_book_text(before, "state"), state) != 0)
		return false;
	for (size_t i = 0; i < G_N_ELEMENTS(of_use_cases); i++)
		if (g_strcmp0(service_book_text(before, of_use_cases[i]),
			      service_book_text(body, of_use_cases[i])) != 0)
			return false;
	return true;
}

/* By hand it may only end in such a state, with a reason or a note. */
static bool only_ends(const json_t *before, const json_t *body, const char *state)
{
	static const char *const free_to_change[] = { "state", "reason", "note" };
	json_t *a = json_deep_copy(before), *b = json_deep_copy(body);
	bool good = before != NULL && g_strcmp0(service_book_text(body, "state"), state) == 0;

	for (size_t i = 0; i < G_N_ELEMENTS(free_to_change); i++) {
		json_object_del(a, free_to_change[i]);
		json_object_del(b, free_to_change[i]);
	}
	good = good && json_equal(a, b);
	json_decref(a);
	json_decref(b);
	return good;
}

static bool certificate_may_be_put(const json_t *before, const json_t *body)
{
	return only_ends(before, body, "withdrawn");
}

static bool guided_work_may_be_put(const json_t *before, const json_t *body)
{
	return only_ends(before, body, "given up");
}

static const struct of_use_case {
	const char *kind;
	bool (*may_be_put)(const json_t *before, const json_t *body);
	const char *refusal;
} made[] = {
	{ "calibration", calibration_may_be_put,
	  "can't be made reduced, checked, issued or replaced by writing it so, nor can what these "
	  "leave in it be changed; use `firn book reduce`, `agree` and `issue`" },
	{ "certificate", certificate_may_be_put,
	  "is made by `firn book issue` alone; by hand an issued one can only become withdrawn" },
	{ "guided work", guided_work_may_be_put,
	  "is written by `firn book guide`, `next` and `done` alone, so that no caution is passed "
	  "over; by hand it can only be given up" },
};

static bool is_nobodys_use_case(const struct writing *w)
{
	for (size_t i = 0; i < G_N_ELEMENTS(made); i++) {
		json_t *before;
		bool good;

		if (strcmp(w->kind, made[i].kind) != 0)
			continue;
		before = service_book_look(w->book, w->kind, w->id);
		good = made[i].may_be_put(before, w->body);
		json_decref(before);
		return good || refuse(w, made[i].refusal);
	}
	return true;
}

/* ---- what was simulated ---- */

static bool is_real_enough(const struct writing *w)
{
	if (store_identity(w->book->store)->simulated)
		return true;
	if (strcmp(w->kind, "visit") == 0 &&
	    g_strcmp0(service_book_text(w->body, "provenance"), "simulated") == 0)
		return refuse(w,
			      "holds simulated readings, which a real book refuses; keep them in "
			      "a book made with --simulated");
	if (strcmp(w->kind, "calibration") == 0 &&
	    json_is_true(json_object_get(json_object_get(w->body, "job"), "simulated")))
		return refuse(w, "is simulated, and a real book refuses it; keep it in a book made "
				 "with --simulated");
	return true;
}

/* ---- why ---- */

static bool has_reason(const struct writing *w, const char *why, int64_t expected)
{
	if (expected == 0 || (why != NULL && why[strspn(why, " \t\n")] != '\0'))
		return true;
	return refuse(w, "is in the book already and changes only with a reason; say why (--why)");
}

bool service_book_may_be_put(service_book *book, const struct service_act *act, const char *kind,
			     const char *id, const json_t *body, int64_t expected,
			     base_messages *messages)
{
	const struct writing w = { book, kind, id, body, messages };

	return is_nobodys_use_case(&w) && is_real_enough(&w) && has_reason(&w, act->why, expected);
}
