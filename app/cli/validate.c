#include "app/cli/cli.h"
#include "app/report/validation.h"
#include "app/validate/validate.h"

int cli_validate(int argc, char **argv)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(base_threads) threads = NULL;
	g_autoptr(lab_validation) validation = NULL;
	g_autoptr(GString) text = g_string_new(NULL);
	struct cli_common common = { 0 };
	int status = CLI_DONE;

	if (!cli_options(
		&argc, &argv, "",
		"Runs the built-in published checks on this machine and prints the record: "
		"the scale,\n"
		"worked examples of the GUM and its supplement 1, simulated calibrations.",
		NULL, &common, &status))
		return status;
	if (argc != 1)
		return cli_wrong(&common, "validate takes no file, got %s; firn validate", argv[1]);
	threads = base_threads_new(common.threads);
	validation = validate_all(threads, messages);
	status = cli_report(&common, messages);
	if (validation == NULL)
		return CLI_FAILED;
	(common.json ? report_validation_json : report_validation_text)(validation, text);
	status = cli_print(&common, text->str, text->len);
	if (status != CLI_DONE)
		return status;
	return validation->passed ? CLI_DONE : CLI_NOT_ACCEPTED;
}
