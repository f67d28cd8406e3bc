/*
 * The gate of what was agreed with the customer (ISO/IEC 17025:2017, 7.1): the range, the
 * uncertainty, and the rule by which conformity is decided.
 */
#include "app/calc/sequence.h"
#include "app/service/book/gates.h"
#include "app/service/book/members.h"

#include <math.h>
#include <string.h>

#define KELVIN 273.15

/* An order, and the gates that come of it. */
struct agreed {
	struct service_gating *g;
	const char *order;
	const json_t *body;
	double low_K, high_K;
};

static struct service_gate gate_of(const struct agreed *a)
{
	return (struct service_gate){ .name = "order",
				      .thing = service_book_label("order", a->order),
				      .value = LAB_NOT_GIVEN };
}

/* ---- the range ---- */

static void judge_range(const struct agreed *a)
{
	const GArray *subranges = a->g->result->subranges;
	g_autofree struct calc_span *spans = g_new0(struct calc_span, subranges->len + 1);
	double to_K;
	struct service_gate gate = gate_of(a);

	for (guint i = 0; i < subranges->len; i++) {
		const struct lab_subrange_result *s = LAB_AT(subranges, lab_subrange_result, i);

		spans[i] = (struct calc_span){ s->low_K, s->high_K };
	}
	to_K = calc_reach_K(spans, subranges->len, a->low_K);
	if (to_K >= a->high_K - CALC_NEAR_K) {
		gate.what = g_strdup_printf("the range agreed, %.7g °C to %.7g °C, is calibrated",
					    a->low_K - KELVIN, a->high_K - KELVIN);
	} else {
		gate.state = SERVICE_GATE_CLOSED;
		gate.what = g_strdup_printf(
		    "%.7g °C to %.7g °C is agreed, and from %.7g °C on nothing is calibrated; "
		    "measure what is missing, or agree on another range",
		    a->low_K - KELVIN, a->high_K - KELVIN, to_K - KELVIN);
	}
	service_gate_add(a->g, &gate);
}

/* ---- the uncertainty ---- */

static double largest_u_K(const struct agreed *a)
{
	double largest = LAB_NOT_GIVEN;

	for (guint i = 0; i < a->g->result->curves->len; i++) {
		const struct lab_curve *curve = LAB_AT(a->g->result->curves, lab_curve, i);

		for (guint k = 0; k < curve->points->len; k++) {
			const struct lab_curve_point *p = LAB_AT(curve->points, lab_curve_point, k);

			if (p->t90_K >= a->low_K - CALC_NEAR_K &&
			    p->t90_K <= a->high_K + CALC_NEAR_K)
				largest = fmax(largest, p->u_calibration_K);
		}
	}
	return largest;
}

static void judge_U(const struct agreed *a)
{
	const double wanted_mK = service_book_number_of(a->body, "U_mK");
	struct service_gate gate = gate_of(a);

	if (!lab_given(wanted_mK))
		return;
	gate.value = 2e3 * largest_u_K(a);
	gate.limit = wanted_mK;
	gate.unit = g_strdup("mK");
	gate.source = g_strdup("agreed with the customer");
	gate.what = g_strdup("the largest U of the range (k = 2) is");
	if (!lab_given(gate.value)) {
		g_free(gate.what);
		gate.what = g_strdup("there is no table of the range agreed, and so no U of it");
		gate.state = SERVICE_GATE_CLOSED;
	}
	service_gate_add(a->g, &gate);
}

/* ---- the decision rule: ILAC-G8:09/2019, 4.2.1 and 4.2.2 ---- */

static bool is_met(const struct lab_acceptance *x, bool guarded)
{
	return x->verdict == LAB_MET || (!guarded && x->verdict == LAB_MET_WITHIN_U);
}

static void judge_conformity(const struct agreed *a)
{
	const char *rule = service_book_text(a->body, "decision_rule");
	const bool guarded = g_strcmp0(rule, "guarded by U") == 0;
	const GArray *all = a->g->result->acceptance;
	struct service_gate gate = gate_of(a);
	guint n = 0;

	if (rule == NULL || strcmp(rule, "none") == 0) {
		g_free(gate.thing);
		return;
	}
	for (guint i = 0; i < all->len && gate.what == NULL; i++) {
		const struct lab_acceptance *x = LAB_AT(all, lab_acceptance, i);

		n += x->binding;
		if (x->binding && !is_met(x, guarded))
			gate.what =
			    g_strdup_printf("not met by the rule agreed (%s): %s", rule, x->text);
	}
	if (gate.what == NULL && n > 0) {
		gate.what = g_strdup_printf("met by the rule agreed (%s): all that the scale asks "
					    "of the thermometer",
					    rule);
	} else {
		gate.state = SERVICE_GATE_CLOSED;
		if (gate.what == NULL)
			gate.what =
			    g_strdup("a statement of conformity is agreed, and nothing that "
				     "was measured allows one");
	}
	service_gate_add(a->g, &gate);
}

bool service_gate_order(struct service_gating *g)
{
	const char *id = service_book_text(g->calibration, "order");
	json_t *body;

	if (id == NULL)
		return true;
	body = service_book_get(g->book, "order", id, NULL, g->messages);
	if (body == NULL)
		return false;
	const struct agreed agreed = { g, id, body, service_book_number_of(body, "low_C") + KELVIN,
				       service_book_number_of(body, "high_C") + KELVIN };
	judge_range(&agreed);
	judge_U(&agreed);
	judge_conformity(&agreed);
	json_decref(body);
	return true;
}
