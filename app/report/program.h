/* Which program this is: for results, certificates and whoever computes them again. */
#ifndef REPORT_PROGRAM_H
#define REPORT_PROGRAM_H

#include <stddef.h>

extern const char report_program_name[];
extern const char report_program_version[];

/* Source revision, compiler and machine: "6289b8a, gcc 12.2.0, x86_64". */
const char *report_program_build(void);

/* SHA-256 over the tables of constants that the program was built with. */
const char *report_program_constants(void);

/* The libraries at work, as they say themselves when the program runs. */
struct report_library {
	const char *name, *version;
};
size_t report_program_libraries(const struct report_library **ret_libraries);

#endif
