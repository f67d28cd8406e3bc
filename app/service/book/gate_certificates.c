/*
 * The gate of traceability (ISO/IEC 17025:2017, 6.4.6 and 6.5.1): whatever a value of the result
 * rests on has a certificate in the book, with U, its k or p, date and due date; and a resistor's
 * record doesn't claim to know it better than its certificate does.
 */
#include "app/base/time.h"
#include "app/service/book/gates.h"
#include "app/service/book/members.h"

#include <math.h>
#include <string.h>

/* One resistor, bridge or cell, and what the book certifies of it until the last reading. */
struct standard {
	const char *kind, *id;
	int n;
	char *date, *number; /* of the latest */
	double U, k;         /* of the latest; k NaN where p is given instead */
	char *unit;
};

struct search {
	struct service_gating *g;
	char day[BASE_TIME_SIZE]; /* of the last reading */
	GArray *standards;        /* struct standard */
};

static void clear_standard(void *data)
{
	struct standard *s = data;

	g_free(s->date);
	g_free(s->number);
	g_free(s->unit);
}

static bool note_certificate(const struct store_entry *entry, void *data, GError **error)
{
	struct search *search = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *date = service_book_text(body, "date");

	(void)error;
	for (guint i = 0; i < search->standards->len; i++) {
		struct standard *s = &g_array_index(search->standards, struct standard, i);

		if (g_strcmp0(service_book_text(body, "equipment"), s->id) != 0 ||
		    strcmp(date, search->day) > 0)
			continue;
		s->n++;
		if (s->date != NULL && strcmp(date, s->date) < 0)
			continue;
		clear_standard(s);
		s->date = g_strdup(date);
		s->number = g_strdup(service_book_text(body, "number"));
		s->unit = g_strdup(service_book_text(body, "unit"));
		s->U = service_book_number_of(body, "U");
		s->k = service_book_number_of(body, "k");
	}
	json_decref(body);
	return true;
}

static void judge_number(const struct search *search, const struct standard *s)
{
	const struct service_limit *asked =
	    service_limit_named(search->g->limits, "equipment_certificates");
	const struct service_gate gate = {
		.name = "traceability",
		.thing = service_book_label(s->kind, s->id),
		.what = g_strdup_printf("certificates of it in the book on %s, the day of the last "
					"reading:",
					search->day),
		.value = s->n,
		.limit = asked->value,
		.at_least = true,
		.unit = g_strdup("1"),
		.source = service_limit_source(asked),
	};

	service_gate_add(search->g, &gate);
}

/* Rounding of U/k in the record is no claim. */
static void judge_u(const struct search *search, const struct standard *s, double u_ohm)
{
	const struct service_gate gate = {
		.name = "traceability",
		.thing = service_book_label(s->kind, s->id),
		.what = g_strdup("its record states u ="),
		.value = u_ohm,
		.limit = s->U / s->k * (1.0 - 1e-6),
		.at_least = true,
		.unit = g_strdup("ohm"),
		.source = g_strdup_printf("U/k of its certificate %s of %s", s->number, s->date),
	};

	service_gate_add(search->g, &gate);
}

static void judge(const struct search *search)
{
	const double asked =
	    service_limit_named(search->g->limits, "equipment_certificates")->value;

	for (guint i = 0; asked >= 1.0 && i < search->standards->len; i++)
		judge_number(search, &g_array_index(search->standards, struct standard, i));
	for (guint i = 0; i < search->g->job->resistors->len; i++) {
		const struct lab_resistor *r = LAB_AT(search->g->job->resistors, lab_resistor, i);

		for (guint k = 0; k < search->standards->len; k++) {
			const struct standard *s =
			    &g_array_index(search->standards, struct standard, k);

			if (strcmp(s->kind, "resistor") == 0 && strcmp(s->id, r->id) == 0 &&
			    s->n > 0 && lab_given(s->k) && g_strcmp0(s->unit, "ohm") == 0)
				judge_u(search, s, lab_or(r->u_ohm, 0.0));
		}
	}
}

/* The things that the job names are those that its visits use. */
static GArray *standards_of(const lab_calibration *job)
{
	GArray *all = g_array_new(FALSE, TRUE, sizeof(struct standard));

	g_array_set_clear_func(all, clear_standard);
	for (guint i = 0; i < job->resistors->len; i++) {
		const struct standard s = { .kind = "resistor",
					    .id = LAB_AT(job->resistors, lab_resistor, i)->id };
		g_array_append_val(all, s);
	}
	for (guint i = 0; i < job->bridges->len; i++) {
		const struct standard s = { .kind = "bridge",
					    .id = LAB_AT(job->bridges, lab_bridge, i)->id };
		g_array_append_val(all, s);
	}
	for (guint i = 0; i < job->cells->len; i++) {
		const struct standard s = { .kind = "cell",
					    .id = LAB_AT(job->cells, lab_cell, i)->id };
		g_array_append_val(all, s);
	}
	return all;
}

bool service_gate_certificates(struct service_gating *g)
{
	struct search search = { .g = g, .standards = standards_of(g->job) };
	GError *error = NULL;
	bool good;

	base_time_print(g->last_us, search.day);
	search.day[MIN(strlen(search.day), 10)] = '\0';
	good =
	    store_each(g->book->store, "equipment certificate", note_certificate, &search, &error);
	if (good)
		judge(&search);
	else
		service_book_say(g->messages, g->book->where, error);
	g_array_unref(search.standards);
	return good;
}
