#include "app/report/evaluation_trials.h"
#include "app/report/json_writer.h"
#include "app/report/law_causes.h"
#include "app/report/result_json.h"

static void write_trials(struct report_json *json, const struct lab_trials *x, const GArray *causes)
{
	report_json_object(json, "monte_carlo");
	report_json_integer(json, "trials", x->n);
	report_json_number(json, "value", x->value);
	report_json_number(json, "u", x->u);
	report_json_number(json, "low", x->low);
	report_json_number(json, "high", x->high);
	report_json_number(json, "shortest_low", x->shortest_low);
	report_json_number(json, "shortest_high", x->shortest_high);
	if (x->judged)
		report_json_boolean(json, "linear_law_holds", x->linear_law_holds);
	else
		report_json_text(json, "linear_law_holds", NULL);
	report_law_causes_json(json, causes);
	report_histogram_json(json, &x->histogram);
	report_json_close(json);
}

static void write_output(struct report_json *json, const struct lab_evaluated *output)
{
	report_json_object(json, output->name);
	report_json_number(json, "value", output->value);
	report_json_text(json, "unit", output->unit);
	report_json_number(json, "u", output->u);
	report_json_number(json, "dof", output->dof);
	report_json_number(json, "k", output->k);
	report_json_number(json, "U", output->U);
	report_json_array(json, "budget");
	for (unsigned i = 0; output->budget != NULL && i < output->budget->len; i++) {
		const struct lab_budget_line *line = LAB_AT(output->budget, lab_budget_line, i);

		report_json_object(json, NULL);
		report_json_text(json, "input", line->input);
		report_json_number(json, "u", line->u);
		report_json_number(json, "sensitivity", line->sensitivity);
		report_json_number(json, "contribution", line->contribution);
		report_json_close(json);
	}
	report_json_close(json);
	if (output->trials.n > 0)
		write_trials(json, &output->trials, output->causes);
	report_json_close(json);
}

/* Each pair once, in the order of the outputs. */
static void write_correlations(struct report_json *json, const struct lab_evaluation *evaluation)
{
	const GArray *outputs = evaluation->outputs;

	report_json_array(json, "correlations");
	for (unsigned i = 0; i < outputs->len; i++) {
		for (unsigned j = i + 1; j < outputs->len; j++) {
			g_autoptr(GPtrArray) pair = g_ptr_array_new();

			g_ptr_array_add(pair, LAB_AT(outputs, lab_evaluated, i)->name);
			g_ptr_array_add(pair, LAB_AT(outputs, lab_evaluated, j)->name);
			report_json_object(json, NULL);
			report_json_texts(json, "between", pair);
			report_json_number(json, "r",
					   evaluation->correlations[i * outputs->len + j]);
			if (evaluation->trial_correlations != NULL)
				report_json_number(
				    json, "r_monte_carlo",
				    evaluation->trial_correlations[i * outputs->len + j]);
			report_json_close(json);
		}
	}
	report_json_close(json);
}

void report_evaluation_json(const struct lab_model *model, const struct lab_evaluation *evaluation,
			    GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_object(&json, "outputs");
	for (unsigned i = 0; i < evaluation->outputs->len; i++)
		write_output(&json, LAB_AT(evaluation->outputs, lab_evaluated, i));
	report_json_close(&json);
	if (evaluation->outputs->len > 1)
		write_correlations(&json, evaluation);
	report_joint_json(&json, evaluation);
	if (evaluation->reservations != NULL && evaluation->reservations->len > 0)
		report_json_texts(&json, "reservations", evaluation->reservations);
	report_json_text(&json, "title", model->title);
	report_json_close(&json);
	report_json_finish(&json);
}
