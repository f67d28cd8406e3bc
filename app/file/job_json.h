/*
 * A job file as JSON, for the book, and as a file again. Nothing is lost on the way: what a person
 * wrote as 1.10 is read as 1.10 again, be it a number or the name of a type.
 */
#ifndef FILE_JOB_JSON_H
#define FILE_JOB_JSON_H

#include "app/base/messages.h"

#include <glib.h>
#include <jansson.h>

/* The tree of a YAML file; NULL with messages when it is none. A scalar is a number where its text
   is just how RFC 8785 writes that number, true or false where it says so, and else a text. */
json_t *file_job_to_json(const char *path, GBytes *bytes, base_messages *messages);

/* The YAML text of such a tree: members in the order of their names, one line for each of the top
   and for each element of a list there. The same tree gives the same bytes. */
GBytes *file_job_from_json(const json_t *json);

#endif
