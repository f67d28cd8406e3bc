/* The record of a validation: published checks, carried out on the machine that the program runs
   on. */
#ifndef LAB_VALIDATION_H
#define LAB_VALIDATION_H

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

struct lab_check {
	char *name, *source;
	double expected, tolerance, found;
	bool passed; /* |found - expected| is at most the tolerance */
};

struct lab_validation {
	GArray *checks;  /* struct lab_check */
	char *processor; /* level of instructions that the engine chose: "x86-64-v4", "plain" */
	int64_t time_us; /* UTC, microseconds since 1970 */
	bool passed;     /* there are checks, and every one has passed */
	GStringChunk *text;
};
struct lab_validation *lab_validation_new(void);
void lab_validation_free(struct lab_validation *validation);
typedef struct lab_validation lab_validation;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_validation, lab_validation_free)

/* Adds a check and judges it; a number that is none fails. Texts are copied. */
void lab_validation_add(struct lab_validation *validation, const char *name, const char *source,
			double expected, double tolerance, double found);

#endif
