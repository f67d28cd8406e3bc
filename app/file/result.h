/* Reads back what `firn reduce --result` has written. */
#ifndef FILE_RESULT_H
#define FILE_RESULT_H

#include "app/lab/conversion.h"

#define FILE_RESULT_LIMIT  ((size_t)64000000) /* bytes */
#define FILE_RESULT_SCHEMA 1

/*
 * file_read_result - the part of a fixed-point calibration result that a measurement needs.
 *
 * Strict about what it reads: JSON by RFC 8259, no name twice in an object, the kind and the schema
 * number, types, sizes of matrices. Other members are left alone, as later programs may add some.
 * Returned: the record, or NULL; everything wrong with it is in the messages, with line and column.
 */
lab_conversion *file_read_result(const char *path, base_messages *messages);

#endif
