#include "app/file/kind.h"

#include "app/base/file.h"
#include "app/file/text.h"

static const char *const kinds[] = { "fixed-point calibration",
				     "measurement model",
				     "cell",
				     "procedure",
				     "procedure change",
				     "plan",
				     "cell comparison",
				     NULL };

GBytes *file_yaml_bytes(const char *path, base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	GBytes *bytes = base_file_read(path, FILE_YAML_LIMIT, "a job or a model", &error);

	if (bytes == NULL)
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
	return bytes;
}

enum file_kind file_kind(const char *path, base_messages *messages)
{
	const struct file_reader reader = { .file = path, .messages = messages };
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);
	g_autoptr(file_yaml) yaml = bytes == NULL ? NULL : file_yaml_parse(path, bytes, messages);

	if (yaml == NULL)
		return FILE_NO_KIND;

	const struct file_node *root = file_yaml_root(yaml);
	const struct file_node *node = NULL;
	if (root->kind == FILE_MAPPING) {
		for (node = root->first; node != NULL && !g_str_equal(node->key, "kind");)
			node = node->next;
	}
	if (node != NULL)
		return (enum file_kind)file_node_choice(&reader, node, "kind", kinds);
	g_autofree char *all = file_join_words(kinds);
	file_wrong(&reader, root->mark, "the file does not say its kind; add kind: and one of %s",
		   all);
	return FILE_NO_KIND;
}

bool file_kind_is(struct file_map *top, enum file_kind wanted, const char *sign)
{
	const struct file_node *node = file_get(top, "kind");

	if (top->node == NULL)
		return false;
	if (node == NULL) {
		/* Misspelt, it is complained of with the other keys; but only if those are read. */
		if (!file_has_like(top, "kind") || !file_has(top, sign))
			file_wrong(top->reader, top->mark,
				   "the file does not say its kind; add kind: %s", kinds[wanted]);
		return file_has(top, sign);
	}
	if (node->kind == FILE_SCALAR && g_str_equal(node->text, kinds[wanted]))
		return true;

	g_autofree char *shown = node->kind == FILE_SCALAR ? file_quote(node->text)
							   : g_strdup(file_node_kind_name(node));
	const bool is_other = node->kind == FILE_SCALAR && g_strv_contains(kinds, node->text);
	file_wrong(top->reader, node->mark, "kind is %s%s; this command reads kind: %s", shown,
		   is_other ? ", for which there is another command" : "", kinds[wanted]);
	return file_has(top, sign);
}
