/*
 * The gate of intermediate checks (ISO/IEC 17025:2017, 6.4.10): readings stand between the last
 * check that their equipment passed before them and the first one after them. A failed one in
 * between leaves open what the readings are worth.
 */
#include "app/base/time.h"
#include "app/service/book/gates.h"
#include "app/service/book/members.h"

#include <math.h>
#include <string.h>

struct check {
	char *equipment, *check, *id; /* "bridge B2", "ratio one", "K3" */
	char *equipment_id;           /* "B2" */
	int64_t time_us;
	bool passed;
	double difference, limit;
	char *unit, *source;
};

struct checks {
	struct service_gating *g;
	GHashTable *things; /* id -> "bridge B2" */
	GArray *all;        /* struct check, of those things */
};

static void clear_check(void *data)
{
	struct check *check = data;

	g_free(check->equipment);
	g_free(check->equipment_id);
	g_free(check->check);
	g_free(check->id);
	g_free(check->unit);
	g_free(check->source);
}

static void note_thing(struct checks *checks, const char *kind, const char *id)
{
	if (id != NULL)
		g_hash_table_insert(checks->things, g_strdup(id), service_book_label(kind, id));
}

static void note_things(struct checks *checks)
{
	size_t i;
	json_t *id;

	json_array_foreach(json_object_get(checks->g->calibration, "visits"), i, id)
	{
		json_t *visit = service_book_look(checks->g->book, "visit", json_string_value(id));
		const json_t *job = json_object_get(visit, "job");

		note_thing(checks, "bridge", service_book_text(job, "bridge"));
		note_thing(checks, "resistor", service_book_text(job, "resistor"));
		note_thing(checks, "cell", service_book_text(job, "cell"));
		json_decref(visit);
	}
}

static bool note_check(const struct store_entry *entry, void *data, GError **error)
{
	struct checks *checks = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *equipment = service_book_text(body, "equipment");
	const char *time = service_book_text(body, "time");
	const char *thing =
	    equipment != NULL ? g_hash_table_lookup(checks->things, equipment) : NULL;
	int64_t time_us;

	(void)error;
	if (thing != NULL && time != NULL &&
	    base_time_parse(time, strlen(time), &time_us) == NULL) {
		const struct check check = {
			.equipment = g_strdup(thing),
			.equipment_id = g_strdup(equipment),
			.check = g_strdup(service_book_text(body, "check")),
			.id = g_strdup(entry->id),
			.time_us = time_us,
			.passed = g_strcmp0(service_book_text(body, "verdict"), "passed") == 0,
			.difference = fabs(service_book_number_of(body, "found") -
					   service_book_number_of(body, "expected")),
			.limit = service_book_number_of(body, "limit"),
			.unit = g_strdup(service_book_text(body, "unit")),
			.source = g_strdup(service_book_text(body, "limit_source")),
		};

		g_array_append_val(checks->all, check);
	}
	json_decref(body);
	return true;
}

/* By thing, kind of check and time. */
static int in_order(const void *a, const void *b)
{
	const struct check *x = a, *y = b;
	const int thing = strcmp(x->equipment, y->equipment);
	const int kind = strcmp(x->check, y->check);

	if (thing != 0 || kind != 0)
		return thing != 0 ? thing : kind;
	return (x->time_us > y->time_us) - (x->time_us < y->time_us);
}

/* mended_us: time of the next one that was passed. */
static void add_gate(struct service_gating *g, const struct check *check, int64_t mended_us)
{
	char day[BASE_TIME_SIZE];

	base_time_print(check->time_us, day);
	day[MIN(strlen(day), 10)] = '\0';
	const struct service_gate gate = {
		.name = "equipment checks",
		.thing = g_strdup(check->equipment),
		.what = g_strdup_printf("check %s (%s) of %s %s with a difference of", check->id,
					check->check, day, check->passed ? "passed" : "failed"),
		.value = check->difference,
		.limit = check->limit,
		.unit = g_strdup(check->unit),
		.source = g_strdup(check->source),
		.state = check->passed ? SERVICE_GATE_PASSED : SERVICE_GATE_CLOSED,
		.equipment = g_strdup(check->equipment_id),
		.known_us = check->time_us,
		.mended_us = mended_us,
	};

	service_gate_add(g, &gate);
}

static int64_t passed_after(const struct check *checks, guint n, guint i)
{
	for (; i < n; i++)
		if (checks[i].passed)
			return checks[i].time_us;
	return INT64_MAX;
}

/* Checks of one kind on one thing, by time: every failed one around the readings; where there is
   none, the one that they stand on. */
static void judge(struct service_gating *g, const struct check *checks, guint n)
{
	guint from = 0, to = n, failed = 0;

	for (guint i = 0; i < n; i++)
		if (checks[i].passed && checks[i].time_us <= g->first_us)
			from = i;
	for (guint i = n; i-- > 0;)
		if (checks[i].passed && checks[i].time_us >= g->last_us)
			to = i;
	for (guint i = from; i < to; i++)
		if (!checks[i].passed) {
			add_gate(g, &checks[i], passed_after(checks, n, i));
			failed++;
		}
	if (failed == 0)
		add_gate(g, &checks[from], INT64_MAX);
}

static void judge_all(const struct checks *checks)
{
	const struct check *all = (const struct check *)(const void *)checks->all->data;

	for (guint first = 0, i = 1; i <= checks->all->len; i++)
		if (i == checks->all->len || strcmp(all[i].equipment, all[first].equipment) != 0 ||
		    strcmp(all[i].check, all[first].check) != 0) {
			judge(checks->g, &all[first], i - first);
			first = i;
		}
}

bool service_gate_equipment(struct service_gating *g)
{
	struct checks checks = { g, g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free),
				 g_array_new(FALSE, TRUE, sizeof(struct check)) };
	GError *error = NULL;
	bool good;

	g_array_set_clear_func(checks.all, clear_check);
	note_things(&checks);
	good = store_each(g->book->store, "equipment check", note_check, &checks, &error);
	if (good) {
		g_array_sort(checks.all, in_order);
		judge_all(&checks);
	} else {
		service_book_say(g->messages, g->book->where, error);
	}
	g_array_unref(checks.all);
	g_hash_table_unref(checks.things);
	return good;
}
