/* What a calibration reached in the cells of a plan. */
#include "app/file/plan.h"

#include "app/base/file.h"

#include <jansson.h>
#include <string.h>

#define LIMIT ((size_t)64000000) /* bytes */

static bool wrong(base_messages *messages, const char *path, int line, int column, const char *text)
{
	base_messages_add(messages, BASE_ERROR, path, (struct base_mark){ line, column }, "%s",
			  text);
	return false;
}

static void take(const json_t *visit, lab_plan_result *result)
{
	const char *point = json_string_value(json_object_get(visit, "point"));
	const json_t *r = json_object_get(visit, "r_ohm");
	const char *cell = json_string_value(json_object_get(visit, "cell"));
	const char *id = json_string_value(json_object_get(visit, "id"));
	const json_t *value = json_object_get(r, "value"), *u = json_object_get(r, "u");

	if (g_strcmp0(point, "H2O") != 0 || cell == NULL || id == NULL || !json_is_number(value) ||
	    !json_is_number(u))
		return;
	const struct lab_plan_achieved achieved = {
		.visit = g_string_chunk_insert(result->text, id),
		.cell = g_string_chunk_insert(result->text, cell),
		.r_ohm = json_number_value(value),
		.u_ohm = json_number_value(u),
	};
	g_array_append_val(result->achieved, achieved);
}

bool file_parse_achieved(const char *path, GBytes *bytes, lab_plan_result *result,
			 base_messages *messages)
{
	gsize n;
	const char *text = g_bytes_get_data(bytes, &n);
	json_error_t error;
	json_t *root = json_loadb(text, n, JSON_REJECT_DUPLICATES, &error), *visit;
	const char *kind = json_string_value(json_object_get(root, "kind"));
	size_t i;

	if (root == NULL)
		return wrong(messages, path, error.line, error.column, error.text);
	if (g_strcmp0(kind, "fixed-point calibration result") != 0) {
		json_decref(root);
		return wrong(messages, path, 1, 1,
			     "is no fixed-point calibration result; write one with firn reduce "
			     "--result");
	}
	json_array_foreach(json_object_get(root, "visits"), i, visit) take(visit, result);
	json_decref(root);
	return true;
}

bool file_read_achieved(const char *path, lab_plan_result *result, base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, LIMIT, "a calibration result", &error);

	if (bytes != NULL)
		return file_parse_achieved(path, bytes, result, messages);
	base_messages_add(messages, base_file_error_kind(error), path, (struct base_mark){ 0, 0 },
			  "%s", error->message);
	return false;
}
