/* What the readers of procedures share. */
#ifndef FILE_PROCEDURE_PARTS_H
#define FILE_PROCEDURE_PARTS_H

#include "app/file/read.h"
#include "app/lab/procedure.h"

struct file_procedure {
	struct file_reader reader;
	lab_procedure *procedure;
	bool kept; /* as the program wrote it: its cautions are those of its day */
};

/* The members of a step; those that stand there take the place of what the step had. A caution that
   it had and that is left out is an error. */
void file_procedure_step(struct file_procedure *f, struct file_map *map, struct lab_step *step);

/* `cautions`: the laboratory's own. */
void file_procedure_cautions(struct file_procedure *f, struct file_map *top);

/* The sections of a `procedure change`. */
void file_procedure_change(struct file_procedure *f, struct file_map *top);

/* An id: small letters and digits with - between them. */
bool file_procedure_id(const struct file_procedure *f, const struct file_node *node,
		       const char *what);

#endif
