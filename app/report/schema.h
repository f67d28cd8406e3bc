/* The published JSON Schemas (draft 2020-12) of what the program reads and writes: data/schema. */
#ifndef REPORT_SCHEMA_H
#define REPORT_SCHEMA_H

#include <stddef.h>

struct report_schema {
	const char *kind;  /* "fixed-point calibration" */
	const char *title; /* a few words on it */
	const char *text;  /* the schema, ended by a line feed */
};

extern const struct report_schema report_schemas[];
extern const size_t report_n_schemas;

#endif
