#include "app/lab/model.h"

static void clear_input(gpointer data)
{
	struct lab_model_input *input = data;

	if (input->readings != NULL)
		g_array_unref(input->readings);
}

static void clear_group(gpointer data)
{
	GArray **group = data;

	g_array_unref(*group);
}

struct lab_model *lab_model_new(void)
{
	struct lab_model *model = g_new0(struct lab_model, 1);

	model->inputs = g_array_new(FALSE, TRUE, sizeof(struct lab_model_input));
	g_array_set_clear_func(model->inputs, clear_input);
	model->outputs = g_array_new(FALSE, TRUE, sizeof(struct lab_model_output));
	model->correlations = g_array_new(FALSE, TRUE, sizeof(struct lab_model_pair));
	model->paired = g_array_new(FALSE, TRUE, sizeof(GArray *));
	g_array_set_clear_func(model->paired, clear_group);
	model->paired_marks = g_array_new(FALSE, TRUE, sizeof(struct base_mark));
	model->coverage_probability = 0.95;
	model->coverage_factor = LAB_NOT_GIVEN;
	model->text = g_string_chunk_new(4096);
	return model;
}

void lab_model_free(struct lab_model *model)
{
	if (model == NULL)
		return;
	g_array_unref(model->inputs);
	g_array_unref(model->outputs);
	g_array_unref(model->correlations);
	g_array_unref(model->paired);
	g_array_unref(model->paired_marks);
	g_string_chunk_free(model->text);
	g_free(model);
}

struct lab_model_input *lab_add_model_input(struct lab_model *model)
{
	const struct lab_model_input nothing = {
		.value = LAB_NOT_GIVEN,
		.u = LAB_NOT_GIVEN,
		.dof = LAB_NOT_GIVEN,
		.low = LAB_NOT_GIVEN,
		.high = LAB_NOT_GIVEN,
		.beta = LAB_NOT_GIVEN,
		.d = LAB_NOT_GIVEN,
		.scale = LAB_NOT_GIVEN,
		.mean = LAB_NOT_GIVEN,
		.shape = LAB_NOT_GIVEN,
	};

	g_array_append_val(model->inputs, nothing);
	return &g_array_index(model->inputs, struct lab_model_input, model->inputs->len - 1);
}

struct lab_model_output *lab_add_model_output(struct lab_model *model)
{
	const struct lab_model_output nothing = { .near = LAB_NOT_GIVEN };

	g_array_append_val(model->outputs, nothing);
	return &g_array_index(model->outputs, struct lab_model_output, model->outputs->len - 1);
}

char *lab_model_text(struct lab_model *model, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(model->text, text);
}

static void clear_evaluated(gpointer data)
{
	struct lab_evaluated *output = data;

	if (output->budget != NULL)
		g_array_unref(output->budget);
	if (output->causes != NULL)
		g_array_unref(output->causes);
}

struct lab_evaluation *lab_evaluation_new(void)
{
	struct lab_evaluation *evaluation = g_new0(struct lab_evaluation, 1);

	evaluation->outputs = g_array_new(FALSE, TRUE, sizeof(struct lab_evaluated));
	g_array_set_clear_func(evaluation->outputs, clear_evaluated);
	evaluation->coverage_probability = LAB_NOT_GIVEN;
	evaluation->reservations = g_ptr_array_new();
	evaluation->text = g_string_chunk_new(4096);
	return evaluation;
}

void lab_evaluation_free(struct lab_evaluation *evaluation)
{
	if (evaluation == NULL)
		return;
	g_array_unref(evaluation->outputs);
	g_free(evaluation->correlations);
	g_free(evaluation->trial_correlations);
	g_free(evaluation->joint.linear);
	g_free(evaluation->joint.trials);
	g_ptr_array_unref(evaluation->reservations);
	g_string_chunk_free(evaluation->text);
	g_free(evaluation);
}
