#include "app/validate/models.h"

#include "app/calc/evaluate.h"
#include "app/file/model.h"
#include "app/lab/calibration.h"

#include <string.h>

enum { TRIALS = 1000000, SEED = 1 };

static const struct lab_evaluated *output_named(const struct lab_evaluation *evaluation,
						const char *name)
{
	for (guint i = 0; i < evaluation->outputs->len; i++) {
		const struct lab_evaluated *output = LAB_AT(evaluation->outputs, lab_evaluated, i);

		if (strcmp(output->name, name) == 0)
			return output;
	}
	return NULL;
}

/* NaN, which no check passes, for a quantity that there is not. */
static double quantity_of(const struct lab_evaluated *output, const char *quantity, bool by_trials)
{
	const struct lab_trials *trials = &output->trials;

	if (strcmp(quantity, "value") == 0)
		return by_trials ? trials->value : output->value;
	if (strcmp(quantity, "u") == 0)
		return by_trials ? trials->u : output->u;
	if (strcmp(quantity, "k") == 0 && !by_trials)
		return output->k;
	if (strcmp(quantity, "width") == 0 && by_trials)
		return trials->shortest_high - trials->shortest_low;
	return LAB_NOT_GIVEN;
}

bool validate_model_row(lab_validation *to, const struct validate_row *row,
			const struct validate_model *source, base_threads *threads,
			base_messages *messages)
{
	const bool by_trials = row->kind == VALIDATE_TRIALS;
	g_autoptr(GBytes) bytes = g_bytes_new_static(source->text, source->length);
	g_autoptr(lab_model) model = file_parse_model(source->name, bytes, messages);
	g_autoptr(lab_evaluation) evaluation = NULL;
	const struct lab_evaluated *output;

	if (model == NULL)
		return false;
	model->monte_carlo = (struct lab_monte_carlo){
		.given = by_trials, .trials = TRIALS, .digits = 2, .seed = SEED
	};
	evaluation = calc_evaluate_by_trials(model, threads, messages);
	if (evaluation == NULL)
		return false;
	output = output_named(evaluation, row->output);
	g_autofree char *name = g_strdup_printf("%s: %s of %s%s", model->title, row->quantity,
						row->output, by_trials ? " by 1000000 trials" : "");
	lab_validation_add(to, name, row->source, row->want, row->tolerance,
			   output == NULL ? LAB_NOT_GIVEN
					  : quantity_of(output, row->quantity, by_trials));
	return true;
}
