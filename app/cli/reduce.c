#include "app/cli/cli.h"
#include "app/service/reduce.h"

int cli_reduce(int argc, char **argv)
{
	g_autofree char *pdf = NULL, *result = NULL, *explain = NULL, *monte_carlo = NULL;
	gint64 trials = 0;
	const GOptionEntry own[] = {
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf,
		  "Write the certificate, or a draft, as PDF", "FILE" },
		{ "result", 0, 0, G_OPTION_ARG_FILENAME, &result, "Write the result as JSON",
		  "FILE" },
		{ "explain", 0, 0, G_OPTION_ARG_FILENAME, &explain,
		  "Show how one number came about: visit.ID.W (or R, dT), subrange.NAME.a, "
		  "temperature.ID.NAME",
		  "NUMBER" },
		{ "monte-carlo", 0, 0, G_OPTION_ARG_FILENAME, &monte_carlo,
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
	const char *path =
	    cli_one_file(&common, argc, argv, "the YAML file of a fixed-point calibration");
	if (path == NULL)
		return CLI_WRONG;
	if (!cli_whole_number(&common, "--monte-carlo", monte_carlo, 1000, 1000000000, &trials))
		return CLI_WRONG;
	reduction.trials = trials;
	reduction.threads = common.threads;
	if (explain != NULL && (pdf != NULL || result != NULL || trials != 0 || common.json))
		return cli_wrong(
		    &common,
		    "--explain prints one number as text and makes nothing else; leave "
		    "%s for a run without it",
		    pdf != NULL      ? "--pdf"
		    : result != NULL ? "--result"
		    : trials != 0    ? "--monte-carlo"
				     : "--json");
	reduction.job_path = path;
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
