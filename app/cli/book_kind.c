#include "app/cli/book_kind.h"

#include "app/base/suggest.h"
#include "app/cli/book_answer.h"
#include "app/report/columns.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

/* ---- as they are typed ---- */

static const struct lab_kind *kind_of(const char *word)
{
	g_autofree char *blanks = g_strdelimit(g_strdup(word), "-_", ' ');

	return lab_kind_named(blanks);
}

static char *no_such_kind(const char *word)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	const char *near;

	for (const struct lab_kind *kind = lab_kinds; kind->name != NULL; kind++)
		g_ptr_array_add(names, (gpointer)kind->name);
	g_ptr_array_add(names, NULL);
	near = base_suggest(word, (const char *const *)names->pdata);
	return g_strdup_printf("the book has no kind of record '%.60s'; %s%s%s", word,
			       near != NULL ? "did you mean " : "firn book kinds lists them",
			       near != NULL ? near : "", near != NULL ? "?" : "");
}

const char *cli_book_kind(struct cli_book_call *call, const char *word)
{
	const struct lab_kind *kind = kind_of(word);
	g_autofree char *fault = NULL;

	if (kind != NULL)
		return kind->name;
	if (strcmp(word, "block") == 0)
		return "block";
	fault = no_such_kind(word);
	call->status = cli_wrong(&call->common, "%s", fault);
	return NULL;
}

/* ---- what they may say ---- */

static const char *type_name(enum lab_field_type type)
{
	static const char *const names[] = {
		[LAB_TEXT] = "text",    [LAB_NUMBER] = "number",    [LAB_TIME] = "time",
		[LAB_DATE] = "date",    [LAB_YES_NO] = "yes or no", [LAB_CHOICE] = "choice",
		[LAB_REFERENCE] = "id", [LAB_REFERENCES] = "ids",   [LAB_HASH] = "SHA-256",
		[LAB_LIST] = "list",    [LAB_OBJECT] = "object",    [LAB_JOB] = "job",
	};

	return names[type];
}

static json_t *words_of(const char *joined)
{
	g_auto(GStrv) words = g_strsplit(joined, "|", -1);
	json_t *list = json_array();

	for (char **word = words; *word != NULL && **word != 0; word++)
		json_array_append_new(list, json_string(*word));
	return list;
}

static json_t *fields_of(const struct lab_field *fields)
{
	json_t *list = json_array();

	for (const struct lab_field *f = fields; f != NULL && f->name != NULL; f++) {
		json_t *one = json_pack("{ss ss sb ss}", "name", f->name, "type",
					type_name(f->type), "needed", f->needed, "what", f->what);

		if (f->of != NULL)
			json_object_set_new(one, "of", words_of(f->of));
		if (f->type == LAB_NUMBER && isfinite(f->low))
			json_object_set_new(one, "low", json_real(f->low));
		if (f->type == LAB_NUMBER && isfinite(f->high))
			json_object_set_new(one, "high", json_real(f->high));
		if (f->fields != NULL && f->fields->name != NULL)
			json_object_set_new(one, "fields", fields_of(f->fields));
		json_array_append_new(list, one);
	}
	return list;
}

static json_t *kind_in_json(const struct lab_kind *kind)
{
	json_t *states = json_object();

	for (const struct lab_state *s = kind->states; s != NULL && s->name != NULL; s++)
		json_object_set_new(states, s->name, words_of(s->next));
	return json_pack("{ss ss ss so so}", "name", kind->name, "what", kind->what, "written_by",
			 kind->act, "fields", fields_of(kind->fields), "states", states);
}

static void append_list(GString *to, const json_t *words, const char *between)
{
	size_t i;
	json_t *word;

	json_array_foreach(words, i, word)
	    g_string_append_printf(to, "%s%s", i > 0 ? between : "", json_string_value(word));
}

/* "number from 0 to 1100", "one of in service, retired", "id (cell)" */
static void append_type(GString *to, const json_t *field)
{
	const char *type = cli_book_text(field, "type");
	const json_t *low = json_object_get(field, "low"), *high = json_object_get(field, "high");
	char text[FIRN_NUMBER_SIZE];

	if (strcmp(type, "choice") == 0) {
		g_string_append(to, "one of ");
		append_list(to, json_object_get(field, "of"), ", ");
		return;
	}
	g_string_append(to, type);
	if (json_object_get(field, "of") != NULL) {
		g_string_append(to, " (");
		append_list(to, json_object_get(field, "of"), ", ");
		g_string_append_c(to, ')');
	}
	if (low != NULL) {
		firn_number_print(json_number_value(low), text);
		g_string_append_printf(to, " from %s", text);
	}
	if (high != NULL) {
		firn_number_print(json_number_value(high), text);
		g_string_append_printf(to, " to %s", text);
	}
}

static void tell_fields(const json_t *fields, int indent, GString *to)
{
	size_t i;
	json_t *field;

	json_array_foreach(fields, i, field)
	{
		g_autoptr(GString) line = g_string_new(NULL);
		const char *what = cli_book_text(field, "what");

		g_string_append_printf(
		    line, "%*s%-*s %s", indent, "", 22 - indent, cli_book_text(field, "name"),
		    json_is_true(json_object_get(field, "needed")) ? "" : "perhaps ");
		append_type(line, field);
		if (what[0] != '\0')
			g_string_append_printf(line, "; %s", what);
		report_wrap(to, line->str, 23);
		tell_fields(json_object_get(field, "fields"), indent + 2, to);
	}
}

static void tell_kind(const json_t *kind, GString *to)
{
	const char *name;
	json_t *next;

	g_string_append_printf(to, "%s: %s; written by who may %s\n", cli_book_text(kind, "name"),
			       cli_book_text(kind, "what"), cli_book_text(kind, "written_by"));
	tell_fields(json_object_get(kind, "fields"), 2, to);
	json_object_foreach(json_object_get(kind, "states"), name, next)
	{
		g_string_append_printf(to, "  %s --> ", name);
		append_list(to, next, ", ");
		g_string_append(to, json_array_size(next) == 0 ? "(for good)\n" : "\n");
	}
}

static void tell_kinds(const json_t *answer, GString *to)
{
	const json_t *kinds = json_object_get(answer, "kinds");
	size_t i;
	json_t *kind;

	if (json_array_size(kinds) == 1) {
		tell_kind(json_array_get(kinds, 0), to);
		return;
	}
	json_array_foreach(kinds, i, kind) g_string_append_printf(
	    to, "  %-22s %s\n", cli_book_text(kind, "name"), cli_book_text(kind, "what"));
	g_string_append(to, "\n  firn book kinds KIND tells what a record of it may say.\n");
}

int cli_book_kinds(int argc, char **argv)
{
	struct cli_common common = { 0 };
	const struct lab_kind *only = NULL;
	g_autoptr(GString) output = g_string_new(NULL);
	json_t *kinds = json_array(), *answer = json_pack("{so}", "kinds", kinds);
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "[KIND]",
			 "Tells what the records of a kind may say, and their states; without a "
			 "kind,\nlists the kinds.",
			 NULL, &common, &status)) {
		json_decref(answer);
		return status;
	}
	if (argc > 1 && (only = kind_of(argv[1])) == NULL) {
		g_autofree char *fault = no_such_kind(argv[1]);

		json_decref(answer);
		return cli_wrong(&common, "%s", fault);
	}
	for (const struct lab_kind *kind = lab_kinds; kind->name != NULL; kind++)
		if (only == NULL || only == kind)
			json_array_append_new(kinds, kind_in_json(kind));
	if (common.json)
		cli_book_json(answer, output);
	else
		tell_kinds(answer, output);
	json_decref(answer);
	return cli_print(&common, output->str, output->len);
}
