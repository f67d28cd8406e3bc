#include "app/cli/cell_procedure.h"

#include "app/cli/cli.h"
#include "app/file/procedure.h"
#include "app/report/procedure.h"

static void list(GString *to)
{
	for (const char *const *name = file_procedure_names(); *name != NULL; name++) {
		g_autoptr(base_messages) messages = base_messages_new();
		g_autoptr(lab_procedure) procedure = file_read_procedure(*name, NULL, messages);

		g_assert(procedure != NULL); /* the program's own, held to by a test */
		g_string_append_printf(to, "%-24s %s\n", *name, procedure->title);
	}
}

static int show(const struct cli_common *common, const char *name, const char *change)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_procedure) procedure = file_read_procedure(name, change, messages);
	g_autoptr(GString) text = g_string_new(NULL);
	const int status = cli_report(common, messages);

	if (procedure == NULL)
		return status;
	if (common->json)
		report_procedure_json(procedure, text);
	else
		report_procedure_text(procedure, text);
	return cli_print(common, text->str, text->len);
}

int cli_cell_procedure(int argc, char **argv)
{
	struct cli_common common = { 0 };
	g_autofree char *change = NULL;
	g_autoptr(GString) text = g_string_new(NULL);
	gboolean cautions = FALSE;
	int status = CLI_DONE;
	const GOptionEntry own[] = {
		{ "with", 0, 0, G_OPTION_ARG_FILENAME, &change,
		  "What the laboratory changes in it (kind: procedure change)", "FILE" },
		{ "cautions", 0, 0, G_OPTION_ARG_NONE, &cautions, "All cautions instead", NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};

	if (!cli_options(&argc, &argv, "[NAME]",
			 "Prints a guided procedure, each caution before the step that needs it; "
			 "without a name,\nlists them.",
			 own, &common, &status))
		return status;
	if (argc > 2)
		return cli_wrong(&common, "'%.60s' is too much; name one procedure", argv[2]);
	if (argc == 2 && !cautions)
		return show(&common, argv[1], change);
	if (common.json || change != NULL)
		return cli_wrong(&common, "name a procedure; without one they are listed as text");
	if (cautions)
		report_cautions_text(text);
	else
		list(text);
	return cli_print(&common, text->str, text->len);
}
