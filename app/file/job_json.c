#include "app/file/job_json.h"

#include "app/base/canonical.h"
#include "app/file/yaml.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

/* ---- to JSON ---- */

static json_t *scalar(const struct file_node *node)
{
	json_t *number;
	double x;

	if (node->quoted)
		return json_string(node->text);
	if (strcmp(node->text, "true") == 0 || strcmp(node->text, "false") == 0)
		return json_boolean(node->text[0] == 't');
	if (firn_number_parse(node->text, strlen(node->text), &x) != FIRN_OK || !isfinite(x))
		return json_string(node->text);
	number = json_real(x);
	g_autofree char *text = base_canonical(number);
	if (strcmp(text, node->text) == 0)
		return number;
	json_decref(number);
	return json_string(node->text);
}

static json_t *tree(const struct file_node *node)
{
	json_t *json;

	if (node->kind == FILE_SCALAR)
		return scalar(node);
	json = node->kind == FILE_LIST ? json_array() : json_object();
	for (const struct file_node *child = node->first; child != NULL; child = child->next) {
		if (node->kind == FILE_LIST)
			json_array_append_new(json, tree(child));
		else
			json_object_set_new(json, child->key, tree(child));
	}
	return json;
}

json_t *file_job_to_json(const char *path, GBytes *bytes, base_messages *messages)
{
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);

	return yaml == NULL ? NULL : tree(file_yaml_root(yaml));
}

/* ---- to YAML ---- */

/* A text that looks like a number stands without quotes: a field of numbers reads it as one, a
   field of texts as it is. */
static void write_scalar(GString *to, const json_t *json)
{
	const char *text = json_string_value(json);
	double x;

	if (text != NULL && firn_number_parse(text, strlen(text), &x) == FIRN_OK) {
		g_string_append(to, text);
		return;
	}
	g_autofree char *canonical = base_canonical(json);
	g_string_append(to, canonical);
}

static int by_name(const void *a, const void *b)
{
	return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* The names of an object in order; release with g_free. */
static const char **names_of(const json_t *json, size_t *ret_n)
{
	const char **names = g_new(const char *, json_object_size(json) + 1), *name;
	json_t *value;

	*ret_n = 0;
	json_object_foreach((json_t *)json, name, value) names[(*ret_n)++] = name;
	qsort(names, *ret_n, sizeof *names, by_name);
	return names;
}

static void write_name(GString *to, const char *name)
{
	json_t *json = json_string(name);
	g_autofree char *text = base_canonical(json);

	g_string_append_printf(to, "%s: ", text);
	json_decref(json);
}

static void write_flow(GString *to, const json_t *json)
{
	if (json_is_object(json)) {
		size_t n;
		g_autofree const char **names = names_of(json, &n);

		g_string_append_c(to, '{');
		for (size_t i = 0; i < n; i++) {
			g_string_append(to, i > 0 ? ", " : "");
			write_name(to, names[i]);
			write_flow(to, json_object_get(json, names[i]));
		}
		g_string_append_c(to, '}');
	} else if (json_is_array(json)) {
		g_string_append_c(to, '[');
		for (size_t i = 0; i < json_array_size(json); i++) {
			g_string_append(to, i > 0 ? ", " : "");
			write_flow(to, json_array_get(json, i));
		}
		g_string_append_c(to, ']');
	} else {
		write_scalar(to, json);
	}
}

static void write_member(GString *to, const char *name, const json_t *value)
{
	write_name(to, name);
	if (json_array_size(value) == 0 || !json_is_object(json_array_get(value, 0))) {
		write_flow(to, value);
	} else {
		for (size_t i = 0; i < json_array_size(value); i++) {
			g_string_append(to, "\n  - ");
			write_flow(to, json_array_get(value, i));
		}
	}
	g_string_append_c(to, '\n');
}

GBytes *file_job_from_json(const json_t *json)
{
	GString *to = g_string_new(NULL);
	size_t n;
	g_autofree const char **names = names_of(json, &n);

	for (size_t i = 0; i < n; i++)
		write_member(to, names[i], json_object_get(json, names[i]));
	return g_string_free_to_bytes(to);
}
