#include "app/cli/cli.h"

#include "app/base/suggest.h"
#include "app/report/schema.h"

#include <string.h>

/* A kind may be typed as one argument, as several, or with hyphens. */
static char *kind_of(char **words)
{
	char *kind = g_strjoinv(" ", words);

	return g_strdelimit(kind, "-_", ' ');
}

/* "fixed-point calibration", with which every hyphen compares as a blank. */
static bool is_kind(const struct report_schema *schema, const char *kind)
{
	g_autofree char *own = g_strdup(schema->kind);

	return strcmp(g_strdelimit(own, "-_", ' '), kind) == 0;
}

static int list(const struct cli_common *common)
{
	g_autoptr(GString) text = g_string_new(NULL);

	if (common->json)
		g_string_append(text, "[\n");
	for (size_t i = 0; i < report_n_schemas; i++) {
		const struct report_schema *s = &report_schemas[i];

		if (common->json)
			g_string_append_printf(text, "  {\"kind\": \"%s\", \"title\": \"%s\"}%s\n",
					       s->kind, s->title,
					       i + 1 < report_n_schemas ? "," : "");
		else
			g_string_append_printf(text, "%-32s %s\n", s->kind, s->title);
	}
	if (common->json)
		g_string_append(text, "]\n");
	return cli_print(common, text->str, text->len);
}

static int no_such_kind(const struct cli_common *common, const char *kind)
{
	g_autoptr(GPtrArray) kinds = g_ptr_array_new();
	const char *near;

	for (size_t i = 0; i < report_n_schemas; i++)
		g_ptr_array_add(kinds, (gpointer)report_schemas[i].kind);
	g_ptr_array_add(kinds, NULL);
	near = base_suggest(kind, (const char *const *)kinds->pdata);
	if (near != NULL)
		return cli_wrong(common, "there is no schema of kind '%.60s'; did you mean %s?",
				 kind, near);
	return cli_wrong(common, "there is no schema of kind '%.60s'; firn schema lists the kinds",
			 kind);
}

int cli_schema(int argc, char **argv)
{
	struct cli_common common = { 0 };
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "[KIND]",
			 "Prints the JSON Schema of a kind of file; without a kind, lists them.",
			 NULL, &common, &status))
		return status;
	if (argc == 1)
		return list(&common);

	g_autofree char *kind = kind_of(argv + 1);
	for (size_t i = 0; i < report_n_schemas; i++) {
		const struct report_schema *s = &report_schemas[i];

		if (is_kind(s, kind))
			return cli_print(&common, s->text, strlen(s->text));
	}
	return no_such_kind(&common, kind);
}
