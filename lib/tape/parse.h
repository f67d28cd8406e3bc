/* Formulas as text: reading them onto a tape, or only for the names in them. */
#ifndef LIB_TAPE_PARSE_H
#define LIB_TAPE_PARSE_H

#include "lib/tape/tape.h"

enum { PARSE_MOST_NAMES = 128 };

struct parsed_name {
	const char *text; /* in the formula, not terminated */
	size_t length;
	int column; /* of its first use, from 1 */
	struct firn_node node;
};

struct parsed {
	const char *name; /* before the =, not terminated; NULL when there is none */
	size_t name_length;
	const char *formula; /* what follows */
	struct firn_node result;
	size_t n_names;
	struct parsed_name names[PARSE_MOST_NAMES]; /* distinct, in order of first use */
	const char *error;                          /* NULL: none. A static text */
	int column;                                 /* of the error, from 1 */
};

/*
 * parse_formula - a right-hand side, or name = right-hand side. tape NULL: only read for its names.
 * find may be NULL when tape is.
 */
void parse_formula(struct firn_tape *tape, const char *text, firn_find_name *find, void *context,
		   struct parsed *ret);

/* left side = right side; result is their difference. */
void parse_equation(struct firn_tape *tape, const char *text, firn_find_name *find, void *context,
		    struct parsed *ret);

#endif
