/*
 * Guided procedures: the program's own (data/procedures, `kind: procedure`), and a laboratory's
 * changes to one (`kind: procedure change`), which may change steps and add steps and cautions, but
 * take no caution away. A laboratory writes no whole procedure, so that none is without them.
 */
#ifndef FILE_PROCEDURE_H
#define FILE_PROCEDURE_H

#include "app/lab/procedure.h"

/* Names of all, those that are parts of others included, in the order of the alphabet; NULL at the
   end. */
const char *const *file_procedure_names(void);

/*
 * file_read_procedure - one procedure, with the laboratory's changes.
 *
 * name: one of the above. change: path of a file of kind `procedure change`; NULL: none. NULL is
 * returned when anything is wrong, and the messages say what.
 */
lab_procedure *file_read_procedure(const char *name, const char *change, base_messages *messages);

/* The same with the bytes of a change (NULL: none); file is its name, for messages. */
lab_procedure *file_parse_procedure(const char *name, const char *file, GBytes *change,
				    base_messages *messages);

/* One as report_procedure_json() wrote it, cautions and changes included. */
lab_procedure *file_parse_kept_procedure(const char *label, GBytes *bytes, base_messages *messages);

#endif
