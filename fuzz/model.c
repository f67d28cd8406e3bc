/* Fuzz target: a measurement model, formulas and trials included, from bytes to its result. */
#include "fuzz/fuzz.h"

#include "app/calc/evaluate.h"
#include "app/file/model.h"
#include "app/report/result_json.h"
#include "app/report/text.h"

enum { MOST_TRIALS = 2000 }; /* of those that a model asks for: the others would be alike */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);
	g_autoptr(lab_model) model = file_parse_model("model.yaml", bytes, messages);

	fuzz_check_messages(messages, model != NULL);
	if (model == NULL)
		return 0;

	FUZZ_HOLDS(model->outputs->len > 0);
	model->monte_carlo.adaptive = false;
	model->monte_carlo.trials = MIN(model->monte_carlo.trials, MOST_TRIALS);
	g_autoptr(base_threads) threads = base_threads_new(1);
	g_autoptr(lab_evaluation) evaluation = calc_evaluate_by_trials(model, threads, messages);
	fuzz_check_messages(messages, evaluation != NULL);
	if (evaluation == NULL)
		return 0;

	FUZZ_HOLDS(evaluation->outputs->len == model->outputs->len);
	g_autoptr(GString) text = g_string_new(NULL);
	report_evaluation_json(model, evaluation, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_evaluation_text(model, evaluation, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
	return 0;
}
