#include "app/service/book/calibrate.h"

#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/report/result_json.h"
#include "app/report/text.h"
#include "app/service/book/compose.h"
#include "app/service/book/own_work.h"
#include "app/service/book/release.h"

#include <string.h>

bool service_book_compute(GBytes *job, GBytes *readings, struct service_reduced *ret,
			  base_messages *messages)
{
	*ret = (struct service_reduced){ NULL, NULL, NULL };
	ret->job = file_parse_calibration(SERVICE_JOB_NAME, job, readings, messages);
	if (ret->job != NULL)
		ret->result = calc_reduce(ret->job, messages);
	if (ret->result == NULL) {
		service_reduced_clear(ret);
		return false;
	}
	ret->json = g_string_new(NULL);
	report_calibration_json(ret->job, ret->result, ret->json);
	return true;
}

void service_reduced_clear(struct service_reduced *reduced)
{
	if (reduced->job != NULL)
		lab_calibration_free(reduced->job);
	if (reduced->result != NULL)
		lab_calibration_result_free(reduced->result);
	if (reduced->json != NULL)
		g_string_free(reduced->json, TRUE);
	*reduced = (struct service_reduced){ NULL, NULL, NULL };
}

static void say(base_messages *messages, const char *id, const char *text)
{
	g_autofree char *label = service_book_label("calibration", id);

	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", text);
}

/* Bytes into the book; their SHA-256 into the record. */
static bool keep(service_book *book, json_t *body, const char *name, const void *bytes, size_t n,
		 base_messages *messages)
{
	char sha256[STORE_HASH_SIZE];
	GError *error = NULL;

	if (!store_put_file(book->store, bytes, n, sha256, &error)) {
		service_book_say(messages, book->where, error);
		return false;
	}
	json_object_set_new(body, name, json_string(sha256));
	return true;
}

static bool keep_bytes(service_book *book, json_t *body, const char *name, GBytes *bytes,
		       base_messages *messages)
{
	return keep(book, body, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes),
		    messages);
}

/* What a reduction brings together. */
struct reduction {
	service_book *book;
	const struct service_act *act;
	const char *id;
	json_t *body; /* of the calibration */
	int64_t version;
	GBytes *job, *readings;
	struct service_reduced reduced;
};

static bool write_reduced(const struct reduction *r, base_messages *messages)
{
	json_object_set_new(r->body, "state", json_string("reduced"));
	json_object_set_new(r->body, "reduced_by", json_string(r->act->person));
	json_object_del(r->body, "checked_by");
	return keep_bytes(r->book, r->body, "job_file", r->job, messages) &&
	       keep_bytes(r->book, r->body, "readings_file", r->readings, messages) &&
	       keep(r->book, r->body, "result_file", r->reduced.json->str, r->reduced.json->len,
		    messages) &&
	       service_book_write(r->book, r->act, "reduce", "calibration", r->id, r->body,
				  r->version, messages);
}

static bool reduce_all(struct reduction *r, base_messages *messages)
{
	r->body = service_book_get(r->book, "calibration", r->id, &r->version, messages);
	return r->body != NULL &&
	       service_book_compose(r->book, r->id, r->body, NULL, &r->job, &r->readings,
				    messages) &&
	       service_book_compute(r->job, r->readings, &r->reduced, messages) &&
	       write_reduced(r, messages);
}

bool service_calibration_reduce(service_book *book, const struct service_act *act, const char *id,
				GString *output, base_messages *messages)
{
	struct reduction r = { .book = book, .act = act, .id = id };
	const bool good = service_book_begin(book, messages) &&
			  service_book_end(book, reduce_all(&r, messages), messages);

	if (good && output != NULL)
		report_calibration_text(r.reduced.job, r.reduced.result, output);
	service_reduced_clear(&r.reduced);
	json_decref(r.body);
	g_clear_pointer(&r.job, g_bytes_unref);
	g_clear_pointer(&r.readings, g_bytes_unref);
	return good;
}

/* ---- checking ---- */

static bool is_kept(const json_t *body, const char *name, GBytes *bytes)
{
	g_autofree char *sha256 = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);

	return g_strcmp0(service_book_text(body, name), sha256) == 0;
}

/* What the records say now is what was reduced, and computing it again gives the same. */
bool service_calibration_still_holds(service_book *book, const char *id, const json_t *body,
				     base_messages *messages)
{
	json_t *as_reduced = json_deep_copy(body);
	g_autoptr(GBytes) job = NULL, readings = NULL;
	struct service_reduced reduced = { NULL, NULL, NULL };
	bool good;

	json_object_del(as_reduced, "checked_by"); /* it was not there yet */
	good = service_book_compose(book, id, as_reduced, NULL, &job, &readings, messages);
	json_decref(as_reduced);
	if (!good)
		return false;
	if (!is_kept(body, "job_file", job) || !is_kept(body, "readings_file", readings)) {
		say(messages, id,
		    "is not what was reduced: its records have changed since; reduce "
		    "it again");
		return false;
	}
	good = service_book_compute(job, readings, &reduced, messages);
	if (good) {
		g_autoptr(GBytes) json = g_bytes_new(reduced.json->str, reduced.json->len);

		good = is_kept(body, "result_file", json);
		if (!good)
			say(messages, id,
			    "gives another result when it is computed again; reduce "
			    "it again with this program");
	}
	service_reduced_clear(&reduced);
	return good;
}

static bool has_state(const json_t *body, const char *state, const char *what, const char *id,
		      base_messages *messages)
{
	const char *is = service_book_text(body, "state");

	if (g_strcmp0(is, state) == 0)
		return true;
	g_autofree char *text =
	    g_strdup_printf("is %s and can't be %s; it must be %s first", is, what, state);
	say(messages, id, text);
	return false;
}

static bool check_all(service_book *book, const struct service_act *act, const char *id,
		      base_messages *messages)
{
	int64_t version;
	json_t *body = service_book_get(book, "calibration", id, &version, messages);
	bool good = body != NULL && service_book_may(book, act, "check", messages) &&
		    has_state(body, "reduced", "checked", id, messages) &&
		    service_may_do_step(book, id, body, act->person, SERVICE_CHECKING, messages) &&
		    service_calibration_still_holds(book, id, body, messages);

	if (good) {
		json_object_set_new(body, "state", json_string("checked"));
		json_object_set_new(body, "checked_by", json_string(act->person));
		good = service_book_write_as(book, act, "check", "check", "calibration", id, body,
					     version, messages);
	}
	json_decref(body);
	return good;
}

bool service_calibration_check(service_book *book, const struct service_act *act, const char *id,
			       base_messages *messages)
{
	return service_book_begin(book, messages) &&
	       service_book_end(book, check_all(book, act, id, messages), messages);
}
