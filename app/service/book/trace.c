#include "app/base/time.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/service/book/certificate.h"
#include "app/service/book/compose.h"
#include "app/service/book/timeline.h"

#include <string.h>

struct trace {
	service_book *book;
	GString *to;
	base_messages *messages;
	GHashTable *told;   /* equipment that was told already */
	int64_t issued_seq; /* of the certificate's first entry, and its day: what came later ... */
	const char *issued; /* ... is not behind it */
};

/* ---- people and times: the versions of the calibration ---- */

static bool tell_step(const struct store_entry *entry, void *data, GError **error)
{
	const struct trace *t = data;
	char time[BASE_TIME_SIZE];

	(void)error;
	base_time_print(entry->time_us, time);
	g_string_append_printf(t->to, "  %s  %s by %s (entry %" G_GINT64_FORMAT ", %.12s...)\n",
			       time, entry->action, entry->who, entry->seq, entry->hash);
	return true;
}

/* Certificates of earlier programs don't record the rule. */
static void tell_rule(const struct trace *t, const json_t *certificate)
{
	const json_t *rule = json_object_get(certificate, "rule");

	g_string_append(t->to, json_is_true(json_object_get(certificate, "own_work"))
				   ? "  of one's own work"
				   : "  measured, checked and issued by different people");
	if (rule != NULL)
		g_string_append_printf(
		    t->to,
		    "; by the rule of laboratory, version %d, one may%s check and may%s issue "
		    "one's own",
		    (int)json_integer_value(json_object_get(rule, "laboratory_version")),
		    json_is_true(json_object_get(rule, "may_check_own_work")) ? "" : " not",
		    json_is_true(json_object_get(rule, "may_issue_own_work")) ? "" : " not");
	g_string_append_c(t->to, '\n');
}

static void tell_issue(const json_t *certificate, const char *number, GString *to)
{
	const char *state = service_book_text(certificate, "state");

	g_string_append_printf(to, "certificate %s, issued %s by %s", number,
			       service_book_text(certificate, "date"),
			       service_book_text(certificate, "signatory"));
	if (g_strcmp0(state, "issued") != 0)
		g_string_append_printf(to, ", %s since", state);
	g_string_append_c(to, '\n');
}

static void tell_files(const struct trace *t, const json_t *certificate)
{
	static const char *const files[] = { "pdf", "result", "job", "readings" };

	for (size_t i = 0; i < G_N_ELEMENTS(files); i++)
		g_string_append_printf(t->to, "  %-9s SHA-256 %s\n", files[i],
				       service_book_text(certificate, files[i]));
}

/* ---- equipment ---- */

struct certificates {
	const struct trace *trace;
	const char *equipment;
};

/* " ohm"; nothing of a pure number. */
static char *unit_of(const json_t *body)
{
	const char *unit = service_book_text(body, "unit");

	return g_strcmp0(unit, "1") == 0 ? g_strdup("") : g_strdup_printf(" %s", unit);
}

static void print_certificate(const json_t *body, GString *to)
{
	const json_t *k = json_object_get(body, "k"), *p = json_object_get(body, "p");
	g_autofree char *unit = unit_of(body);

	g_string_append_printf(to, "      certificate %s of %s, %s: %s = %.10g%s, U = %.3g%s",
			       service_book_text(body, "number"), service_book_text(body, "issuer"),
			       service_book_text(body, "date"), service_book_text(body, "quantity"),
			       json_number_value(json_object_get(body, "value")), unit,
			       json_number_value(json_object_get(body, "U")), unit);
	if (k != NULL || p != NULL)
		g_string_append_printf(to, " (%s = %g)", k != NULL ? "k" : "p",
				       json_number_value(k != NULL ? k : p));
	g_string_append_printf(to, ", due %s\n", service_book_text(body, "due"));
}

static bool tell_certificate(const struct store_entry *entry, void *data, GError **error)
{
	const struct certificates *c = data;
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	if (g_strcmp0(service_book_text(body, "equipment"), c->equipment) == 0 &&
	    g_strcmp0(service_book_text(body, "date"), c->trace->issued) <= 0)
		print_certificate(body, c->trace->to);
	json_decref(body);
	return true;
}

struct version {
	int64_t until_seq, version;
};

/* Versions come in rising order. */
static bool note_version(const struct store_entry *entry, void *data, GError **error)
{
	struct version *v = data;

	(void)error;
	if (entry->seq <= v->until_seq)
		v->version = entry->version;
	return true;
}

static void tell_equipment(const struct trace *t, const char *kind, const char *id)
{
	struct certificates c = { t, id };
	struct version v = { t->issued_seq, 0 };

	if (id == NULL || !store_history(t->book->store, kind, id, note_version, &v, NULL))
		return;
	g_string_append_printf(t->to, "    %s %s, version %d\n", kind, id, (int)v.version);
	if (g_hash_table_add(t->told, service_book_label(kind, id)))
		(void)store_each(t->book->store, "equipment certificate", tell_certificate, &c,
				 NULL);
}

/* ---- visits ---- */

struct blocks {
	const struct trace *trace;
	const char *visit;
};

static bool tell_block(const struct store_entry *entry, void *data, GError **error)
{
	const struct blocks *b = data;
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	if (g_strcmp0(service_book_text(body, "visit"), b->visit) == 0)
		g_string_append_printf(
		    b->trace->to,
		    "    readings %d to %d, sealed as block %d (entry %" G_GINT64_FORMAT
		    "), hash %s\n",
		    (int)json_number_value(json_object_get(body, "first")),
		    (int)(json_number_value(json_object_get(body, "first")) +
			  json_number_value(json_object_get(body, "n")) - 1),
		    (int)json_number_value(json_object_get(body, "number")), entry->seq,
		    service_book_text(body, "sha256"));
	json_decref(body);
	return true;
}

static void tell_exclusions(const json_t *visit, GString *to)
{
	size_t i;
	json_t *one;

	json_array_foreach(json_object_get(visit, "exclusions"), i, one)
	{
		const int first = (int)json_number_value(json_object_get(one, "first"));
		const int n = (int)json_number_value(json_object_get(one, "n"));

		g_string_append_printf(to, "    readings %d to %d are set aside", first,
				       first + n - 1);
		if (service_book_text(one, "person") != NULL)
			g_string_append_printf(to, " by %s", service_book_text(one, "person"));
		g_string_append_printf(to, ": %s\n", service_book_text(one, "reason"));
	}
}

static void tell_visit(const struct trace *t, const char *id)
{
	json_t *visit = service_book_look(t->book, "visit", id),
	       *job = json_object_get(visit, "job");
	struct blocks blocks = { t, id };

	g_string_append_printf(t->to, "  visit %s, readings %s\n", id,
			       service_book_text(visit, "provenance"));
	(void)store_each(t->book->store, "block", tell_block, &blocks, NULL);
	if (service_book_text(visit, "source") != NULL)
		g_string_append_printf(t->to, "    from the file with SHA-256 %s\n",
				       service_book_text(visit, "source"));
	tell_exclusions(visit, t->to);
	tell_equipment(t, "cell", service_book_text(job, "cell"));
	tell_equipment(t, "resistor", service_book_text(job, "resistor"));
	tell_equipment(t, "bridge", service_book_text(job, "bridge"));
	json_decref(visit);
}

static void tell_visits(const struct trace *t, const json_t *calibration)
{
	size_t i;
	json_t *visit;

	json_array_foreach(json_object_get(calibration, "visits"), i, visit)
	    tell_visit(t, json_string_value(visit));
}

/* ---- one number ---- */

static bool explain(const struct trace *t, const char *number, const char *what)
{
	g_autoptr(GBytes) job = service_certificate_file(t->book, number, "job", t->messages);
	g_autoptr(GBytes) readings =
	    service_certificate_file(t->book, number, "readings", t->messages);
	g_autoptr(lab_calibration) c = NULL;

	if (job == NULL || readings == NULL)
		return false;
	c = file_parse_calibration(SERVICE_JOB_NAME, job, readings, t->messages);
	g_string_append_printf(t->to, "\n%s\n", what);
	return c != NULL && calc_explain(c, what, t->to, t->messages);
}

bool service_trace(service_book *book, const char *number, const char *what, GString *to,
		   base_messages *messages)
{
	struct trace t = { .book = book,
			   .to = to,
			   .messages = messages,
			   .told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL) };
	struct store_entry first = { 0 };
	json_t *certificate = service_book_get(book, "certificate", number, NULL, messages);
	const char *id = service_book_text(certificate, "calibration");
	json_t *calibration =
	    certificate != NULL ? service_book_get(book, "calibration", id, NULL, messages) : NULL;
	bool good = calibration != NULL;

	if (good && store_version(book->store, "certificate", number, 1, &first, NULL)) {
		t.issued_seq = first.seq;
		t.issued = service_book_text(certificate, "date");
		store_entry_clear(&first);
		tell_issue(certificate, number, to);
		tell_rule(&t, certificate);
		tell_files(&t, certificate);
		g_string_append_printf(to, "calibration %s of thermometer %s\n", id,
				       service_book_text(calibration, "thermometer"));
		(void)store_history(book->store, "calibration", id, tell_step, &t, NULL);
		tell_visits(&t, calibration);
		good = what == NULL || explain(&t, number, what);
	}
	g_hash_table_destroy(t.told);
	json_decref(calibration);
	json_decref(certificate);
	return good;
}
