/* The sections of a cell's file: one reader each, in the order of reading. */
#ifndef FILE_CELL_PARTS_H
#define FILE_CELL_PARTS_H

#include "app/file/read.h"
#include "app/lab/cell_study.h"

struct file_cell {
	struct file_reader reader;
	struct lab_cell_study *study;
};

void file_cell_thermometer(struct file_cell *f, struct file_map *top);
void file_cell_body(struct file_cell *f, struct file_map *top);
void file_cell_contact(struct file_cell *f, struct file_map *top);
void file_cell_surroundings(struct file_cell *f, struct file_map *top);
void file_cell_mantle(struct file_cell *f, struct file_map *top);
void file_cell_wanted(struct file_cell *f, struct file_map *top);
void file_cell_preparation(struct file_cell *f, struct file_map *top);
void file_cell_settling(struct file_cell *f, struct file_map *top);
void file_cell_check(struct file_cell *f, struct file_map *top);
void file_cell_plateau(struct file_cell *f, struct file_map *top);
void file_cell_profile(struct file_cell *f, struct file_map *top);

/*
 * A stated quantity: a number, or {value: 7.5, u: 0.05}; nothing stated when absent or wrong. The
 * range is that of the value in the file's unit; factor 0 stands for 1.
 */
struct file_quantity_field {
	const char *key;
	size_t offset; /* of a struct lab_quantity in the record */
	const struct file_range *range;
	double factor;
};
void file_quantities(struct file_map *map, const struct file_quantity_field *fields, size_t n,
		     void *record);

/* The same of one node that stands in a list, by the field's key, range and factor. */
struct lab_quantity file_node_quantity(const struct file_reader *reader,
				       const struct file_node *node,
				       const struct file_quantity_field *field);

/* Opens a section and calls `read` for it; remembers where it stands. False when absent. */
bool file_cell_section(struct file_cell *f, struct file_map *top, const char *key, const char *what,
		       void (*read)(struct file_cell *, struct file_map *));

/* Each entry of a list of mappings; more than `most` are complained of and not read. */
void file_cell_each(struct file_cell *f, struct file_map *map, const char *key, const char *what,
		    size_t most, void (*read)(struct file_cell *, struct file_map *));

/* RFC 3339 with an offset; BASE_NO_TIME when absent or wrong. */
int64_t file_cell_time(struct file_map *map, const char *key);

/* Rows of a record, [[minutes, value], ...]: minutes from 0 on, rising. */
void file_cell_rows(struct file_map *map, const char *key, const struct file_quantity_field *value,
		    GArray *ret);

/* A word of a list; NULL when absent or wrong. */
const char *file_cell_word(struct file_map *map, const char *key, const char *const *words);

/* An inner width must stay below an outer one. */
void file_cell_check_widths(struct file_map *map, const char *inner_key,
			    const struct lab_quantity *inner, const struct lab_quantity *outer,
			    const char *outer_key);

extern const struct file_range file_cell_mm, file_cell_t_C, file_cell_ice_mm;

#endif
