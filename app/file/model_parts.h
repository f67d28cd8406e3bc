/* The sections of a file with a measurement model: shared by the files that read them. */
#ifndef FILE_MODEL_PARTS_H
#define FILE_MODEL_PARTS_H

#include "app/file/read.h"
#include "app/lab/model.h"

struct file_model {
	struct file_reader reader;
	struct lab_model *model;
	GHashTable *inputs;     /* name -> index + 1 */
	bool inputs_incomplete; /* some could not be read: no name is unknown then */
};

/* Complains of more inputs or outputs than FILE_MODEL_MOST; false then, and none should be read. */
bool file_model_is_small(const struct file_model *m, const struct file_node *things,
			 const char *what);

void file_model_inputs(struct file_model *m, struct file_map *top);

/* correlations and paired: what joins inputs */
void file_model_joins(struct file_model *m, struct file_map *top);

#endif
