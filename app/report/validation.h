/* The record of a validation, for people and for programs. */
#ifndef REPORT_VALIDATION_H
#define REPORT_VALIDATION_H

#include "app/lab/validation.h"

#include <glib.h>

#define REPORT_VALIDATION_SCHEMA 1 /* grows when a reader of the last one would go wrong */

/* At the end of `to`. "kind": "validation record"; data/schema/validation-record.json. */
void report_validation_text(const struct lab_validation *validation, GString *to);
void report_validation_json(const struct lab_validation *validation, GString *to);

#endif
