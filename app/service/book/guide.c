#include "app/service/book/guide.h"

#include "app/base/time.h"
#include "app/file/procedure.h"
#include "app/report/procedure.h"

#include <string.h>

#define KIND "guided work"

static bool wrong(base_messages *messages, const char *id, const char *format, ...)
    G_GNUC_PRINTF(3, 4);
static bool wrong(base_messages *messages, const char *id, const char *format, ...)
{
	g_autofree char *label = service_book_label(KIND, id), *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", text);
	return false;
}

static bool end(service_book *book, bool good, base_messages *messages)
{
	if (good)
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}

/* ---- the words ---- */

static bool keep_words(service_book *book, const lab_procedure *procedure, const char *id,
		       char ret_sha256[STORE_HASH_SIZE], base_messages *messages)
{
	g_autofree char *label = service_book_label(KIND, id);
	g_autoptr(GString) text = g_string_new(NULL);
	GError *error = NULL;

	report_procedure_json(procedure, text);
	if (store_put_file(book->store, text->str, text->len, ret_sha256, &error))
		return true;
	service_book_say(messages, label, error);
	return false;
}

static lab_procedure *kept_words(service_book *book, const json_t *body, const char *id,
				 base_messages *messages)
{
	g_autofree char *label = service_book_label(KIND, id);
	GError *error = NULL;
	g_autoptr(GBytes) bytes =
	    store_get_file(book->store, service_book_text(body, "words"), &error);

	if (bytes != NULL)
		return file_parse_kept_procedure(label, bytes, messages);
	service_book_say(messages, label, error);
	return NULL;
}

bool service_guided_begin(service_book *book, const struct service_act *act,
			  const struct service_guided_beginning *beginning, base_messages *messages)
{
	g_autoptr(lab_procedure) procedure =
	    file_read_procedure(beginning->procedure, beginning->change, messages);
	char sha256[STORE_HASH_SIZE];
	json_t *about = json_array(), *body;
	bool good;

	for (const char *const *id = beginning->about; *id != NULL; id++)
		json_array_append_new(about, json_string(*id));
	good = procedure != NULL && service_book_begin(book, messages);
	if (good) {
		good = keep_words(book, procedure, beginning->id, sha256, messages);
		body = json_pack("{ss ss sO s[] s[] ss}", "procedure", procedure->name, "words",
				 good ? sha256 : "", "about", about, "shown", "done", "state",
				 "going on");
		good = good && service_book_write(book, act, "begin", KIND, beginning->id, body, 0,
						  messages);
		json_decref(body);
		good = end(book, good, messages);
	}
	json_decref(about);
	return good;
}

/* ---- where it stands ---- */

/* A piece of guided work as the book has it, within a transaction. */
struct guided {
	service_book *book;
	const struct service_act *act;
	const char *id;
	base_messages *messages;
	json_t *body;
	int64_t version;
	lab_procedure *procedure;
	char time[BASE_TIME_SIZE]; /* of the act */
};

static const struct lab_step *next_step(const struct guided *g)
{
	const size_t done = json_array_size(json_object_get(g->body, "done"));

	return done < g->procedure->steps->len ? g->procedure->steps->pdata[done] : NULL;
}

/* Reads it; false, with a message, unless it is going on and has a next step. */
static bool look_at(struct guided *g)
{
	g->body = service_book_get(g->book, KIND, g->id, &g->version, g->messages);
	if (g->body == NULL)
		return false;
	g->procedure = kept_words(g->book, g->body, g->id, g->messages);
	base_time_print(service_book_time(g->book, g->act), g->time);
	if (g->procedure == NULL)
		return false;
	if (strcmp(service_book_text(g->body, "state"), "going on") == 0 && next_step(g) != NULL)
		return true;
	return wrong(g->messages, g->id, "is %s; begin it anew under another id",
		     service_book_text(g->body, "state"));
}

static void forget(struct guided *g)
{
	lab_procedure_free(g->procedure);
	json_decref(g->body);
}

static bool holds(const json_t *entry, const char *name, const char *text)
{
	return g_strcmp0(service_book_text(entry, name), text) == 0;
}

/* Whether a caution of a step was shown to whoever acts, by what the book has already. */
static bool was_shown(const struct guided *g, const struct lab_step *step,
		      const struct lab_caution *caution)
{
	size_t i;
	json_t *entry;

	json_array_foreach(json_object_get(g->body, "shown"), i, entry)
	{
		if (holds(entry, "step", step->id) && holds(entry, "caution", caution->id) &&
		    holds(entry, "person", g->act->person))
			return true;
	}
	return false;
}

/* ---- the next step ---- */

static void note_showings(struct guided *g, const struct lab_step *step)
{
	json_t *shown = json_object_get(g->body, "shown");

	for (guint i = 0; i < step->cautions->len; i++) {
		const struct lab_caution *caution = step->cautions->pdata[i];

		json_array_append_new(shown, json_pack("{ss ss ss ss}", "step", step->id, "caution",
						       caution->id, "time", g->time, "person",
						       g->act->person));
	}
}

static bool show_step(struct guided *g, service_guided_show *show, void *data)
{
	g_autoptr(GString) text = g_string_new(NULL);
	const struct lab_step *step;

	if (!look_at(g))
		return false;
	step = next_step(g);
	g_string_append_printf(
	    text, "%s (%s), step %zu of %u\n\n", g->procedure->title, g->procedure->name,
	    json_array_size(json_object_get(g->body, "done")) + 1, g->procedure->steps->len);
	report_step_text(g->procedure, (guint)json_array_size(json_object_get(g->body, "done")),
			 text);
	g_string_append_printf(text, "\nThen: firn book done %s %s%s\n", g->id, step->id,
			       step->write_down->len > 0 ? " --found TEXT" : "");
	note_showings(g, step);
	/* Shown before it is kept: what could not be shown must not stand there as shown. */
	if (step->cautions->len > 0 && !service_book_write(g->book, g->act, "show", KIND, g->id,
							   g->body, g->version, g->messages))
		return false;
	return show(text, data) ||
	       wrong(g->messages, g->id, "could not be shown, and nothing is recorded as shown");
}

bool service_guided_next(service_book *book, const struct service_act *act, const char *id,
			 service_guided_show *show, void *data, base_messages *messages)
{
	struct guided g = { book, act, id, messages, NULL, 0, NULL, "" };
	bool good;

	if (!service_book_begin(book, messages))
		return false;
	good = show_step(&g, show, data);
	forget(&g);
	return end(book, good, messages);
}

/* ---- a step done ---- */

static bool cautions_were_shown(const struct guided *g, const struct lab_step *step)
{
	g_autoptr(GString) missing = g_string_new(NULL);

	for (guint i = 0; i < step->cautions->len; i++) {
		const struct lab_caution *caution = step->cautions->pdata[i];

		if (!was_shown(g, step, caution))
			g_string_append_printf(missing, "%s%s", missing->len > 0 ? ", " : "",
					       caution->id);
	}
	return missing->len == 0 ||
	       wrong(g->messages, g->id,
		     "step %s has cautions that %s has not been shown (%s); firn book next %s "
		     "shows them",
		     step->id, g->act->person, missing->str, g->id);
}

static bool may_be_done(const struct guided *g, const struct service_step_done *done)
{
	const struct lab_step *step = next_step(g);
	g_autoptr(GString) asked = g_string_new(NULL);

	if (lab_procedure_step(g->procedure, done->step, NULL) == NULL)
		return wrong(g->messages, g->id, "has no step %.60s; the next one is %s",
			     done->step, step->id);
	if (strcmp(done->step, step->id) != 0)
		return wrong(g->messages, g->id,
			     "has step %s next, and %s is not its turn; steps go in their order",
			     step->id, done->step);
	if (done->not_done != NULL)
		return true;
	for (guint i = 0; i < step->write_down->len; i++)
		g_string_append_printf(asked, "%s%s", i > 0 ? "; " : "",
				       (const char *)step->write_down->pdata[i]);
	if (step->write_down->len > 0 && done->found == NULL)
		wrong(g->messages, g->id, "step %s asks to write down: %s; say it with --found",
		      step->id, asked->str);
	return cautions_were_shown(g, step) && (step->write_down->len == 0 || done->found != NULL);
}

static bool note_done(struct guided *g, const struct service_step_done *done, bool *ret_finished)
{
	json_t *entry;

	if (!look_at(g) || !may_be_done(g, done))
		return false;
	entry =
	    json_pack("{ss ss ss}", "step", done->step, "time", g->time, "person", g->act->person);
	if (done->found != NULL)
		json_object_set_new(entry, "found", json_string(done->found));
	if (done->not_done != NULL)
		json_object_set_new(entry, "not_done", json_string(done->not_done));
	json_array_append_new(json_object_get(g->body, "done"), entry);
	*ret_finished = next_step(g) == NULL;
	if (*ret_finished)
		json_object_set_new(g->body, "state", json_string("finished"));
	return service_book_write(g->book, g->act, done->not_done != NULL ? "pass over" : "do",
				  KIND, g->id, g->body, g->version, g->messages);
}

bool service_guided_done(service_book *book, const struct service_act *act,
			 const struct service_step_done *done, bool *ret_finished,
			 base_messages *messages)
{
	struct guided g = { book, act, done->id, messages, NULL, 0, NULL, "" };
	bool good;

	if (!service_book_begin(book, messages))
		return false;
	good = note_done(&g, done, ret_finished);
	forget(&g);
	return end(book, good, messages);
}
