#include "app/service/book/gates.h"

#include "app/base/time.h"
#include "app/service/book/clauses.h"
#include "app/service/book/compose.h"
#include "app/service/book/release.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

static void clear_gate(void *data)
{
	struct service_gate *gate = data;

	g_free(gate->thing);
	g_free(gate->what);
	g_free(gate->unit);
	g_free(gate->source);
	g_free(gate->decision);
	g_free(gate->equipment);
}

void service_gate_add(struct service_gating *g, const struct service_gate *gate)
{
	struct service_gate kept = *gate;

	if (kept.state == SERVICE_GATE_PASSED && lab_given(kept.value) &&
	    !(kept.at_least ? kept.value >= kept.limit : kept.value <= kept.limit))
		kept.state = SERVICE_GATE_CLOSED;
	g_array_append_val(g->gates, kept);
}

/* ---- decisions ---- */

/* A nonconformity that is closed. */
struct decision {
	char *id, *who; /* who wrote it last */
	json_t *body;
};

static void clear_decision(void *data)
{
	struct decision *d = data;

	g_free(d->id);
	g_free(d->who);
	json_decref(d->body);
}

static bool is_about(const json_t *body, const char *id)
{
	size_t i;
	json_t *about;

	json_array_foreach(json_object_get(body, "about"), i, about)
	{
		if (g_strcmp0(json_string_value(about), id) == 0)
			return true;
	}
	return false;
}

static bool note_decision(const struct store_entry *entry, void *data, GError **error)
{
	json_t *body = json_loads(entry->body, 0, NULL);

	(void)error;
	if (g_strcmp0(service_book_text(body, "state"), "closed") == 0) {
		const struct decision d = { g_strdup(entry->id), g_strdup(entry->who),
					    json_incref(body) };

		g_array_append_val((GArray *)data, d);
	}
	json_decref(body);
	return true;
}

/* Either on this gate for this calibration; or on the equipment, once its fault was known. */
static bool decides(const struct service_gating *g, const struct service_gate *gate,
		    const struct decision *d)
{
	const char *opened = service_book_text(d->body, "opened");
	int64_t opened_us;

	if (g_strcmp0(service_book_text(d->body, "gate"), gate->name) == 0 &&
	    is_about(d->body, g->id))
		return true;
	return gate->equipment != NULL && is_about(d->body, gate->equipment) && opened != NULL &&
	       base_time_parse(opened, strlen(opened), &opened_us) == NULL &&
	       opened_us >= gate->known_us && opened_us < gate->mended_us;
}

/* Who decides that work goes on must be one who may answer for the certificate. */
static bool may_decide(const struct service_gating *g, const char *person)
{
	g_autoptr(base_messages) unused = base_messages_new();
	const struct service_act act = { person, g->act->time_us, NULL };

	return service_book_may(g->book, &act, "issue", unused);
}

static void open_gate(const struct service_gating *g, struct service_gate *gate,
		      const GArray *decisions)
{
	for (guint i = 0; i < decisions->len && gate->state == SERVICE_GATE_CLOSED; i++) {
		const struct decision *d = &g_array_index(decisions, struct decision, i);

		if (!decides(g, gate, d) || !may_decide(g, d->who))
			continue;
		gate->state = SERVICE_GATE_OPENED;
		gate->decision = g_strdup_printf("nonconformity %s, %s: %s", d->id, d->who,
						 service_book_text(d->body, "decision"));
	}
}

static bool open_by_decisions(struct service_gating *g)
{
	g_autoptr(GArray) decisions = g_array_new(FALSE, FALSE, sizeof(struct decision));
	GError *error = NULL;

	g_array_set_clear_func(decisions, clear_decision);
	if (!store_each(g->book->store, "nonconformity", note_decision, decisions, &error)) {
		service_book_say(g->messages, g->book->where, error);
		return false;
	}
	for (guint i = 0; i < g->gates->len; i++)
		open_gate(g, &g_array_index(g->gates, struct service_gate, i), decisions);
	return true;
}

/* ---- all of them ---- */

bool service_gates_look(struct service_gating *g)
{
	const int64_t now_us = service_book_time(g->book, g->act);
	char day[BASE_TIME_SIZE];

	base_time_print(now_us, day);
	day[10] = '\0';
	g->gates = g_array_new(FALSE, TRUE, sizeof(struct service_gate));
	g_array_set_clear_func(g->gates, clear_gate);
	g->first_us = g->result->first_us != BASE_NO_TIME ? g->result->first_us : now_us;
	g->last_us = g->result->last_us != BASE_NO_TIME ? g->result->last_us : now_us;
	g->limits = service_limits_on(g->book, day, g->messages);
	if (g->limits == NULL || !service_gate_receipt_and_treatment(g))
		return false;
	service_gate_stability(g);
	return service_gate_check_thermometers(g) && service_gate_equipment(g) &&
	       service_gate_certificates(g) && service_gate_order(g) && service_gate_ambient(g) &&
	       open_by_decisions(g);
}

void service_gating_clear(struct service_gating *g)
{
	g_clear_pointer(&g->limits, service_limits_free);
	g_clear_pointer(&g->gates, g_array_unref);
}

/* ---- in words ---- */

/* Two digits are what anybody looks at; counts are whole. */
static char *number(double x)
{
	char text[FIRN_NUMBER_SIZE];

	if (x == trunc(x))
		firn_number_print(x, text);
	else
		g_snprintf(text, sizeof text, "%.3g", x);
	return g_strdup(text);
}

static char *sentence(const struct service_gate *gate)
{
	g_autofree char *value = number(gate->value), *limit = number(gate->limit);
	const char *unit = g_strcmp0(gate->unit, "1") == 0 ? "" : gate->unit;
	const char *space = unit != NULL && unit[0] != '\0' ? " " : "";

	if (!lab_given(gate->value))
		return g_strdup_printf("%s: %s", gate->thing, gate->what);
	return g_strdup_printf("%s: %s %s%s%s; at %s %s%s%s is asked (%s)", gate->thing, gate->what,
			       value, space, unit, gate->at_least ? "least" : "most", limit, space,
			       unit, gate->source);
}

static const char *const state_words[] = {
	[SERVICE_GATE_PASSED] = "passed",
	[SERVICE_GATE_NOT_JUDGED] = "not judged",
	[SERVICE_GATE_CLOSED] = "closed",
	[SERVICE_GATE_OPENED] = "opened by",
};

/* A number, or null where there is none. */
static json_t *number_or_null(double x)
{
	return lab_given(x) ? json_real(x) : json_null();
}

static json_t *gate_json(const struct service_gate *gate)
{
	g_autofree char *said = sentence(gate);

	return json_pack("{ss ss so so sb ss? ss? ss ss? ss}", "gate", gate->name, "thing",
			 gate->thing, "value", number_or_null(gate->value), "limit",
			 number_or_null(lab_given(gate->value) ? gate->limit : LAB_NOT_GIVEN),
			 "at_least", gate->at_least, "unit", gate->unit, "source", gate->source,
			 "state", state_words[gate->state], "decision", gate->decision, "text",
			 said);
}

/* What else blocks the release, whatever the gates say. */
static json_t *hindrances(service_book *book, const char *id, const json_t *calibration,
			  const struct service_reduced *reduced)
{
	g_autoptr(base_messages) against = base_messages_new();
	json_t *texts = json_array();

	(void)service_release_unhindered(book, id, calibration, against);
	(void)service_release_within_scope(book, id, reduced->result, against);
	(void)service_release_within_dates(book, id, calibration, reduced->result, against);
	(void)service_release_meets_clauses(id, reduced->job, reduced->result, against);
	for (size_t i = 0; i < base_messages_n(against); i++)
		json_array_append_new(texts, json_string(base_messages_at(against, i)->text));
	return texts;
}

json_t *service_gates(service_book *book, const struct service_act *act, const char *id,
		      base_messages *messages)
{
	json_t *body = service_book_get(book, "calibration", id, NULL, messages), *answer = NULL;
	g_autoptr(GBytes) job = NULL, readings = NULL;
	struct service_reduced reduced = { NULL, NULL, NULL };
	struct service_gating g = {
		.book = book, .act = act, .id = id, .calibration = body, .messages = messages
	};
	bool good = body != NULL &&
		    service_book_compose(book, id, body, NULL, &job, &readings, messages) &&
		    service_book_compute(job, readings, &reduced, messages);

	if (good) {
		g.job = reduced.job;
		g.result = reduced.result;
		good = service_gates_look(&g);
	}
	if (good) {
		json_t *gates = json_array();

		for (guint i = 0; i < g.gates->len; i++)
			json_array_append_new(
			    gates, gate_json(&g_array_index(g.gates, struct service_gate, i)));
		answer = json_pack("{ss ss so so}", "calibration", id, "day", g.limits->day,
				   "gates", gates, "release", hindrances(book, id, body, &reduced));
	}
	service_gating_clear(&g);
	service_reduced_clear(&reduced);
	json_decref(body);
	return answer;
}

/* ---- the release ---- */

static void say(const struct service_gating *g, const struct service_gate *gate)
{
	g_autofree char *label = service_book_label("calibration", g->id), *said = sentence(gate);

	if (gate->state == SERVICE_GATE_CLOSED)
		base_messages_add(g->messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "can't be issued: %s; to go on all the same, decide in a "
				  "nonconformity about it with gate: %s%s, closed by somebody who "
				  "may issue",
				  said, gate->name,
				  gate->equipment != NULL ? ", or in one about the equipment" : "");
	if (gate->state == SERVICE_GATE_OPENED)
		base_messages_add(g->messages, BASE_RESERVATION, label, (struct base_mark){ 0, 0 },
				  "%s; let through by %s", said, gate->decision);
}

bool service_release_through_gates(service_book *book, const struct service_act *act,
				   const char *id, const json_t *calibration,
				   const struct service_reduced *reduced, base_messages *messages)
{
	struct service_gating g = { .book = book,
				    .act = act,
				    .id = id,
				    .calibration = calibration,
				    .job = reduced->job,
				    .result = reduced->result,
				    .messages = messages };
	bool good = service_gates_look(&g);

	for (guint i = 0; good && i < g.gates->len; i++)
		say(&g, &g_array_index(g.gates, struct service_gate, i));
	for (guint i = 0; good && i < g.gates->len; i++)
		good = g_array_index(g.gates, struct service_gate, i).state != SERVICE_GATE_CLOSED;
	service_gating_clear(&g);
	return good;
}
