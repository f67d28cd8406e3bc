/* What libyaml refuses, in words for someone who writes a job. */
#ifndef FILE_YAML_SYNTAX_H
#define FILE_YAML_SYNTAX_H

#include "app/base/messages.h"

#include <stddef.h>
#include <yaml.h>

/* Adds one message for the error in which the parser of these bytes stopped. */
void file_yaml_syntax_error(const yaml_parser_t *parser, const char *file, const char *bytes,
			    size_t length, base_messages *messages);

#endif
