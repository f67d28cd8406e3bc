#include "app/file/read.h"

#include "app/base/suggest.h"
#include "app/file/text.h"

#include "firn/number.h"

#include <math.h>
#include <string.h>

enum { LONGEST_TEXT = 4000, LONGEST_NAME = 64 };

void file_wrong(const struct file_reader *reader, struct base_mark mark, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	base_messages_add_valist(reader->messages, BASE_ERROR, reader->file, mark, format,
				 arguments);
	va_end(arguments);
}

static bool is_null(const struct file_node *node)
{
	return node->kind == FILE_SCALAR && !node->quoted &&
	       (node->text[0] == '\0' || strcmp(node->text, "~") == 0 ||
		strcmp(node->text, "null") == 0);
}

void file_map_open(struct file_map *map, const struct file_reader *reader,
		   const struct file_node *node, const char *what, const char *path)
{
	*map = (struct file_map){
		.reader = reader,
		.what = g_strdup(what),
		.path = g_strdup(path),
		.asked = g_ptr_array_new_with_free_func(g_free),
		.missing = g_ptr_array_new_with_free_func(g_free),
	};
	if (node == NULL)
		return;
	map->mark = node->key != NULL ? node->key_mark : node->mark;
	if (reader->note != NULL && path[0] != '\0')
		reader->note(reader->context, path, map->mark);
	if (node->kind == FILE_MAPPING)
		map->node = node->broken ? NULL : node;
	else if (!node->broken)
		file_wrong(reader, node->mark,
			   "%s is %s here; it has to be made of keys with values, as in key: value",
			   what, is_null(node) ? "empty" : file_node_kind_name(node));
}

/* An expanded uncertainty where a standard one is meant (k unknown) would be wrong by a factor. */
static bool is_expanded(const char *key, const char *known)
{
	return key[0] == 'U' && known != NULL && known[0] == 'u' && strcmp(key + 1, known + 1) == 0;
}

char *file_meant(const char *name, const char *known)
{
	const char *unit = base_unit_meant(name, known);

	return unit == NULL ? g_strdup_printf("did you mean %s?", known)
			    : g_strdup_printf("did you mean %s? Its value is in %s", known, unit);
}

static void unknown_key(const struct file_map *map, const struct file_node *child)
{
	const char *known = base_suggest(child->key, (const char *const *)map->asked->pdata);
	g_autofree char *key = file_quote(child->key);

	if (is_expanded(child->key, known)) {
		file_wrong(map->reader, child->key_mark,
			   "%s would be an expanded uncertainty; give the standard uncertainty, "
			   "%s, which is U divided by its k",
			   key, known);
		return;
	}
	if (known != NULL) {
		g_autofree char *meant = file_meant(child->key, known);

		file_wrong(map->reader, child->key_mark, "%s has no key %s; %s", map->what, key,
			   meant);
		return;
	}
	g_autofree char *words = file_join_words((const char *const *)map->asked->pdata);
	file_wrong(map->reader, child->key_mark, "%s has no key %s; it can have %s", map->what, key,
		   words);
}

static bool was_asked(const struct file_map *map, const char *key)
{
	for (guint i = 0; i < map->asked->len; i++) {
		if (strcmp(map->asked->pdata[i], key) == 0)
			return true;
	}
	return false;
}

static bool stands_misspelt(const struct file_map *map, const char *key)
{
	const char *const one[] = { key, NULL };

	for (const struct file_node *c = map->node != NULL ? map->node->first : NULL; c != NULL;
	     c = c->next) {
		if (!was_asked(map, c->key) && base_suggest(c->key, one) != NULL)
			return true;
	}
	return false;
}

static void complain_of_missing(const struct file_map *map)
{
	for (guint i = 0; i + 1 < map->missing->len; i += 2) {
		const char *key = map->missing->pdata[i], *remedy = map->missing->pdata[i + 1];

		if (!stands_misspelt(map, key))
			file_wrong(map->reader, map->mark, "%s has no %s; %s", map->what, key,
				   remedy);
	}
}

void file_map_close(struct file_map *map)
{
	const guint n = map->asked->len;

	complain_of_missing(map);
	g_ptr_array_add(map->asked, NULL);
	map->asked->len = n;
	for (const struct file_node *c = map->node != NULL ? map->node->first : NULL; c != NULL;
	     c = c->next) {
		if (!was_asked(map, c->key))
			unknown_key(map, c);
	}
	g_ptr_array_unref(map->asked);
	g_ptr_array_unref(map->missing);
	g_free(map->what);
	g_free(map->path);
}

static const struct file_node *find(const struct file_map *map, const char *key)
{
	const struct file_node *c = map->node != NULL ? map->node->first : NULL;

	while (c != NULL && strcmp(c->key, key) != 0)
		c = c->next;
	return c;
}

char *file_path(const struct file_map *map, const char *key)
{
	return map->path[0] == '\0' ? g_strdup(key) : g_strdup_printf("%s.%s", map->path, key);
}

static void ask(struct file_map *map, const char *key)
{
	if (!was_asked(map, key))
		g_ptr_array_add(map->asked, g_strdup(key));
}

const struct file_node *file_get(struct file_map *map, const char *key)
{
	const struct file_node *node = find(map, key);

	ask(map, key);
	if (node == NULL || node->broken)
		return NULL;
	if (map->reader->note != NULL) {
		g_autofree char *path = file_path(map, key);

		map->reader->note(map->reader->context, path, node->mark);
	}
	return node;
}

bool file_has(const struct file_map *map, const char *key)
{
	return find(map, key) != NULL;
}

bool file_has_like(const struct file_map *map, const char *key)
{
	return file_has(map, key) || stands_misspelt(map, key);
}

struct base_mark file_key_mark(const struct file_map *map, const char *key)
{
	const struct file_node *node = find(map, key);

	return node != NULL ? node->key_mark : map->mark;
}

bool file_refuse(struct file_map *map, const char *key, const char *text)
{
	ask(map, key);
	if (!file_has(map, key))
		return false;
	file_wrong(map->reader, file_key_mark(map, key), "%s %s", key, text);
	return true;
}

const char *file_peek(const struct file_node *node, const char *key)
{
	if (node->kind != FILE_MAPPING)
		return NULL;
	for (const struct file_node *c = node->first; c != NULL; c = c->next) {
		if (strcmp(c->key, key) == 0 && c->kind == FILE_SCALAR && c->text[0] != '\0')
			return c->text;
	}
	return NULL;
}

void file_missing(struct file_map *map, const char *key, const char *remedy)
{
	ask(map, key);
	g_ptr_array_add(map->missing, g_strdup(key));
	g_ptr_array_add(map->missing, g_strdup(remedy));
}

double file_number(struct file_map *map, const char *key, const struct file_range *range)
{
	const struct file_node *node = file_get(map, key);

	return node == NULL ? (double)NAN : file_node_number(map->reader, node, key, range);
}

void file_numbers(struct file_map *map, const struct file_number_field *fields, size_t n,
		  void *record)
{
	for (size_t i = 0; i < n; i++) {
		const struct file_number_field *f = &fields[i];
		double *to = (double *)(void *)((char *)record + f->offset);
		const double x = file_number(map, f->key, f->range);

		*to = f->factor != 0.0 ? x * f->factor : x;
		if (f->of != NULL && file_has(map, f->key) && !file_has_like(map, f->of))
			file_wrong(map->reader, find(map, f->key)->key_mark,
				   "%s stands without %s; give both or neither", f->key, f->of);
	}
}

double file_dof_of(struct file_map *map, const char *u_key)
{
	const double dof = file_number(map, "dof", &file_dof);

	if (file_has(map, "dof") && !file_has_like(map, u_key))
		file_wrong(map->reader, find(map, "dof")->key_mark,
			   "dof stands without %s; give both or neither", u_key);
	if (!file_has(map, u_key))
		return (double)NAN;
	return isnan(dof) ? (double)INFINITY : dof;
}

/* A whole number in digits, or as 1e6 where a double holds it exactly. */
static bool whole_parse(const char *text, int64_t low, int64_t high, int64_t *ret)
{
	gint64 value;
	double x;

	if (g_ascii_string_to_signed(text, 10, low, high, &value, NULL)) {
		*ret = value;
		return true;
	}
	if (firn_number_parse(text, strlen(text), &x) != FIRN_OK || floor(x) != x ||
	    fabs(x) > 9007199254740992.0 || x < (double)low || x > (double)high)
		return false;
	*ret = (int64_t)x;
	return true;
}

int64_t file_whole(struct file_map *map, const char *key, int64_t low, int64_t high,
		   int64_t otherwise)
{
	const struct file_node *node = file_get(map, key);
	int64_t value;

	if (node == NULL)
		return otherwise;
	if (node->kind == FILE_SCALAR && !node->quoted &&
	    whole_parse(node->text, low, high, &value))
		return value;
	g_autofree char *shown = node->kind == FILE_SCALAR ? file_quote(node->text)
							   : g_strdup(file_node_kind_name(node));
	file_wrong(map->reader, node->mark,
		   "%s is %s; it is a whole number from %" G_GINT64_FORMAT " to %" G_GINT64_FORMAT,
		   key, shown, low, high);
	return otherwise;
}

const char *file_node_text(const struct file_reader *reader, const struct file_node *node,
			   const char *name)
{
	if (node->broken)
		return NULL;
	if (node->kind != FILE_SCALAR) {
		file_wrong(reader, node->mark, "%s is %s; it is a text", name,
			   file_node_kind_name(node));
		return NULL;
	}
	if (is_null(node) || node->text[strspn(node->text, " \n")] == '\0') {
		file_wrong(reader, node->mark, "%s is empty; write a text", name);
		return NULL;
	}
	if (g_utf8_strlen(node->text, -1) > LONGEST_TEXT) {
		file_wrong(reader, node->mark, "%s is longer than %d characters; shorten it", name,
			   LONGEST_TEXT);
		return NULL;
	}
	return node->text;
}

const char *file_text(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);

	return node == NULL ? NULL : file_node_text(map->reader, node, key);
}

const char *file_name(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);
	const char *text = node == NULL ? NULL : file_node_text(map->reader, node, key);

	if (text == NULL)
		return NULL;
	if (strchr(text, '\n') != NULL || g_utf8_strlen(text, -1) > LONGEST_NAME ||
	    text[0] == ' ' || text[strlen(text) - 1] == ' ') {
		file_wrong(map->reader, node->mark,
			   "%s is no name; a name stands on one line, has no blank at its ends and "
			   "at most %d characters",
			   key, LONGEST_NAME);
		return NULL;
	}
	return text;
}

bool file_boolean(struct file_map *map, const char *key, bool otherwise)
{
	const struct file_node *node = file_get(map, key);

	if (node == NULL)
		return otherwise;
	if (node->kind == FILE_SCALAR && !node->quoted) {
		if (strcmp(node->text, "true") == 0)
			return true;
		if (strcmp(node->text, "false") == 0)
			return false;
	}
	g_autofree char *shown = node->kind == FILE_SCALAR ? file_quote(node->text)
							   : g_strdup(file_node_kind_name(node));
	file_wrong(map->reader, node->mark, "%s is %s; write true or false", key, shown);
	return otherwise;
}

char *file_join_words(const char *const *words)
{
	GString *joined = g_string_new(NULL);

	for (size_t i = 0; words[i] != NULL; i++) {
		if (i > 0)
			g_string_append(joined, words[i + 1] == NULL ? " or " : ", ");
		g_string_append(joined, words[i]);
	}
	return g_string_free(joined, FALSE);
}

int file_node_choice(const struct file_reader *reader, const struct file_node *node,
		     const char *name, const char *const *words)
{
	if (node->broken)
		return -1;
	if (node->kind == FILE_SCALAR) {
		for (int i = 0; words[i] != NULL; i++) {
			if (strcmp(node->text, words[i]) == 0)
				return i;
		}
	}

	g_autofree char *all = file_join_words(words);
	if (node->kind != FILE_SCALAR || is_null(node)) {
		file_wrong(reader, node->mark, "%s is %s; it is one of %s", name,
			   is_null(node) ? "empty" : file_node_kind_name(node), all);
		return -1;
	}
	const char *near = base_suggest(node->text, words);
	g_autofree char *shown = file_quote(node->text);
	if (near != NULL)
		file_wrong(reader, node->mark, "%s is %s; did you mean %s?", name, shown, near);
	else
		file_wrong(reader, node->mark, "%s is %s; it is one of %s", name, shown, all);
	return -1;
}

int file_choice(struct file_map *map, const char *key, const char *const *words)
{
	const struct file_node *node = file_get(map, key);

	return node == NULL ? -1 : file_node_choice(map->reader, node, key, words);
}

const struct file_node *file_list(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);

	if (node == NULL || node->kind == FILE_LIST)
		return node;
	file_wrong(map->reader, node->mark, "%s is %s; it is a list, as in [one, two]", key,
		   is_null(node) ? "empty" : file_node_kind_name(node));
	return NULL;
}

const struct file_node *file_named_things(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);

	if (node == NULL || node->kind == FILE_MAPPING)
		return node;
	file_wrong(map->reader, node->mark,
		   "%s is %s; it is made of names, each with keys of its own below it", key,
		   is_null(node) ? "empty" : file_node_kind_name(node));
	return NULL;
}
