#include "app/cli/cli.h"
#include "app/calc/evaluate.h"
#include "app/file/model.h"
#include "app/report/result_json.h"
#include "app/report/text.h"

int cli_evaluate(int argc, char **argv)
{
	struct cli_common common = { 0 };
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_model) model = NULL;
	g_autoptr(lab_evaluation) evaluation = NULL;
	g_autoptr(base_threads) threads = NULL;
	g_autoptr(GString) text = g_string_new(NULL);
	int status = CLI_DONE;

	if (!cli_options(
		&argc, &argv, "FILE",
		"Evaluates a measurement model by the law of propagation of uncertainty and, "
		"where it asks for monte_carlo, by trials.",
		NULL, &common, &status))
		return status;
	const char *path =
	    cli_one_file(&common, argc, argv, "the YAML file of a measurement model");
	if (path == NULL)
		return CLI_WRONG;
	threads = base_threads_new(common.threads);
	model = file_read_model(path, messages);
	if (model != NULL)
		evaluation = calc_evaluate_by_trials(model, threads, messages);
	status = cli_report(&common, messages);
	if (evaluation == NULL)
		return status;
	if (common.json)
		report_evaluation_json(model, evaluation, text);
	else
		report_evaluation_text(model, evaluation, text);
	return cli_print(&common, text->str, text->len);
}
