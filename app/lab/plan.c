#include "app/lab/plan.h"

static void free_realisation(void *data)
{
	struct lab_plan_realisation *r = data;

	lab_cell_study_free(r->study);
	g_array_unref(r->terms);
	g_free(r);
}

struct lab_plan *lab_plan_new(void)
{
	struct lab_plan *plan = g_new0(struct lab_plan, 1);

	plan->U_K = LAB_NOT_GIVEN;
	plan->own = lab_cell_study_new();
	plan->bridge.u_linearity = plan->bridge.s_reading = LAB_NOT_GIVEN;
	plan->bridge.reading_s = LAB_NOT_GIVEN;
	plan->resistor = (struct lab_plan_resistor){ NULL, LAB_NOT_GIVEN, LAB_NOT_GIVEN,
						     LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	plan->realisations = g_ptr_array_new_with_free_func(free_realisation);
	plan->text = g_string_chunk_new(1024);
	return plan;
}

void lab_plan_free(struct lab_plan *plan)
{
	if (plan == NULL)
		return;
	lab_cell_study_free(plan->own);
	g_ptr_array_unref(plan->realisations);
	g_string_chunk_free(plan->text);
	g_free(plan);
}

const char *lab_plan_text(struct lab_plan *plan, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(plan->text, text);
}

struct lab_plan_realisation *lab_plan_add(struct lab_plan *plan, const char *name)
{
	struct lab_plan_realisation *r = g_new0(struct lab_plan_realisation, 1);

	r->name = lab_plan_text(plan, name);
	r->age_d = r->hands_s = r->wait_s = LAB_NOT_GIVEN;
	r->terms = g_array_new(FALSE, TRUE, sizeof(struct lab_plan_term));
	g_ptr_array_add(plan->realisations, r);
	return r;
}

const char *lab_plan_size_name(enum lab_plan_size size)
{
	static const char *const names[] = { "ice bath", "small cell", "large cell", "cell" };

	return names[size];
}

static void clear_outcome(void *data)
{
	struct lab_plan_outcome *outcome = data;

	g_array_unref(outcome->causes);
	g_array_unref(outcome->options);
}

struct lab_plan_result *lab_plan_result_new(void)
{
	struct lab_plan_result *result = g_new0(struct lab_plan_result, 1);

	result->outcomes = g_array_new(FALSE, TRUE, sizeof(struct lab_plan_outcome));
	g_array_set_clear_func(result->outcomes, clear_outcome);
	result->points = g_array_new(FALSE, TRUE, sizeof(struct lab_plan_point));
	result->achieved = g_array_new(FALSE, TRUE, sizeof(struct lab_plan_achieved));
	result->reservations = g_ptr_array_new();
	result->text = g_string_chunk_new(1024);
	result->best = -1;
	return result;
}

void lab_plan_result_free(struct lab_plan_result *result)
{
	if (result == NULL)
		return;
	g_array_unref(result->outcomes);
	g_array_unref(result->points);
	g_array_unref(result->achieved);
	g_ptr_array_unref(result->reservations);
	g_string_chunk_free(result->text);
	g_free(result);
}
