#include "app/report/json_writer.h"

#include "firn/number.h"

#include <math.h>

static void append_string(GString *to, const char *text)
{
	g_autofree char *valid = g_utf8_make_valid(text, -1);

	g_string_append_c(to, '"');
	for (const char *p = valid; *p != '\0'; p++) {
		const unsigned char c = (unsigned char)*p;

		if (c == '"' || c == '\\')
			g_string_append_printf(to, "\\%c", c);
		else if (c == '\n')
			g_string_append(to, "\\n");
		else if (c == '\t')
			g_string_append(to, "\\t");
		else if (c < 0x20)
			g_string_append_printf(to, "\\u%04x", c);
		else
			g_string_append_c(to, (char)c);
	}
	g_string_append_c(to, '"');
}

static void append_number(GString *to, double x)
{
	char text[FIRN_NUMBER_SIZE];

	if (!isfinite(x)) {
		g_string_append(to, "null");
		return;
	}
	firn_number_print(x, text);
	g_string_append(to, text);
}

static void new_line(struct report_json *json)
{
	g_string_append_c(json->to, '\n');
	for (int i = 0; i < json->depth; i++)
		g_string_append(json->to, "  ");
}

/* Comma, line and name that stand before a value. */
static void begin_value(struct report_json *json, const char *name)
{
	struct report_json_level *level = NULL;

	if (json->depth > 0)
		level = &json->levels[json->depth - 1];
	g_assert((level != NULL && level->object) == (name != NULL));
	g_assert(level != NULL || !json->written);
	json->written = true;
	if (level == NULL)
		return;
	if (level->filled)
		g_string_append_c(json->to, ',');
	level->filled = true;
	new_line(json);
	if (name == NULL)
		return;
	append_string(json->to, name);
	g_string_append(json->to, ": ");
}

static void open_level(struct report_json *json, const char *name, bool object)
{
	begin_value(json, name);
	g_assert(json->depth < REPORT_JSON_DEPTH);
	json->levels[json->depth++] = (struct report_json_level){ .object = object };
	g_string_append_c(json->to, object ? '{' : '[');
}

void report_json_start(struct report_json *json, GString *to)
{
	*json = (struct report_json){ .to = to };
}

void report_json_finish(struct report_json *json)
{
	g_assert(json->depth == 0 && json->written);
	g_string_append_c(json->to, '\n');
}

void report_json_object(struct report_json *json, const char *name)
{
	open_level(json, name, true);
}

void report_json_array(struct report_json *json, const char *name)
{
	open_level(json, name, false);
}

void report_json_close(struct report_json *json)
{
	g_assert(json->depth > 0);
	const struct report_json_level level = json->levels[--json->depth];

	if (level.filled)
		new_line(json);
	g_string_append_c(json->to, level.object ? '}' : ']');
}

void report_json_text(struct report_json *json, const char *name, const char *text)
{
	begin_value(json, name);
	if (text == NULL)
		g_string_append(json->to, "null");
	else
		append_string(json->to, text);
}

void report_json_number(struct report_json *json, const char *name, double x)
{
	begin_value(json, name);
	append_number(json->to, x);
}

void report_json_integer(struct report_json *json, const char *name, int64_t x)
{
	begin_value(json, name);
	g_string_append_printf(json->to, "%" G_GINT64_FORMAT, (gint64)x);
}

void report_json_boolean(struct report_json *json, const char *name, bool x)
{
	begin_value(json, name);
	g_string_append(json->to, x ? "true" : "false");
}

void report_json_numbers(struct report_json *json, const char *name, size_t n, const double *x)
{
	begin_value(json, name);
	g_string_append_c(json->to, '[');
	for (size_t i = 0; i < n; i++) {
		if (i > 0)
			g_string_append(json->to, ", ");
		append_number(json->to, x[i]);
	}
	g_string_append_c(json->to, ']');
}

void report_json_texts(struct report_json *json, const char *name, const GPtrArray *texts)
{
	begin_value(json, name);
	g_string_append_c(json->to, '[');
	for (unsigned i = 0; texts != NULL && i < texts->len; i++) {
		if (i > 0)
			g_string_append(json->to, ", ");
		append_string(json->to, g_ptr_array_index(texts, i));
	}
	g_string_append_c(json->to, ']');
}
