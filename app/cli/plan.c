#include "app/cli/cli.h"
#include "app/cli/picture.h"
#include "app/report/plan.h"
#include "app/service/reach.h"

/* A book where none is named, or a certificate without one. */
static int check(const struct cli_common *common, struct service_reach *reach)
{
	if (reach->achieved != NULL && reach->certificate != NULL)
		return cli_wrong(
		    common, "--achieved and --certificate exclude each other; keep one of them");
	if (reach->certificate == NULL)
		return CLI_DONE;
	if (reach->book == NULL)
		reach->book = g_getenv("FIRN_BOOK");
	if (reach->book == NULL)
		return cli_wrong(common, "no book is named; write --book FILE, or set FIRN_BOOK");
	return CLI_DONE;
}

static int run(const struct cli_common *common, const struct service_reach *reach, const char *svg,
	       const char *pdf)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_plan) plan = NULL;
	g_autoptr(lab_plan_result) result = service_reach(reach, &plan, messages);
	g_autoptr(GString) text = g_string_new(NULL);

	if (result != NULL && (svg != NULL || pdf != NULL)) {
		g_autoptr(report_picture) picture = report_plan_drawing(plan, result);

		cli_picture_write(picture, svg, pdf, messages);
	}
	const int status = cli_report(common, messages);
	if (result == NULL || status != CLI_DONE)
		return status != CLI_DONE ? status : CLI_FAILED;
	if (common->json)
		report_plan_json(plan, result, text);
	else
		report_plan_text(plan, result, text);
	const int printed = cli_print(common, text->str, text->len);
	return printed != CLI_DONE ? printed : result->best < 0 ? CLI_NOT_ACCEPTED : CLI_DONE;
}

int cli_plan(int argc, char **argv)
{
	g_autofree char *svg = NULL, *pdf = NULL, *achieved = NULL, *book = NULL,
			*certificate = NULL;
	const GOptionEntry own[] = {
		{ "achieved", 0, 0, G_OPTION_ARG_FILENAME, &achieved,
		  "Compare with the result of a calibration (firn reduce --result)", "FILE" },
		{ "certificate", 0, 0, G_OPTION_ARG_STRING, &certificate,
		  "Compare with the result behind a certificate of the book", "NUMBER" },
		{ "book", 0, 0, G_OPTION_ARG_FILENAME, &book, "The book that holds it", "BOOK" },
		{ "svg", 0, 0, G_OPTION_ARG_FILENAME, &svg, "Write the picture as SVG", "FILE" },
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf, "Write the picture as PDF", "FILE" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	struct cli_common common = { 0 };
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "FILE",
			 "What a thermometer can reach with every realisation at hand, what "
			 "dominates, what would\nhelp, and days of work. Exit status 1: none "
			 "reaches what is wanted.",
			 own, &common, &status))
		return status;
	struct service_reach reach = { cli_one_file(&common, argc, argv, "the YAML file of a plan"),
				       achieved, book, certificate };
	if (reach.path == NULL)
		return CLI_WRONG;
	status = check(&common, &reach);
	return status != CLI_DONE ? status : run(&common, &reach, svg, pdf);
}
