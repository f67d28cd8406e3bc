/*
 * A guided procedure for people and for programs. Whoever reads it meets each caution before the
 * step that needs it.
 */
#ifndef REPORT_PROCEDURE_H
#define REPORT_PROCEDURE_H

#include "app/lab/procedure.h"

/* The whole: a caution in full before the first step that needs it, and by name before others. */
void report_procedure_text(const lab_procedure *procedure, GString *to);

/* One step, with all its cautions in full, then what is done. at: its place, counted from 0. */
void report_step_text(const lab_procedure *procedure, guint at, GString *to);

/* Of kind `procedure` (data/schema): what file_parse_kept_procedure() reads back. */
void report_procedure_json(const lab_procedure *procedure, GString *to);

/* All of the program's cautions. */
void report_cautions_text(GString *to);

/* "15 to 60 min", "at least 2 h"; NULL where nothing is said. Release with g_free. */
char *report_step_time(const struct lab_step_time *time);

#endif
