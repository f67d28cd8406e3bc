/*
 * JSON, written as it comes: RFC 8259, two spaces a level, the same bytes for the same calls.
 * Nesting and names that don't fit are defects of the caller and end the program.
 */
#ifndef REPORT_JSON_WRITER_H
#define REPORT_JSON_WRITER_H

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

#define REPORT_JSON_DEPTH 32 /* levels; ours, far above what a result needs */

struct report_json {
	GString *to;
	int depth;
	struct report_json_level {
		bool object, filled;
	} levels[REPORT_JSON_DEPTH];
	bool written; /* the one value of a text stands */
};

/* Begins a text at the end of `to`; it holds one value, and finish ends it with a line feed. */
void report_json_start(struct report_json *json, GString *to);
void report_json_finish(struct report_json *json);

/* `name` is the member's in an object and NULL elsewhere. Each open is closed by one close. */
void report_json_object(struct report_json *json, const char *name);
void report_json_array(struct report_json *json, const char *name);
void report_json_close(struct report_json *json);

void report_json_text(struct report_json *json, const char *name, const char *text); /* or null */
void report_json_number(struct report_json *json, const char *name,
			double x); /* not finite: null */
void report_json_integer(struct report_json *json, const char *name, int64_t x);
void report_json_boolean(struct report_json *json, const char *name, bool x);

/* An array on one line. */
void report_json_numbers(struct report_json *json, const char *name, size_t n, const double *x);
void report_json_texts(struct report_json *json, const char *name, const GPtrArray *texts);

#endif
