#include "app/calc/plan.h"

#include "app/calc/cell_fit.h"
#include "app/calc/plan_parts.h"
#include "firn/scale.h"

#include <math.h>

#define SMALL_M   0.15 /* of water over the well's bottom; large cells have 200 to 265 mm */
#define WORKDAY_S 28800.0
#define DAY_S     86400.0

/* Expanded, k = 2. Common practice, no source. */
static const double usual_K[] = {
	[LAB_PLAN_ICE_BATH] = 10e-3,
	[LAB_PLAN_SMALL] = 0.5e-3,
	[LAB_PLAN_LARGE] = 0.1e-3,
	[LAB_PLAN_OTHER] = LAB_NOT_GIVEN,
};

static enum lab_plan_size size_of(const struct lab_cell_body *cell)
{
	if (cell->medium == LAB_ICE_BATH)
		return LAB_PLAN_ICE_BATH;
	if (cell->point != LAB_H2O)
		return LAB_PLAN_OTHER;
	return cell->level_m.value < SMALL_M ? LAB_PLAN_SMALL : LAB_PLAN_LARGE;
}

static int largest_first(const void *a, const void *b)
{
	const struct lab_budget_line *x = a, *y = b;

	return (x->contribution < y->contribution) - (x->contribution > y->contribution);
}

static void take_causes(const struct plan_budget *b, GStringChunk *text, GArray *ret)
{
	for (size_t i = 0; i < b->n; i++) {
		const struct lab_budget_line line = {
			.input = g_string_chunk_insert(text, b->causes[i].name),
			.unit = g_string_chunk_insert_const(text, "K"),
			.u = b->causes[i].u_K,
			.dof = INFINITY,
			.sensitivity = 1.0,
			.contribution = b->causes[i].u_K,
		};

		g_array_append_val(ret, line);
	}
	g_array_sort(ret, largest_first);
}

double calc_plan_read_s(const lab_plan *plan)
{
	const bool two = lab_given(plan->own->thermometer.currents_A[1]);

	return (two ? 3.0 : 1.0) * (double)plan->bridge.readings * plan->bridge.reading_s;
}

static void tell_times(const lab_plan *plan, const struct lab_plan_realisation *r,
		       const struct lab_cell_fit *fit, struct lab_plan_outcome *o)
{
	o->settle_s = fit->stated.settled_s.value;
	o->read_s = calc_plan_read_s(plan);
	o->hands_s = r->hands_s;
	o->wait_s = lab_given(r->age_d) ? r->age_d * DAY_S : r->wait_s;
	o->days = lab_or(o->wait_s, 0.0) / DAY_S +
		  (o->hands_s + lab_or(o->settle_s, 0.0) + o->read_s) / WORKDAY_S;
}

static bool find(const lab_plan *plan, const struct lab_plan_realisation *r,
		 base_messages *messages, lab_plan_result *result)
{
	g_autoptr(lab_cell_fit) fit = NULL;
	struct lab_plan_outcome o = {
		.name = g_string_chunk_insert(result->text, r->name),
		.cell = r->study->cell.id == NULL
			    ? NULL
			    : g_string_chunk_insert(result->text, r->study->cell.id),
		.size = size_of(&r->study->cell),
		.U_K = LAB_NOT_GIVEN,
		.depth_m = LAB_NOT_GIVEN,
		.settle_s = LAB_NOT_GIVEN,
		.read_s = LAB_NOT_GIVEN,
		.hands_s = LAB_NOT_GIVEN,
		.wait_s = LAB_NOT_GIVEN,
		.days = LAB_NOT_GIVEN,
		.achieved_U_K = LAB_NOT_GIVEN,
		.K = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN },
	};

	o.practice_U_K = usual_K[o.size];
	if (!lab_stated(&r->study->wanted.u_K))
		r->study->wanted.u_K =
		    (struct lab_quantity){ plan->U_K / 2.0, LAB_NOT_GIVEN, r->mark };
	fit = calc_cell_fit(r->study, messages);
	if (fit == NULL)
		return false;
	o.causes = g_array_new(FALSE, TRUE, sizeof(struct lab_budget_line));
	o.options = g_array_new(FALSE, TRUE, sizeof(struct lab_plan_option));
	if (fit->stated.why_not != NULL) {
		o.why_not = g_string_chunk_insert(result->text, fit->stated.why_not);
	} else {
		const struct plan_change none = PLAN_NO_CHANGE;
		struct plan_budget b;

		if (!plan_budget(plan, r, fit->stated.heating_K, &none, messages, result->text,
				 &b)) {
			g_array_unref(o.causes);
			g_array_unref(o.options);
			return false;
		}
		o.K = b.K;
		o.U_K = 2.0 * b.K.u;
		o.depth_m = b.depth_m;
		o.enough = o.U_K <= plan->U_K;
		take_causes(&b, result->text, o.causes);
		plan_options(plan, r, fit->stated.heating_K, &b, fit, result->text, o.options);
		tell_times(plan, r, fit, &o);
	}
	g_array_append_val(result->outcomes, o);
	return true;
}

static bool is_better(const struct lab_plan_outcome *a, const struct lab_plan_outcome *b)
{
	if (lab_given(a->days) && lab_given(b->days) && a->days != b->days)
		return a->days < b->days;
	return a->U_K < b->U_K;
}

static void choose(lab_plan_result *result)
{
	for (guint i = 0; i < result->outcomes->len; i++) {
		const struct lab_plan_outcome *o = LAB_AT(result->outcomes, lab_plan_outcome, i);

		if (o->enough &&
		    (result->best < 0 ||
		     is_better(o, LAB_AT(result->outcomes, lab_plan_outcome, (guint)result->best))))
			result->best = (int)i;
	}
}

static void reserve(lab_plan_result *result, const char *format, ...) G_GNUC_PRINTF(2, 3);
static void reserve(lab_plan_result *result, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(result->reservations, g_string_chunk_insert(result->text, text));
}

static void add_reservations(const lab_plan *plan, lab_plan_result *result)
{
	for (guint i = 0; i < plan->realisations->len; i++) {
		const struct lab_plan_realisation *r = plan->realisations->pdata[i];

		if (r->terms->len == 0)
			reserve(result,
				"%s states no terms: impurities, gas, packing and how well it "
				"repeats are not in its U.",
				r->name);
		if (r->study->cell.point != LAB_H2O && r->study->cell.medium != LAB_ICE_BATH)
			reserve(result,
				"%s: the R(TPW) that W needs is not in its U; it has a budget of "
				"its own.",
				r->name);
		if (r->study->cell.point == LAB_H2O && !lab_given(r->age_d))
			reserve(result,
				"%s: no age of the ice is planned (age_d), so its strain "
				"is not in its U.",
				r->name);
	}
	if (!lab_given(plan->own->thermometer.currents_A[1]))
		reserve(result, "One current alone: the thermometer's own heating stays in the "
				"reading.");
	if (!lab_given(plan->resistor.u_ohm))
		reserve(result, "What the resistor's value is wrong by is not in it: it cancels in "
				"W.");
	reserve(result,
		"Figures of practice are common practice, without a source; nothing is tuned "
		"to them.");
}

lab_plan_result *calc_plan(const lab_plan *plan, base_messages *messages)
{
	g_autoptr(lab_plan_result) result = lab_plan_result_new();
	bool good = true;

	for (guint i = 0; i < plan->realisations->len; i++)
		good = find(plan, plan->realisations->pdata[i], messages, result) && good;
	if (!good)
		return NULL;
	choose(result);
	add_reservations(plan, result);
	return g_steal_pointer(&result);
}

void calc_plan_compare(lab_plan_result *result)
{
	double wr, slope;

	if (firn_scale_wr_at(FIRN_H2O, false, &wr, &slope) < 0)
		return; /* it has one */
	for (guint i = 0; i < result->outcomes->len; i++) {
		struct lab_plan_outcome *o = LAB_AT(result->outcomes, lab_plan_outcome, i);

		for (guint k = 0; k < result->achieved->len; k++) {
			const struct lab_plan_achieved *a =
			    LAB_AT(result->achieved, lab_plan_achieved, k);
			const double U_K = 2.0 * a->u_ohm / (a->r_ohm * slope);

			if (g_strcmp0(a->cell, o->cell) != 0 || o->achieved_U_K >= U_K)
				continue;
			o->achieved_U_K = U_K;
			o->achieved_by = a->visit;
		}
	}
}
