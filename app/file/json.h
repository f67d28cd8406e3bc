/* Where the values of a JSON text stand: jansson, which reads it, does not tell. */
#ifndef FILE_JSON_H
#define FILE_JSON_H

#include "app/base/messages.h"

#include <stddef.h>

/*
 * file_json_mark - line and column of the value at a path such as "subranges/2/w_al".
 *
 * Given: the bytes of a text that has been parsed without a fault; a path of names and, in arrays,
 * positions from 0. Returned: where the value starts; where the path leads no further, its nearest
 * parent. Names that the text writes with escapes are not found.
 */
struct base_mark file_json_mark(const char *text, size_t length, const char *path);

#endif
