/*
 * A guided procedure: steps in order, each with its reason, times, limits, checks, what is to be
 * written down, and the cautions that are shown before it. Plain words; it computes nothing and
 * moves nothing.
 */
#ifndef LAB_PROCEDURE_H
#define LAB_PROCEDURE_H

#include "app/base/messages.h"
#include "app/lab/caution.h"

#include <glib.h>

/* How long a step takes, as the unit of the file has it; NaN: open at that end. */
struct lab_step_time {
	double least, most;
	const char *unit; /* "s", "min", "h", "d"; NULL: nothing is said */
	const char *source;
};

struct lab_step_limit {
	const char *what, *unit, *source;
	double low, high; /* NaN: open at that end */
};

struct lab_step {
	const char *id, *what, *why, *source;
	struct lab_step_time time;
	GArray *limits;        /* struct lab_step_limit */
	GPtrArray *checks;     /* const char *: what must be so before the next step */
	GPtrArray *write_down; /* const char * */
	GPtrArray *cautions;   /* const struct lab_caution * */
	const char
	    *changed; /* "changed" or "added" by the laboratory; NULL: as the program has it */
};

struct lab_procedure {
	const char *name, *title;
	const char *point, *method; /* NULL: none is stated */
	const char *laboratory;     /* where the laboratory's own words come from; NULL: none */
	GPtrArray *steps;           /* struct lab_step * */
	GPtrArray *own_cautions;    /* struct lab_caution *: not the program's */
	GStringChunk *text;
};
struct lab_procedure *lab_procedure_new(void);
void lab_procedure_free(struct lab_procedure *procedure);
typedef struct lab_procedure lab_procedure;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_procedure, lab_procedure_free)

/* Keeps a copy of a text for as long as the procedure; NULL stays NULL. */
const char *lab_procedure_text(struct lab_procedure *procedure, const char *text);

/* A step with nothing in it, put before the one at a place; steps->len: the last. */
struct lab_step *lab_procedure_add_step(struct lab_procedure *procedure, guint at, const char *id);
void lab_procedure_remove_step(struct lab_procedure *procedure, guint at);

/* The step of an id, and where it stands; NULL: there is none. ret_at may be NULL. */
struct lab_step *lab_procedure_step(const struct lab_procedure *procedure, const char *id,
				    guint *ret_at);

/* A caution of the procedure's own file, or else the program's; NULL: there is none. */
const struct lab_caution *lab_procedure_caution(const struct lab_procedure *procedure,
						const char *id);

#endif
