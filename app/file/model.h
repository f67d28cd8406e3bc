/* A measurement model from disk: what `firn evaluate` reads. */
#ifndef FILE_MODEL_H
#define FILE_MODEL_H

#include "app/base/messages.h"
#include "app/lab/model.h"

#define FILE_MODEL_MOST 1000 /* inputs, and outputs; the limit is ours */

/*
 * file_read_model - the record that a file of kind `measurement model` states.
 *
 * All that is wrong is added to the messages. Returned: NULL when that includes an error; otherwise
 * a record in which every distribution has its parameters in their ranges, every name is declared
 * once and is none of a function, and correlations and paired groups name inputs that allow them.
 * Formulas are not parsed here: text_mark tells where the first character of each stands.
 *
 * An input with a value and no u is taken as exact (u = 0), with a reservation that says so.
 */
lab_model *file_read_model(const char *path, base_messages *messages);

/* The same from bytes in memory; the path is for messages and for the record. */
lab_model *file_parse_model(const char *path, GBytes *bytes, base_messages *messages);

#endif
