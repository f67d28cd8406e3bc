#include "app/file/yaml.h"

#include "app/file/text.h"
#include "app/file/yaml_syntax.h"

#include <string.h>

struct file_yaml {
	GStringChunk *text;
	GPtrArray *nodes;
	struct file_node *root;
};

struct parse {
	yaml_parser_t parser;
	const char *file, *bytes;
	size_t length;
	base_messages *messages;
	struct file_yaml *yaml;
};

static struct base_mark mark_of(yaml_mark_t mark)
{
	return (struct base_mark){ (int)mark.line + 1, (int)mark.column + 1 };
}

static void say(struct parse *p, yaml_mark_t mark, const char *format, ...) G_GNUC_PRINTF(3, 4);

static void say(struct parse *p, yaml_mark_t mark, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	base_messages_add_valist(p->messages, BASE_ERROR, p->file, mark_of(mark), format,
				 arguments);
	va_end(arguments);
}

static bool next_event(struct parse *p, yaml_event_t *event)
{
	if (yaml_parser_parse(&p->parser, event))
		return true;
	file_yaml_syntax_error(&p->parser, p->file, p->bytes, p->length, p->messages);
	return false;
}

static struct file_node *new_node(struct parse *p, const yaml_event_t *event)
{
	struct file_node *node = g_new0(struct file_node, 1);

	g_ptr_array_add(p->yaml->nodes, node);
	node->mark = mark_of(event->start_mark);
	node->text_mark = node->mark;
	node->text = "";
	node->start = event->start_mark.index;
	node->end = event->end_mark.index;
	return node;
}

/* The text of a block (| or >) starts on the first line below that is not empty. */
static struct base_mark block_text_mark(const struct parse *p, yaml_mark_t mark)
{
	const char *at = file_text_line(p->bytes, p->length, mark.line + 1),
		   *end = p->bytes + p->length;
	struct base_mark found = { (int)mark.line + 2, 1 };

	for (; at < end && (*at == ' ' || *at == '\n'); at++) {
		found.column++;
		if (*at == '\n')
			found = (struct base_mark){ found.line + 1, 1 };
	}
	return found;
}

static struct file_node *scalar(struct parse *p, const yaml_event_t *event)
{
	struct file_node *node = new_node(p, event);
	const char *text = (const char *)event->data.scalar.value;
	const yaml_scalar_style_t style = event->data.scalar.style;

	node->kind = FILE_SCALAR;
	if (strlen(text) != event->data.scalar.length) {
		say(p, event->start_mark, "a zero byte in a text; remove the \\0");
		node->broken = true;
	}
	node->text = g_string_chunk_insert(p->yaml->text, text);
	node->quoted = style != YAML_PLAIN_SCALAR_STYLE;
	if (style == YAML_SINGLE_QUOTED_SCALAR_STYLE || style == YAML_DOUBLE_QUOTED_SCALAR_STYLE)
		node->text_mark.column++;
	else if (node->quoted)
		node->text_mark = block_text_mark(p, event->start_mark);
	return node;
}

static void refuse_tag(struct parse *p, const yaml_event_t *event, const yaml_char_t *tag,
		       struct file_node *node)
{
	if (tag == NULL)
		return;
	say(p, event->start_mark, "tags (!...) are not used here; write the value alone");
	node->broken = true;
}

static bool is_rest_of_number(const char *text)
{
	return text[0] != '\0' && strspn(text, "0123456789.") == strlen(text);
}

/* In { } and [ ] a comma always ends a value, so 0,265 arrives as 0 and 265. Put together again, it
   gets the message about decimal commas and nothing else. */
static bool is_cut_decimal(const struct file_node *left, size_t start, const char *text)
{
	return left != NULL && left->kind == FILE_SCALAR && !left->quoted &&
	       left->text[0] != '\0' && g_ascii_isdigit(left->text[strlen(left->text) - 1]) &&
	       start == left->end + 1 && g_ascii_isdigit(text[0]);
}

static void join_decimal(struct parse *p, struct file_node *left, const char *decimals, size_t end)
{
	g_autofree char *whole = g_strdup_printf("%s,%s", left->text, decimals);

	left->text = g_string_chunk_insert(p->yaml->text, whole);
	left->end = end;
}

static struct file_node *value(struct parse *p, const yaml_event_t *event, int depth);

static void append(struct file_node *parent, struct file_node **last, struct file_node *child)
{
	if (*last == NULL)
		parent->first = child;
	else
		(*last)->next = child;
	*last = child;
	parent->n++;
}

/* Numbers in a list as one writes them with decimal commas: [0,21, 0,23] has commas with and
   without a space after them. With one kind only it is a list of whole numbers. */
static void join_list_decimals(struct parse *p, struct file_node *list)
{
	bool tight = false, loose = false;

	for (struct file_node *c = list->first; c != NULL && c->next != NULL; c = c->next) {
		if (is_cut_decimal(c, c->next->start, c->next->text))
			tight = true;
		else
			loose = true;
	}
	if (!list->flow || !tight || !loose)
		return;
	for (struct file_node *c = list->first; c != NULL; c = c->next) {
		struct file_node *right = c->next;

		if (right == NULL || !is_cut_decimal(c, right->start, right->text))
			continue;
		join_decimal(p, c, right->text, right->end);
		c->next = right->next;
		list->n--;
	}
}

static struct file_node *list(struct parse *p, const yaml_event_t *start, int depth)
{
	struct file_node *node = new_node(p, start), *last = NULL;

	node->kind = FILE_LIST;
	node->flow = start->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE;
	for (;;) {
		yaml_event_t event;

		if (!next_event(p, &event))
			return NULL;
		const bool done = event.type == YAML_SEQUENCE_END_EVENT;
		struct file_node *child = done ? NULL : value(p, &event, depth);
		yaml_event_delete(&event);
		if (done) {
			join_list_decimals(p, node);
			return node;
		}
		if (child == NULL)
			return NULL;
		append(node, &last, child);
	}
}

/* A pair enters the mapping, unless its key stands there already or is half a number. */
static void add_pair(struct parse *p, struct file_node *mapping, struct file_node **last,
		     const struct file_node *key, struct file_node *child, GHashTable *keys)
{
	if (key->kind != FILE_SCALAR) {
		base_messages_add(p->messages, BASE_ERROR, p->file, key->mark,
				  "a key is a word, not %s; write key: value",
				  file_node_kind_name(key));
		return;
	}
	if (mapping->flow && is_rest_of_number(key->text) && child->kind == FILE_SCALAR &&
	    child->text[0] == '\0' && !child->quoted &&
	    is_cut_decimal(*last, key->start, key->text)) {
		join_decimal(p, *last, key->text, key->end);
		return;
	}

	const struct file_node *before = g_hash_table_lookup(keys, key->text);
	if (before != NULL) {
		mapping->repeated_keys = true;
		g_autofree char *name = file_quote(key->text);

		base_messages_add(p->messages, BASE_ERROR, p->file, key->mark,
				  "the key %s stands twice, first on line %d; keep one of them",
				  name, before->key_mark.line);
		return;
	}
	child->key = key->text;
	child->key_mark = key->mark;
	g_hash_table_insert(keys, (gpointer)key->text, child);
	append(mapping, last, child);
}

static struct file_node *mapping_of(struct parse *p, const yaml_event_t *start, int depth)
{
	g_autoptr(GHashTable) keys = g_hash_table_new(g_str_hash, g_str_equal);
	struct file_node *node = new_node(p, start), *last = NULL;

	node->kind = FILE_MAPPING;
	node->flow = start->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE;
	for (;;) {
		yaml_event_t event;

		if (!next_event(p, &event))
			return NULL;
		const bool done = event.type == YAML_MAPPING_END_EVENT;
		const struct file_node *key = done ? NULL : value(p, &event, depth);
		yaml_event_delete(&event);
		if (done)
			return node;
		if (key == NULL || !next_event(p, &event))
			return NULL;
		struct file_node *child = value(p, &event, depth);
		yaml_event_delete(&event);
		if (child == NULL)
			return NULL;
		add_pair(p, node, &last, key, child, keys);
	}
}

/* The node that an event begins, to its end; NULL when the file cannot be read further. */
static struct file_node *value(struct parse *p, const yaml_event_t *event, int depth)
{
	struct file_node *node;

	if (depth >= FILE_YAML_DEPTH) {
		say(p, event->start_mark,
		    "lists and mappings within one another deeper than 32; no file needs that");
		return NULL;
	}
	switch (event->type) {
	case YAML_SCALAR_EVENT:
		node = scalar(p, event);
		refuse_tag(p, event, event->data.scalar.tag, node);
		return node;
	case YAML_SEQUENCE_START_EVENT:
		node = list(p, event, depth + 1);
		if (node != NULL)
			refuse_tag(p, event, event->data.sequence_start.tag, node);
		return node;
	case YAML_MAPPING_START_EVENT:
		node = mapping_of(p, event, depth + 1);
		if (node != NULL)
			refuse_tag(p, event, event->data.mapping_start.tag, node);
		return node;
	default:
		/* an alias: within a document nothing else can come */
		say(p, event->start_mark,
		    "aliases (*name) are not used here; write the value once more");
		node = new_node(p, event);
		node->broken = true;
		return node;
	}
}

/* Reads events until one of the kind; the others carry nothing (start of stream, of document). */
static bool document(struct parse *p)
{
	yaml_event_t event;
	bool go_on = true;

	while (go_on) {
		if (!next_event(p, &event))
			return false;
		switch (event.type) {
		case YAML_STREAM_START_EVENT:
		case YAML_DOCUMENT_END_EVENT:
			break;
		case YAML_STREAM_END_EVENT:
			go_on = false;
			break;
		case YAML_DOCUMENT_START_EVENT:
			if (p->yaml->root == NULL)
				break;
			say(p, event.start_mark,
			    "a second document starts here; a file holds one: remove the ---");
			p->yaml->root = NULL;
			go_on = false;
			break;
		default:
			p->yaml->root = value(p, &event, 0);
			go_on = p->yaml->root != NULL;
		}
		yaml_event_delete(&event);
	}
	return p->yaml->root != NULL;
}

file_yaml *file_yaml_parse(const char *file, GBytes *bytes, base_messages *messages)
{
	g_autoptr(file_yaml) yaml = g_new0(file_yaml, 1);
	struct parse p = { .file = file, .messages = messages, .yaml = yaml };
	const size_t before = base_messages_count(messages, BASE_ERROR);

	yaml->text = g_string_chunk_new(4096);
	yaml->nodes = g_ptr_array_new_with_free_func(g_free);
	p.bytes = g_bytes_get_data(bytes, &p.length);
	if (p.bytes == NULL)
		p.bytes = "";
	if (!file_text_check(file, p.bytes, p.length, messages))
		return NULL;
	/* libyaml, told the encoding, would count the mark as a column */
	const size_t bom = file_text_bom(p.bytes, p.length);
	p.bytes += bom;
	p.length -= bom;
	if (!yaml_parser_initialize(&p.parser)) {
		base_messages_add(messages, BASE_FAILURE, file, (struct base_mark){ 0, 0 },
				  "no memory to read the file");
		return NULL;
	}
	yaml_parser_set_encoding(&p.parser, YAML_UTF8_ENCODING);
	yaml_parser_set_input_string(&p.parser, (const unsigned char *)p.bytes, p.length);
	const bool ok = document(&p);
	yaml_parser_delete(&p.parser);
	if (!ok && base_messages_count(messages, BASE_ERROR) == before)
		base_messages_add(messages, BASE_ERROR, file, (struct base_mark){ 1, 1 },
				  "the file is empty; it begins with its kind, such as "
				  "kind: fixed-point calibration");
	return ok ? g_steal_pointer(&yaml) : NULL;
}

const struct file_node *file_yaml_root(const file_yaml *yaml)
{
	return yaml->root;
}

void file_yaml_free(file_yaml *yaml)
{
	if (yaml == NULL)
		return;
	g_string_chunk_free(yaml->text);
	g_ptr_array_unref(yaml->nodes);
	g_free(yaml);
}

const char *file_node_kind_name(const struct file_node *node)
{
	switch (node->kind) {
	case FILE_LIST:
		return "a list";
	case FILE_MAPPING:
		return "a group of keys";
	case FILE_SCALAR:
		break;
	}
	return "a single value";
}
