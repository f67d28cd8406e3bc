/*
 * A YAML file as a tree whose every node knows where it stands. A thin binding over libyaml for
 * what our files use of YAML: one document of mappings, lists and scalars. Aliases, tags and
 * duplicate keys are refused, because a person who reads the file must see what the program sees.
 */
#ifndef FILE_YAML_H
#define FILE_YAML_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>

#define FILE_YAML_LIMIT ((size_t)8000000) /* bytes of a file */
#define FILE_YAML_DEPTH 32                /* mappings and lists within one another */

enum file_node_kind { FILE_SCALAR, FILE_LIST, FILE_MAPPING };

struct file_node {
	enum file_node_kind kind;
	struct base_mark mark;      /* of the first character */
	struct base_mark text_mark; /* of a scalar's first character within its quotes */
	bool broken;                /* already complained of: whoever reads it says no more */

	const char *text; /* of a scalar; "" where nothing was written */
	bool quoted; /* a scalar in quotes or a block: a text even where it looks like a number */

	const char *key; /* of a value in a mapping */
	struct base_mark key_mark;
	struct file_node *first, *next; /* children in the order of the file */
	size_t n;                       /* number of children */

	size_t start, end;  /* in the file, in characters */
	bool flow;          /* written in [] or {} */
	bool repeated_keys; /* a mapping from which a pair was left out, with a message */
};

typedef struct file_yaml file_yaml;

/*
 * file_yaml_parse - the tree of a file's bytes.
 *
 * Given: the name of the file for messages. Returned: the tree, or NULL when the bytes are no YAML;
 * what is wrong with it has been added to the messages either way. A UTF-8 byte order mark is
 * accepted, as YAML 1.1, 5.2 has it; other encodings are not.
 */
file_yaml *file_yaml_parse(const char *file, GBytes *bytes, base_messages *messages);
const struct file_node *file_yaml_root(const file_yaml *yaml);
void file_yaml_free(file_yaml *yaml);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(file_yaml, file_yaml_free)

/* "a number or text", "a list", "a mapping": what a node is, for messages. */
const char *file_node_kind_name(const struct file_node *node);

#endif
