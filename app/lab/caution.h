/*
 * What can hurt somebody: short words to be shown before the step that meets it. The program's own
 * stand in data/cautions.csv; a laboratory adds others in its files. None replaces local rules,
 * the supplier's safety sheet or licensed practice, and whoever shows one says so.
 */
#ifndef LAB_CAUTION_H
#define LAB_CAUTION_H

#include <stddef.h>

struct lab_caution {
	const char *id;
	const char *hazard; /* a few words: "Dry ice" */
	const char *words;  /* what to do about it */
	const char *figures,
	    *source; /* numbers, and where all of it is from; figures may be NULL */
};

/* In the order of the table; ends with an id of NULL. */
extern const struct lab_caution lab_cautions[];
const struct lab_caution *lab_caution_named(const char *id); /* NULL: there is none */

/* What stands under every list of cautions. */
#define LAB_CAUTION_RULE                                                                           \
	"Local rules, the supplier's safety sheet and licensed practice come first; this "         \
	"replaces "                                                                                \
	"no training."

#endif
