#include "app/file/yaml_syntax.h"

#include "app/file/text.h"

#include <string.h>

struct fault {
	const yaml_parser_t *parser;
	const char *file, *bytes;
	size_t length;
	base_messages *messages;
};

static gunichar character_at(const struct fault *p, yaml_mark_t mark)
{
	const char *at = file_text_line(p->bytes, p->length, mark.line),
		   *end = p->bytes + p->length;

	for (size_t i = 0; i < mark.column && at < end; i++)
		at = g_utf8_next_char(at);
	return at < end ? g_utf8_get_char(at) : 0;
}

/* What libyaml says, and what that means for someone who writes a job. */
static const struct meaning {
	const char *problem, *text;
	bool at_start;     /* say it where the thing began, not where it failed */
	const char *began; /* what began earlier, for "(... on line 3)"; NULL: nothing to say */
} meanings[] = {
	{ "mapping values are not allowed in this context",
	  "a second \": \" on one line; put a text with a colon in quotes, or check the "
	  "indentation",
	  false, NULL },
	{ "could not find expected ':'", "a key without its \": \"; write key: value", true, NULL },
	{ "did not find expected key",
	  "a key is missing, or the indentation differs from the lines above; align it with them",
	  false, "they begin" },
	{ "did not find expected ',' or '}'", "a { is not closed before this place; add , or }",
	  false, "it opened" },
	{ "did not find expected ',' or ']'", "a [ is not closed before this place; add , or ]",
	  false, "it opened" },
	{ "did not find expected '-' indicator",
	  "a list goes on here without a \"- \"; check the indentation", false, "the list began" },
	{ "block sequence entries are not allowed in this context",
	  "a \"- \" cannot stand here; put the list on lines of its own, below its key", false,
	  NULL },
	{ "found unexpected end of stream",
	  "a quote opens here and is never closed; add the closing quote", true, NULL },
	{ "found unexpected document indicator",
	  "a quote opens here and is never closed; add the closing quote", true, NULL },
	{ "did not find expected <document start>",
	  "something stands before the document that does not belong to it; remove it", false,
	  NULL },
	{ "did not find expected node content",
	  "a value is missing here; write it, or remove the comma", false, NULL },
	{ "found incompatible YAML document",
	  "this asks for another version of YAML; remove the line that begins with %", false,
	  NULL },
	{ "found unknown escape character",
	  "a \\ in double quotes starts an escape; use single quotes to write it as it is", false,
	  NULL },
};

static const struct meaning *meaning_of(const char *problem)
{
	for (size_t i = 0; problem != NULL && i < G_N_ELEMENTS(meanings); i++) {
		if (strcmp(problem, meanings[i].problem) == 0)
			return &meanings[i];
	}
	return NULL;
}

static void say(const struct fault *p, yaml_mark_t mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

static void say(const struct fault *p, yaml_mark_t mark, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(p->messages, BASE_ERROR, p->file,
			  (struct base_mark){ (int)mark.line + 1, (int)mark.column + 1 }, "%s",
			  text);
}

static void say_no_token(const struct fault *p)
{
	const yaml_mark_t mark = p->parser->problem_mark;
	const gunichar c = character_at(p, mark);

	if (c == '\t')
		say(p, mark, "a tab; YAML is indented with spaces");
	else if (c < 128)
		say(p, mark, "a value cannot start with %c; put it in quotes", (char)c);
	else
		say(p, mark, "a value cannot start with this character; put it in quotes");
}

/* A bracket where no rule has a place for it closes what was never opened. */
static bool say_bracket(const struct fault *p)
{
	const yaml_mark_t mark = p->parser->problem_mark;
	const gunichar c = character_at(p, mark);

	if (g_strcmp0(p->parser->problem, "did not find expected key") != 0 ||
	    (c != '}' && c != ']'))
		return false;
	say(p, mark, "a %c that closes nothing; remove it", (char)c);
	return true;
}

/* A list's item without its dash is taken for a key. */
static bool say_item(const struct fault *p)
{
	const yaml_mark_t mark = p->parser->context_mark;

	if (g_strcmp0(p->parser->problem, "could not find expected ':'") != 0 ||
	    character_at(p, mark) != '{')
		return false;
	say(p, mark, "a { } cannot stand here by itself; in a list a \"- \" stands before it");
	return true;
}

static void explain(const struct fault *p)
{
	const yaml_parser_t *y = p->parser;
	const struct meaning *meaning = meaning_of(y->problem);

	if (say_bracket(p) || say_item(p))
		return;

	if (y->error == YAML_READER_ERROR)
		base_messages_add(p->messages, BASE_ERROR, p->file,
				  file_text_mark(p->bytes, MIN(y->problem_offset, p->length)),
				  "a character that YAML does not allow; remove it");
	else if (g_strcmp0(y->problem, "found character that cannot start any token") == 0)
		say_no_token(p);
	else if (meaning == NULL)
		say(p, y->problem_mark, "this is not YAML (%s); check the lines around it",
		    y->problem != NULL ? y->problem : "no reason given");
	else if (meaning->at_start && y->context != NULL)
		say(p, y->context_mark, "%s", meaning->text);
	else if (meaning->began != NULL && y->context_mark.line < y->problem_mark.line)
		say(p, y->problem_mark, "%s (%s on line %d)", meaning->text, meaning->began,
		    (int)y->context_mark.line + 1);
	else
		say(p, y->problem_mark, "%s", meaning->text);
}

void file_yaml_syntax_error(const yaml_parser_t *parser, const char *file, const char *bytes,
			    size_t length, base_messages *messages)
{
	explain(&(struct fault){ parser, file, bytes, length, messages });
}
