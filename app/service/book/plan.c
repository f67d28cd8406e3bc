#include "app/service/book/plan.h"

#include "app/calc/sequence.h"

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

static bool fits_order(service_book *book, const struct service_plan *plan, json_t *body,
		       base_messages *messages)
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

	good = fits_order(book, plan, body, messages) && good;
	if (good) {
		g_autoptr(GArray) steps = calc_sequence(subranges, plan->check);

		add_steps(steps, body, to);
		good = service_book_put(book, act, "plan", "calibration", plan->calibration, body,
					0, messages);
	}
	json_decref(names);
	json_decref(body);
	return good;
}
