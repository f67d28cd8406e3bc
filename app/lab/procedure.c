#include "app/lab/procedure.h"

#include "app/lab/value.h"

#include <string.h>

static void free_step(void *data)
{
	struct lab_step *step = data;

	g_array_unref(step->limits);
	g_ptr_array_unref(step->checks);
	g_ptr_array_unref(step->write_down);
	g_ptr_array_unref(step->cautions);
	g_free(step);
}

struct lab_procedure *lab_procedure_new(void)
{
	struct lab_procedure *procedure = g_new0(struct lab_procedure, 1);

	procedure->steps = g_ptr_array_new_with_free_func(free_step);
	procedure->own_cautions = g_ptr_array_new_with_free_func(g_free);
	procedure->text = g_string_chunk_new(4096);
	return procedure;
}

void lab_procedure_free(struct lab_procedure *procedure)
{
	if (procedure == NULL)
		return;
	g_ptr_array_unref(procedure->steps);
	g_ptr_array_unref(procedure->own_cautions);
	g_string_chunk_free(procedure->text);
	g_free(procedure);
}

const char *lab_procedure_text(struct lab_procedure *procedure, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(procedure->text, text);
}

struct lab_step *lab_procedure_add_step(struct lab_procedure *procedure, guint at, const char *id)
{
	struct lab_step *step = g_new0(struct lab_step, 1);

	step->id = lab_procedure_text(procedure, id);
	step->time.least = step->time.most = LAB_NOT_GIVEN;
	step->limits = g_array_new(FALSE, TRUE, sizeof(struct lab_step_limit));
	step->checks = g_ptr_array_new();
	step->write_down = g_ptr_array_new();
	step->cautions = g_ptr_array_new();
	g_ptr_array_insert(procedure->steps, (gint)at, step);
	return step;
}

void lab_procedure_remove_step(struct lab_procedure *procedure, guint at)
{
	g_ptr_array_remove_index(procedure->steps, at);
}

struct lab_step *lab_procedure_step(const struct lab_procedure *procedure, const char *id,
				    guint *ret_at)
{
	for (guint i = 0; i < procedure->steps->len; i++) {
		struct lab_step *step = procedure->steps->pdata[i];

		if (strcmp(step->id, id) != 0)
			continue;
		if (ret_at != NULL)
			*ret_at = i;
		return step;
	}
	return NULL;
}

const struct lab_caution *lab_procedure_caution(const struct lab_procedure *procedure,
						const char *id)
{
	for (guint i = 0; i < procedure->own_cautions->len; i++) {
		const struct lab_caution *caution = procedure->own_cautions->pdata[i];

		if (strcmp(caution->id, id) == 0)
			return caution;
	}
	return lab_caution_named(id);
}
