/*
 * Readings as other programs and notebooks left them, by a map that says once what their columns,
 * units, decimal marks and dates mean. The map is a YAML file (docs/book.md shows one).
 */
#ifndef FILE_OLD_READINGS_H
#define FILE_OLD_READINGS_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"

#include <glib.h>

struct file_old_readings {
	GArray *readings; /* struct lab_reading; visit is 0 */
	GStringChunk *text;
};
void file_old_readings_clear(struct file_old_readings *readings);

/*
 * file_read_old_readings - every row of the file by the map.
 *
 * A unit shifts the decimal point of what is written before it is read, so that 0.001 A is the same
 * double as 1 mA. All that is wrong with map or file is in the messages with its place; then false,
 * and nothing is returned.
 */
bool file_read_old_readings(const char *path, const char *map_path, struct file_old_readings *ret,
			    base_messages *messages);

/* The same from bytes in memory; the paths are for messages. */
bool file_parse_old_readings(const char *path, GBytes *bytes, const char *map_path,
			     GBytes *map_bytes, struct file_old_readings *ret,
			     base_messages *messages);

#endif
