#include "app/service/book/report_texts.h"

#include "app/base/time.h"
#include "app/calc/check_standard.h"
#include "app/service/book/ambient.h"
#include "app/service/book/check_visits.h"
#include "app/service/book/members.h"
#include "app/service/book/past.h"

#include <math.h>
#include <string.h>

static void fill_in(json_t *object, const char *name, const char *text)
{
	if (text != NULL && text[0] != '\0' && json_object_get(object, name) == NULL)
		json_object_set_new(object, name, json_string(text));
}

/* ---- when it was measured ---- */

/* First and last reading; the end of time where none has a time. */
static void period(service_book *book, const json_t *calibration, int64_t *ret_first_us,
		   int64_t *ret_last_us)
{
	size_t i;
	json_t *visit;

	*ret_first_us = INT64_MAX;
	*ret_last_us = INT64_MIN;
	json_array_foreach(json_object_get(calibration, "visits"), i, visit)
	{
		const int64_t first_us = service_visit_time(book, json_string_value(visit)),
			      last_us = service_visit_end(book, json_string_value(visit));

		if (first_us != BASE_NO_TIME)
			*ret_first_us = MIN(*ret_first_us, first_us);
		if (last_us != BASE_NO_TIME)
			*ret_last_us = MAX(*ret_last_us, last_us);
	}
	if (*ret_last_us == INT64_MIN)
		*ret_last_us = INT64_MAX;
}

/* ---- the thermometer ---- */

static void tell_receipt(const struct service_past *past, json_t *job, json_t *report)
{
	const double now_ohm = service_book_number_of(past->receipt, "r_tpw_ohm"),
		     last_ohm = past->last_ohm;
	g_autoptr(GString) text = g_string_new("Received ");
	char day[BASE_TIME_SIZE];

	if (past->receipt == NULL)
		return;
	base_time_print(past->received_us, day);
	day[10] = '\0';
	fill_in(report, "received", day);
	g_string_append(text, service_book_text(past->receipt, "condition"));
	if (!isnan(now_ohm) && !isnan(last_ohm)) {
		const double change_mK = 1e3 * calc_tpw_change_K(last_ohm, now_ohm);

		g_string_append_printf(text, "; R(0.01 °C) %.2f mK %s that of its last certificate",
				       fabs(change_mK), change_mK < 0 ? "below" : "above");
	}
	fill_in(json_object_get(job, "thermometer"), "condition", text->str);
}

static void tell_treatments(const struct service_past *past, json_t *report)
{
	g_autoptr(GString) text = g_string_new(NULL);

	for (guint i = 0; i < past->treatments->len; i++) {
		const struct service_treatment *t =
		    &g_array_index(past->treatments, struct service_treatment, i);
		const double cooling = service_book_number_of(t->body, "cooling_K_per_h");

		g_string_append_printf(text, "%s%g h at %g °C", i > 0 ? "; then " : "",
				       service_book_number_of(t->body, "hold_h"),
				       service_book_number_of(t->body, "temperature_C"));
		if (!isnan(cooling))
			g_string_append_printf(text, ", cooled at %g K/h", cooling);
		g_string_append_printf(text, ", R(0.01 °C) %s by %.2f mK",
				       t->change_mK < 0 ? "fell" : "rose", fabs(t->change_mK));
	}
	fill_in(report, "stabilisation", text->str);
}

/* ---- what the values rest on ---- */

struct papers {
	const char *day; /* of the last reading */
	const char *id;
	char *date; /* of the latest certificate of it so far */
	char *text;
};

static bool note_paper(const struct store_entry *entry, void *data, GError **error)
{
	struct papers *p = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *date = service_book_text(body, "date");

	(void)error;
	if (g_strcmp0(service_book_text(body, "equipment"), p->id) == 0 &&
	    strcmp(date, p->day) <= 0 && (p->date == NULL || strcmp(date, p->date) >= 0)) {
		g_free(p->date);
		g_free(p->text);
		p->date = g_strdup(date);
		p->text =
		    g_strdup_printf("certificate %s of %s, %s", service_book_text(body, "number"),
				    service_book_text(body, "issuer"), date);
	}
	json_decref(body);
	return true;
}

static bool tell_section(service_book *book, const json_t *job, const char *section,
			 const char *word, const char *day, GString *to, GError **error)
{
	const char *id;
	json_t *unused;

	json_object_foreach(json_object_get(job, section), id, unused)
	{
		struct papers papers = { day, id, NULL, NULL };
		const bool good =
		    store_each(book->store, "equipment certificate", note_paper, &papers, error);

		if (papers.text != NULL)
			g_string_append_printf(to, "; %s %s, %s", word, id, papers.text);
		g_free(papers.date);
		g_free(papers.text);
		if (!good)
			return false;
	}
	return true;
}

static bool tell_traceability(service_book *book, const json_t *job, int64_t last_us,
			      json_t *report, base_messages *messages)
{
	g_autoptr(GString) text = g_string_new("ITS-90 as realised here");
	const gsize before = text->len;
	char day[BASE_TIME_SIZE] = "9999-12-31";
	GError *error = NULL;

	if (json_object_get(report, "traceability") != NULL)
		return true;
	if (last_us != INT64_MAX)
		base_time_print(last_us, day);
	day[10] = '\0';
	if (!tell_section(book, job, "cells", "cell", day, text, &error) ||
	    !tell_section(book, job, "bridges", "bridge", day, text, &error) ||
	    !tell_section(book, job, "resistors", "standard resistor", day, text, &error)) {
		service_book_say(messages, book->where, error);
		return false;
	}
	if (text->len > before)
		fill_in(report, "traceability", text->str);
	return true;
}

/* ---- all of it ---- */

static void tell_ambient(service_book *book, const json_t *calibration, json_t *report)
{
	const struct service_ambient ambient = service_ambient_of(book, calibration);
	g_autofree char *words = service_ambient_in_words(&ambient);

	fill_in(report, "conditions", words);
}

static void tell_rule(service_book *book, const json_t *calibration, json_t *report)
{
	const char *id = service_book_text(calibration, "order");
	json_t *order = id != NULL ? service_book_look(book, "order", id) : NULL;
	const char *rule = service_book_text(order, "decision_rule");
	const char *method = service_book_text(report, "method");

	if (rule != NULL && strcmp(rule, "none") != 0) {
		g_autofree char *text = g_strdup_printf(
		    "%s%sConformity is stated by the rule agreed with the customer: %s.",
		    method != NULL ? method : "",
		    method == NULL                  ? ""
		    : g_str_has_suffix(method, ".") ? " "
						    : ". ",
		    rule);

		json_object_set_new(report, "method", json_string(text));
	}
	json_decref(order);
}

bool service_report_texts(service_book *book, const json_t *calibration, json_t *job,
			  json_t *report, base_messages *messages)
{
	struct service_past past;
	int64_t first_us, last_us;
	bool good;

	period(book, calibration, &first_us, &last_us);
	good = service_past_of(book, service_book_text(calibration, "thermometer"), first_us, &past,
			       messages);
	if (good) {
		tell_receipt(&past, job, report);
		tell_treatments(&past, report);
		tell_ambient(book, calibration, report);
		tell_rule(book, calibration, report);
		good = tell_traceability(book, job, last_us, report, messages);
	}
	service_past_clear(&past);
	return good;
}
