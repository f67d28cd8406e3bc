/*
 * Typed access to the nodes of a YAML file, with messages. Every read complains about what is wrong
 * and then returns "nothing given", so a caller reads on and one mistake makes one message.
 */
#ifndef FILE_READ_H
#define FILE_READ_H

#include "app/file/yaml.h"

#include <glib.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct file_reader {
	const char *file; /* its name, for messages */
	base_messages *messages;
	/* Told where each value stands; NULL: nobody wants to know. */
	void (*note)(void *context, const char *path, struct base_mark mark);
	void *context;
};

void file_wrong(const struct file_reader *reader, struct base_mark mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* A mapping whose keys are being asked for. What was never asked for is unknown. */
struct file_map {
	const struct file_reader *reader;
	const struct file_node *node; /* NULL: nothing there, every key is absent */
	char *what;                   /* "cell W1", for messages */
	char *path;                   /* "cell.W1": prefix of the paths noted; "" at the top */
	struct base_mark mark;        /* where to say that a key is missing */
	GPtrArray *asked;             /* char *: keys, in order */
	GPtrArray *missing;           /* char *: a key and its remedy, in turn */
};

/*
 * Opens a node as a mapping, and at the end reports the keys that nobody asked for, with the
 * nearest of those that somebody did. A node that is no mapping is complained of and leaves an
 * empty map.
 */
void file_map_open(struct file_map *map, const struct file_reader *reader,
		   const struct file_node *node, const char *what, const char *path);
void file_map_close(struct file_map *map);

/* "did you mean depth_m?", with the unit where the name differs in that alone; g_free it. */
char *file_meant(const char *name, const char *known);

/* The value of a key, noted under the map's path; NULL when it is absent or already complained of.
 */
const struct file_node *file_get(struct file_map *map, const char *key);

/* Whether the key stands there, be its value good or not. */
bool file_has(const struct file_map *map, const char *key);

/* The same, and also when it stands there misspelt, which is complained of when the map is closed.
 */
bool file_has_like(const struct file_map *map, const char *key);

/* Where the key itself stands; the map's mark when it is absent. */
struct base_mark file_key_mark(const struct file_map *map, const char *key);

/* Complains of a key that stands where it has no meaning: the key, a blank and the text. Returns
   whether it did. */
bool file_refuse(struct file_map *map, const char *key, const char *text);

/* The text of a key of a mapping before it is opened, without any message; NULL when there is none.
 */
const char *file_peek(const struct file_node *node, const char *key);

/* Complains, when the map is closed, that a key is missing: "cell W1 has no point; say ...". No
   more is said when it stands there misspelt. */
void file_missing(struct file_map *map, const char *key, const char *remedy);

/* The path of a key of this map. Release with g_free. */
char *file_path(const struct file_map *map, const char *key);

/* What a number may be. The sentence says what is right when it isn't. */
struct file_range {
	double low, high;
	bool above_low, below_high; /* the ends themselves are not allowed */
	const char *right;
};
extern const struct file_range file_any, file_uncertainty, file_dof, file_positive,
    file_correlation;

/* Reads one number node under a name; NaN when it is none, with a message. */
double file_node_number(const struct file_reader *reader, const struct file_node *node,
			const char *name, const struct file_range *range);

/* The number of a key; NaN when absent or wrong. */
double file_number(struct file_map *map, const char *key, const struct file_range *range);

/* A row of a record's numbers: read, multiplied by the factor and put at the offset. A row with
   `of` makes sense only beside that key, such as u_depth_m beside depth_m. */
struct file_number_field {
	const char *key;
	size_t offset;
	const struct file_range *range;
	double factor; /* 0 stands for 1 */
	const char *of;
};
void file_numbers(struct file_map *map, const struct file_number_field *fields, size_t n,
		  void *record);

/* Degrees of freedom `dof` beside an uncertainty key: infinite where u is given without, NaN where
   u is not given. */
double file_dof_of(struct file_map *map, const char *u_key);

/* A whole number; `otherwise` when absent or wrong. */
int64_t file_whole(struct file_map *map, const char *key, int64_t low, int64_t high,
		   int64_t otherwise);

/* A text of at least one and at most 4000 characters; NULL when absent or wrong. */
const char *file_text(struct file_map *map, const char *key);
const char *file_node_text(const struct file_reader *reader, const struct file_node *node,
			   const char *name);

/* A text that names something: at most 64 characters on one line. */
const char *file_name(struct file_map *map, const char *key);

/* true or false; `otherwise` when absent or wrong. */
bool file_boolean(struct file_map *map, const char *key, bool otherwise);

/* Index in a NULL-terminated list of words; -1 when absent or wrong. */
int file_choice(struct file_map *map, const char *key, const char *const *words);
int file_node_choice(const struct file_reader *reader, const struct file_node *node,
		     const char *name, const char *const *words);

/* The value of a key as a list; NULL when absent or wrong. */
const struct file_node *file_list(struct file_map *map, const char *key);

/* The value of a key as a mapping of names to things; NULL when absent or wrong. */
const struct file_node *file_named_things(struct file_map *map, const char *key);

/* "a, b or c" of a NULL-terminated list. Release with g_free. */
char *file_join_words(const char *const *words);

#endif
