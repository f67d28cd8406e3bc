#include "app/service/book/plan.h"

#include "app/calc/sequence.h"
#include "app/service/book/members.h"
#include "app/service/book/release.h"

#include <math.h>
#include <string.h>

static bool wrong(base_messages *messages, const char *id, const char *format, ...)
    G_GNUC_PRINTF(3, 4);
static bool wrong(base_messages *messages, const char *id, const char *format, ...)
{
	g_autofree char *label = service_book_label("calibration", id), *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", text);
	return false;
}

static bool read_subranges(const struct service_plan *plan, bool ret[LAB_SUBRANGES],
			   json_t *ret_names, base_messages *messages)
{
	bool good = true;

	for (const char *const *name = plan->subranges; *name != NULL; name++) {
		const enum lab_subrange s = lab_subrange_named(*name);

		if (s == LAB_NO_SUBRANGE) {
			good =
			    wrong(messages, plan->calibration,
				  "there is no subrange %s; they are named by their ends, such as "
				  "H2O_Al or Ar_H2O",
				  *name);
			continue;
		}
		ret[s] = true;
		json_array_append_new(ret_names, json_string(*name));
	}
	return good;
}

static bool holds(const json_t *list, const char *id)
{
	size_t i;
	json_t *item;

	json_array_foreach(list, i,
			   item) if (g_strcmp0(json_string_value(item), id) == 0) return true;
	return false;
}

/* Every point of the plan within the scope, and the U that is wanted not below what it states
   there: ISO/IEC 17025:2017, 7.1.1 c. A laboratory without a scope can't be asked yet. */
static bool is_within_scope(service_book *book, const struct service_plan *plan,
			    const json_t *order, const GArray *steps, base_messages *messages)
{
	const double wanted_mK = service_book_number_of(order, "U_mK");
	json_t *laboratory = service_book_look(book, "laboratory", "laboratory");
	const json_t *scope = json_object_get(laboratory, "scope");
	bool good = true;

	for (int p = 0; json_array_size(scope) > 0 && p < LAB_POINTS; p++) {
		const double t_C = calc_point_K((enum lab_point)p) - 273.15;
		const double least_mK = service_capability_mK(scope, t_C);
		bool visited = false;

		for (guint i = 0; i < steps->len; i++)
			visited |= g_array_index(steps, struct calc_step, i).point == p;
		if (!visited || p == LAB_H2O || isnan(t_C))
			continue;
		if (isnan(least_mK))
			good =
			    wrong(messages, plan->calibration,
				  "has the point %s (%.7g °C), which is outside the laboratory's "
				  "scope; agree on another range",
				  lab_point_name((enum lab_point)p), t_C);
		else if (wanted_mK < least_mK)
			good = wrong(messages, plan->calibration,
				     "can't reach U = %g mK, which order %s wants: the laboratory "
				     "states no less than %g mK at %s; agree on another U",
				     wanted_mK, plan->order, least_mK,
				     lab_point_name((enum lab_point)p));
	}
	json_decref(laboratory);
	return good;
}

/* The range that was agreed is held by the subranges of the plan. */
static bool covers_range(const struct service_plan *plan, const json_t *order,
			 const bool subranges[LAB_SUBRANGES], base_messages *messages)
{
	const double low_K = service_book_number_of(order, "low_C") + 273.15,
		     high_K = service_book_number_of(order, "high_C") + 273.15;
	struct calc_span spans[LAB_SUBRANGES];
	size_t n = 0;
	double to_K;

	for (int s = 0; s < LAB_SUBRANGES; s++)
		if (subranges[s])
			spans[n++] = calc_subrange_span((enum lab_subrange)s);
	to_K = calc_reach_K(spans, n, low_K);
	return to_K >= high_K - CALC_NEAR_K ||
	       wrong(
		   messages, plan->calibration,
		   "doesn't cover order %s, which is for %.7g °C to %.7g °C: from %.7g °C on there "
		   "is no subrange; plan one more, or agree on another range",
		   plan->order, low_K - 273.15, high_K - 273.15, to_K - 273.15);
}

/* What was agreed, above the steps. */
static void tell_order(const char *id, const json_t *order, GString *to)
{
	const double U_mK = service_book_number_of(order, "U_mK");
	const char *rule = service_book_text(order, "decision_rule");
	const char *promised = service_book_text(order, "promised");

	g_string_append_printf(
	    to, "order %s of %s: %.7g °C to %.7g °C", id, service_book_text(order, "customer"),
	    service_book_number_of(order, "low_C"), service_book_number_of(order, "high_C"));
	if (!isnan(U_mK))
		g_string_append_printf(to, ", U = %g mK (k = 2) wanted", U_mK);
	g_string_append_printf(to, ", conformity: %s",
			       rule == NULL || strcmp(rule, "none") == 0 ? "no statement" : rule);
	if (promised != NULL)
		g_string_append_printf(to, ", promised for %s", promised);
	g_string_append_c(to, '\n');
}

static bool fits_order(service_book *book, const struct service_plan *plan,
		       const bool subranges[LAB_SUBRANGES], const GArray *steps, json_t *body,
		       GString *to, base_messages *messages)
{
	json_t *order;
	const char *customer;
	bool good = true;

	if (plan->order == NULL)
		return true;
	order = service_book_get(book, "order", plan->order, NULL, messages);
	if (order == NULL)
		return false;
	if (!holds(json_object_get(order, "thermometers"), plan->thermometer))
		good = wrong(messages, plan->calibration, "order %s is not for thermometer %s",
			     plan->order, plan->thermometer);
	if (g_strcmp0(service_book_text(order, "state"), "open") != 0)
		good = wrong(messages, plan->calibration, "order %s is %s", plan->order,
			     service_book_text(order, "state"));
	good = covers_range(plan, order, subranges, messages) && good;
	good = is_within_scope(book, plan, order, steps, messages) && good;
	tell_order(plan->order, order, to);
	customer = service_book_text(order, "customer");
	json_object_set_new(body, "order", json_string(plan->order));
	if (customer != NULL)
		json_object_set_new(body, "customer", json_string(customer));
	json_decref(order);
	return good;
}

static void add_steps(const GArray *steps, json_t *body, GString *to)
{
	json_t *list = json_array();

	for (guint i = 0; i < steps->len; i++) {
		const struct calc_step *step = &g_array_index(steps, struct calc_step, i);
		json_t *json = json_object();

		if (step->advice != NULL)
			g_string_append_printf(to, "    %s\n", step->advice);
		g_string_append_printf(to, "%2u  %s\n", i + 1, lab_point_name(step->point));
		json_object_set_new(json, "point", json_string(lab_point_name(step->point)));
		if (step->advice != NULL)
			json_object_set_new(json, "advice", json_string(step->advice));
		json_array_append_new(list, json);
	}
	json_object_set_new(body, "plan", list);
}

bool service_calibration_plan(service_book *book, const struct service_act *act,
			      const struct service_plan *plan, GString *to, base_messages *messages)
{
	bool subranges[LAB_SUBRANGES] = { false };
	json_t *names = json_array();
	json_t *body = json_pack("{ss s{sO} ss ss}", "thermometer", plan->thermometer, "job",
				 "subranges", names, "planned_by", act->person, "state", "planned");
	bool good = read_subranges(plan, subranges, names, messages);

	g_autoptr(GArray) steps = good ? calc_sequence(subranges, plan->check) : NULL;

	good = good && fits_order(book, plan, subranges, steps, body, to, messages);
	if (good) {
		add_steps(steps, body, to);
		good = service_book_put(book, act, "plan", "calibration", plan->calibration, body,
					0, messages);
	}
	json_decref(names);
	json_decref(body);
	return good;
}
