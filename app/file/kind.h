/* What a YAML file says it is. */
#ifndef FILE_KIND_H
#define FILE_KIND_H

#include "app/file/read.h"

enum file_kind {
	FILE_NO_KIND = -1, /* it cannot be told; the messages say why */
	FILE_FIXED_POINT_CALIBRATION,
	FILE_MEASUREMENT_MODEL,
	FILE_CELL,
	FILE_PROCEDURE,
	FILE_PROCEDURE_CHANGE,
	FILE_PLAN,
	FILE_CELL_COMPARISON,
};

/* The kind of the file at a path, and nothing more of it. */
enum file_kind file_kind(const char *path, base_messages *messages);

/*
 * Asks for the key kind of an opened file and holds it to what is expected. False when the file
 * says it is another kind, or nothing about it shows that it is this one: it is then useless to
 * read on. `sign` is a key that only this kind has.
 */
bool file_kind_is(struct file_map *top, enum file_kind wanted, const char *sign);

/* The bytes of a YAML file; NULL with a message. */
GBytes *file_yaml_bytes(const char *path, base_messages *messages);

#endif
