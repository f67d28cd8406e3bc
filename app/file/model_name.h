/* Names of quantities in a measurement model. */
#ifndef FILE_MODEL_NAME_H
#define FILE_MODEL_NAME_H

#include "app/file/read.h"

/* Complains of a name that no formula could use: letters, digits and _, a letter or _ first, at
   most 64 of them, and not the name of a function. */
void file_model_check_name(const struct file_reader *reader, const struct file_node *node);

#endif
