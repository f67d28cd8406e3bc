#include "app/cli/cli.h"
#include "app/service/reduce.h"

int cli_reduce(int argc, char **argv)
{
	g_autofree char *pdf = NULL, *result = NULL, *explain = NULL;
	gint64 trials = 0;
	const GOptionEntry own[] = {
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf,
		  "Write the certificate, or a draft, as PDF", "FILE" },
		{ "result", 0, 0, G_OPTION_ARG_FILENAME, &result, "Write the result as JSON",
		  "FILE" },
		{ "explain", 0, 0, G_OPTION_ARG_STRING, &explain,
		  "Show how one number came about: visit.ID.W (or R, dT), subrange.NAME.a, "
		  "temperature.ID.NAME",
		  "NUMBER" },
		{ "monte-carlo", 0, 0, G_OPTION_ARG_INT64, &trials,
		  "Confirm coefficients and u(t) by N trials", "N" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) output = g_string_new(NULL);
	struct service_reduction reduction = { .output = output };
	struct cli_common common = { 0 };
	int status = CLI_DONE;
	bool done;

	if (!cli_options(&argc, &argv, "JOB",
			 "Reduces a fixed-point calibration: corrected W, coefficients of every "
			 "subrange with\n"
			 "their covariance, temperatures with uncertainty.",
			 own, &common, &status))
		return status;
	if (argc != 2)
		return cli_wrong(&common, "reduce takes one job, got %d; firn reduce JOB",
				 argc - 1);
	if (trials != 0 && (trials < 1000 || trials > 1000000000))
		return cli_wrong(&common,
				 "--monte-carlo is %" G_GINT64_FORMAT
				 "; 1000 to 1000000000 trials can be made",
				 trials);
	reduction.trials = trials;
	reduction.threads = common.threads;
	if (explain != NULL && (pdf != NULL || result != NULL || common.json))
		return cli_wrong(
		    &common,
		    "--explain prints one number as text and makes nothing else; ask for %s apart",
		    pdf != NULL      ? "--pdf"
		    : result != NULL ? "--result"
				     : "--json");
	reduction.job_path = argv[1];
	reduction.pdf_path = pdf;
	reduction.result_path = result;
	reduction.explain = explain;
	reduction.json = common.json;
	done = service_reduce(&reduction, messages);
	status = cli_report(&common, messages);
	if (!done)
		return status != CLI_DONE ? status : CLI_FAILED;
	const int printed = cli_print(&common, output->str, output->len);
	if (printed != CLI_DONE)
		return printed;
	return reduction.accepted ? status : CLI_NOT_ACCEPTED;
}
