/* Releasing a certificate: everything that must hold, then one transaction. */
#include "app/base/time.h"
#include "app/report/certificate.h"
#include "app/report/program.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/clauses.h"
#include "app/service/book/compose.h"
#include "app/service/book/gates.h"
#include "app/service/book/own_work.h"
#include "app/service/book/release.h"

#include <string.h>

json_t *service_environment(void)
{
	const struct report_library *libraries;
	const size_t n = report_program_libraries(&libraries);
	g_autoptr(GString) list = g_string_new(NULL);

	for (size_t i = 0; i < n; i++)
		g_string_append_printf(list, "%s%s %s", i > 0 ? ", " : "", libraries[i].name,
				       libraries[i].version);
	g_autofree char *program =
	    g_strdup_printf("%s %s", report_program_version, report_program_build());
	return json_pack("{ss ss ss}", "program", program, "libraries", list->str, "constants",
			 report_program_constants());
}

/* What an issue brings together before anything is written. */
struct issue {
	service_book *book;
	const struct service_act *act;
	const char *id, *number, *replaces;
	base_messages *messages;
	json_t *body; /* of the calibration */
	int64_t version;
	char date[BASE_TIME_SIZE];
	GBytes *job, *readings;
	struct service_reduced reduced;
	GByteArray *pdf;
};

static bool compute(struct issue *is)
{
	json_t *person = service_book_get(is->book, "person", is->act->person, NULL, is->messages);
	const char *function = service_book_text(person, "function");
	g_autofree char *replaces =
	    is->replaces != NULL ? g_strdup_printf("%s, because: %s", is->replaces, is->act->why)
				 : NULL;
	const struct service_release release = {
		.number = is->number,
		.date = is->date,
		.name = service_book_text(person, "name"),
		.function = function != NULL ? function : "signatory",
		.replaces = replaces,
	};
	const bool good = person != NULL &&
			  service_book_compose(is->book, is->id, is->body, &release, &is->job,
					       &is->readings, is->messages) &&
			  service_book_compute(is->job, is->readings, &is->reduced, is->messages);

	json_decref(person);
	return good;
}

static bool keep(const struct issue *is, json_t *body, const char *name, const void *bytes,
		 size_t n)
{
	char sha256[STORE_HASH_SIZE];
	GError *error = NULL;

	if (!store_put_file(is->book->store, bytes, n, sha256, &error)) {
		service_book_say(is->messages, is->book->where, error);
		return false;
	}
	json_object_set_new(body, name, json_string(sha256));
	return true;
}

static bool keep_all(const struct issue *is, json_t *body)
{
	gsize n_job, n_readings;
	const void *job = g_bytes_get_data(is->job, &n_job);
	const void *readings = g_bytes_get_data(is->readings, &n_readings);

	return keep(is, body, "pdf", is->pdf->data, is->pdf->len) &&
	       keep(is, body, "result", is->reduced.json->str, is->reduced.json->len) &&
	       keep(is, body, "job", job, n_job) &&
	       keep(is, body, "readings", readings, n_readings);
}

static bool write_certificate(const struct issue *is)
{
	const bool own = service_is_own_work(is->book, is->id, is->body, is->act->person);
	json_t *body = json_pack("{ss ss ss so sb so* ss}", "calibration", is->id, "date", is->date,
				 "signatory", is->act->person, "environment", service_environment(),
				 "own_work", own, "rule", service_rule_of_own_work(is->book),
				 "state", "issued");
	bool good;

	if (is->replaces != NULL) {
		json_object_set_new(body, "replaces", json_string(is->replaces));
		json_object_set_new(body, "reason", json_string(is->act->why));
	}
	good = keep_all(is, body) &&
	       service_book_write_as(is->book, is->act, "issue", "issue", "certificate", is->number,
				     body, 0, is->messages);
	json_decref(body);
	return good;
}

static bool finish_calibration(const struct issue *is)
{
	json_object_set_new(is->body, "state", json_string("issued"));
	json_object_set_new(is->body, "certificate_number", json_string(is->number));
	return service_book_write_as(is->book, is->act, "issue", "issue", "calibration", is->id,
				     is->body, is->version, is->messages);
}

/* 7.8.8: the old one stays, says by what it is replaced, and is valid no more. */
static bool retire_replaced(const struct issue *is)
{
	int64_t version;
	json_t *old;
	bool good;

	if (is->replaces == NULL)
		return true;
	old = service_book_get(is->book, "certificate", is->replaces, &version, is->messages);
	if (old == NULL)
		return false;
	json_object_set_new(old, "state", json_string("replaced"));
	json_object_set_new(old, "replaced_by", json_string(is->number));
	good = service_book_write_as(is->book, is->act, "issue", "replace", "certificate",
				     is->replaces, old, version, is->messages) &&
	       service_release_retire_calibration(
		   is->book, is->act, service_book_text(old, "calibration"), is->messages);
	json_decref(old);
	return good;
}

/* All that holds the release back is told at once. */
static bool may_be_released(const struct issue *is)
{
	const lab_calibration_result *result = is->reduced.result;
	bool good = service_release_within_scope(is->book, is->id, result, is->messages);

	good =
	    service_release_within_dates(is->book, is->id, is->body, result, is->messages) && good;
	good = service_release_meets_clauses(is->id, is->reduced.job, result, is->messages) && good;
	return service_release_through_gates(is->book, is->act, is->id, is->body, &is->reduced,
					     is->messages) &&
	       good;
}

static bool issue_all(struct issue *is)
{
	is->body = service_book_get(is->book, "calibration", is->id, &is->version, is->messages);
	return is->body != NULL && service_book_may(is->book, is->act, "issue", is->messages) &&
	       service_release_allowed(is->book, is->act, is->id, is->body, is->replaces,
				       is->messages) &&
	       compute(is) && may_be_released(is) &&
	       report_certificate_pdf(is->reduced.job, is->reduced.result, is->pdf, is->messages) &&
	       write_certificate(is) && finish_calibration(is) && retire_replaced(is);
}

static void clear(struct issue *is)
{
	json_decref(is->body);
	g_clear_pointer(&is->job, g_bytes_unref);
	g_clear_pointer(&is->readings, g_bytes_unref);
	service_reduced_clear(&is->reduced);
	g_byte_array_unref(is->pdf);
}

bool service_certificate_issue(service_book *book, const struct service_act *act,
			       const char *calibration, const char *number, const char *replaces,
			       base_messages *messages)
{
	struct issue is = { .book = book,
			    .act = act,
			    .id = calibration,
			    .number = number,
			    .replaces = replaces,
			    .messages = messages,
			    .pdf = g_byte_array_new() };
	bool good;

	base_time_print(service_book_time(book, act), is.date);
	is.date[10] = '\0';
	/* All of it in the transaction that writes: nobody opens a nonconformity in between. */
	good =
	    service_book_begin(book, messages) && service_book_end(book, issue_all(&is), messages);
	clear(&is);
	return good;
}
