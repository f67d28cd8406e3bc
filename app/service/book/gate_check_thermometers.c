/*
 * The gate of check thermometers (ISO/IEC 17025:2017, 7.7.1 d and 7.7.3): where the laboratory asks
 * for them, each mantle or freeze of a calibration is bracketed by their visits, and these lie
 * within the limits of what their history was before it.
 */
#include "app/service/book/gates.h"
#include "app/service/book/history.h"

#include <math.h>
#include <string.h>

/* The visits of the calibration to one mantle or freeze. */
struct stay {
	char *realisation;
	enum lab_point point;
	int64_t first_us, last_us;
};

static void clear_stay(void *data)
{
	g_free(((struct stay *)data)->realisation);
}

static struct service_gate gate_of(const char *realisation)
{
	return (struct service_gate){ .name = "check thermometers",
				      .thing = service_book_label("realisation", realisation),
				      .value = LAB_NOT_GIVEN };
}

/* ---- where the calibration was ---- */

static void say_nowhere(struct service_gating *g, const char *visit)
{
	const struct service_gate gate = {
		.name = "check thermometers",
		.thing = service_book_label("visit", visit),
		.what = g_strdup("names no realisation, and without one it isn't known which check "
				 "thermometers were there"),
		.value = LAB_NOT_GIVEN,
		.state = SERVICE_GATE_CLOSED,
	};

	service_gate_add(g, &gate);
}

static struct stay *stay_in(GArray *stays, const char *realisation)
{
	for (guint i = 0; i < stays->len; i++)
		if (strcmp(g_array_index(stays, struct stay, i).realisation, realisation) == 0)
			return &g_array_index(stays, struct stay, i);
	const struct stay stay = { g_strdup(realisation), LAB_NO_POINT, INT64_MAX, INT64_MIN };
	g_array_append_val(stays, stay);
	return &g_array_index(stays, struct stay, stays->len - 1);
}

static void note_visit(struct service_gating *g, const char *id, GArray *stays)
{
	json_t *visit = service_book_look(g->book, "visit", id);
	const char *cell_id = service_book_text(json_object_get(visit, "job"), "cell");
	const char *realisation = service_book_text(visit, "realisation");

	if (cell_id == NULL) { /* a temperature to be found: nothing is realised */
		json_decref(visit);
		return;
	}
	if (realisation == NULL) {
		say_nowhere(g, id);
	} else {
		json_t *cell = service_book_look(g->book, "cell", cell_id);
		const char *point = service_book_text(json_object_get(cell, "job"), "point");
		const int64_t time_us = service_visit_time(g->book, id);
		struct stay *stay = stay_in(stays, realisation);

		stay->point = point != NULL ? lab_point_named(point) : LAB_NO_POINT;
		stay->first_us = MIN(stay->first_us, time_us);
		stay->last_us = MAX(stay->last_us, time_us);
		json_decref(cell);
	}
	json_decref(visit);
}

/* ---- what the check thermometers said there ---- */

static bool is_there(const struct service_gating *g, const struct stay *stay,
		     const struct service_check_visit *v)
{
	return g_strcmp0(v->realisation, stay->realisation) == 0 &&
	       g_strcmp0(v->thermometer, service_book_text(g->calibration, "thermometer")) != 0;
}

static void judge_bracket(struct service_gating *g, const struct stay *stay,
			  const service_history *h, bool before)
{
	const struct service_limit *asked =
	    service_limit_named(g->limits, "check_thermometer_visits");
	struct service_gate gate = gate_of(stay->realisation);

	gate.value = 0.0;
	for (guint i = 0; i < h->visits->len; i++) {
		const struct service_check_visit *v =
		    &g_array_index(h->visits, struct service_check_visit, i);

		gate.value += is_there(g, stay, v) && v->left_out == NULL &&
			      (before ? v->time_us < stay->first_us : v->time_us > stay->last_us);
	}
	gate.what =
	    g_strdup(before ? "visits of check thermometers before those of the calibration:"
			    : "visits of check thermometers after those of the calibration:");
	gate.limit = asked->value;
	gate.at_least = true;
	gate.unit = g_strdup("1");
	gate.source = service_limit_source(asked);
	service_gate_add(g, &gate);
}

/* The nearer of the two limits that there are: k s, and the one in millikelvin. */
static void take_limit(const struct service_gating *g, const service_history *h, int n,
		       struct service_gate *gate)
{
	const struct service_limit *k = service_limit_named(g->limits, "check_thermometer_k");
	const struct service_limit *fixed = service_limit_named(g->limits, "check_thermometer_mK");
	const struct service_limit *least =
	    service_limit_named(g->limits, "check_thermometer_least");
	const double s_mK = n >= least->value ? 1e3 * h->found.limit_K : LAB_NOT_GIVEN;

	gate->limit = fmin(s_mK, fixed->value); /* of one that is NaN, the other */
	if (!lab_given(gate->limit))
		return;
	g_autofree char *source = service_limit_source(gate->limit == fixed->value ? fixed : k);
	gate->source = gate->limit == fixed->value
			   ? g_steal_pointer(&source)
			   : g_strdup_printf("%g s with %g degrees of freedom; %s", h->k,
					     h->found.dof, source);
}

static void judge_visit(struct service_gating *g, const struct stay *stay, const service_history *h,
			const struct service_check_visit *v)
{
	const struct calc_check_value *value = service_history_value(h, v->visit);
	const int n = service_history_count(h, v->thermometer);
	struct service_gate gate = gate_of(stay->realisation);

	if (value != NULL)
		take_limit(g, h, n, &gate);
	if (value == NULL || !lab_given(value->deviation_K) || !lab_given(gate.limit)) {
		g_free(gate.source);
		gate.source = NULL;
		gate.state = SERVICE_GATE_NOT_JUDGED;
		gate.what = value == NULL
				? g_strdup_printf("visit %s of %s is left out: %s", v->visit,
						  v->thermometer, v->left_out)
				: g_strdup_printf("visit %s: the history of %s has %d values, too "
						  "few to judge by",
						  v->visit, v->thermometer, n);
	} else {
		gate.value = 1e3 * fabs(value->deviation_K);
		gate.unit = g_strdup("mK");
		gate.what = g_strdup_printf("%s in visit %s lies from the mean of its %d earlier "
					    "values by",
					    v->thermometer, v->visit, n);
	}
	service_gate_add(g, &gate);
}

/* A point without a temperature of its own has no history. */
static void say_no_history(struct service_gating *g, const struct stay *stay)
{
	struct service_gate gate = gate_of(stay->realisation);

	gate.state = SERVICE_GATE_NOT_JUDGED;
	gate.what = g_strdup("its temperature follows from its pressure, and check thermometers "
			     "have no history there");
	service_gate_add(g, &gate);
}

static bool judge_stay(struct service_gating *g, const struct stay *stay)
{
	const struct service_limit *k = service_limit_named(g->limits, "check_thermometer_k");
	g_autoptr(service_history) h = service_history_at(
	    g->book, stay->point, k->value, stay->first_us, stay->realisation, g->messages);

	if (h == NULL)
		return false;
	judge_bracket(g, stay, h, true);
	judge_bracket(g, stay, h, false);
	for (guint i = 0; i < h->visits->len; i++) {
		const struct service_check_visit *v =
		    &g_array_index(h->visits, struct service_check_visit, i);

		if (is_there(g, stay, v))
			judge_visit(g, stay, h, v);
	}
	return true;
}

bool service_gate_check_thermometers(struct service_gating *g)
{
	g_autoptr(GArray) stays = g_array_new(FALSE, FALSE, sizeof(struct stay));
	size_t i;
	json_t *visit;

	if (!(service_limit_named(g->limits, "check_thermometer_visits")->value >= 1.0))
		return true; /* the laboratory doesn't ask for them */
	g_array_set_clear_func(stays, clear_stay);
	json_array_foreach(json_object_get(g->calibration, "visits"), i, visit)
	{
		note_visit(g, json_string_value(visit), stays);
	}
	for (guint j = 0; j < stays->len; j++)
		if (g_array_index(stays, struct stay, j).point == LAB_E_H2_VAPOUR)
			say_no_history(g, &g_array_index(stays, struct stay, j));
		else if (!judge_stay(g, &g_array_index(stays, struct stay, j)))
			return false;
	return true;
}
