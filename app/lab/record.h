/*
 * The records of the book: people, equipment, cells, visits, calibrations, ... What a record of
 * each kind may say is data (kinds.c), so that checking, export, import and the documentation can't
 * disagree.
 *
 * A record is a JSON object. What a calibration's computation needs of it stands under "job", with
 * the keys of a job file (data/schema), and is checked where it is read; the rest is the
 * laboratory's own and is checked here. Times are RFC 3339 in UTC, dates YYYY-MM-DD.
 */
#ifndef LAB_RECORD_H
#define LAB_RECORD_H

#include "app/base/messages.h"

#include <glib.h>
#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

enum lab_field_type {
	LAB_TEXT,       /* one line or more; not empty */
	LAB_NUMBER,     /* low to high */
	LAB_TIME,       /* of the day, with an offset */
	LAB_DATE,       /* of the calendar */
	LAB_YES_NO,     /* true or false */
	LAB_CHOICE,     /* one of `of`, words parted by | */
	LAB_REFERENCE,  /* id of a record of the kind `of`; several kinds parted by | */
	LAB_REFERENCES, /* a list of them */
	LAB_HASH,       /* SHA-256 of a file that the book keeps */
	LAB_LIST,       /* a list of objects with `fields` */
	LAB_OBJECT,     /* an object with `fields` */
	LAB_JOB, /* an object with the keys of a job file; references in it are in `fields` */
};

struct lab_field {
	const char *name;
	enum lab_field_type type;
	bool needed;
	const char *of;
	const struct lab_field *fields; /* ends with a name of NULL */
	double low, high;
	const char *what; /* for people, with the unit */
};

/* One state of a record and the states that may follow it. */
struct lab_state {
	const char *name, *next; /* words parted by |; "" none */
};

struct lab_kind {
	const char *name; /* "heat treatment": one or more words */
	const char *what;
	const struct lab_field *fields;
	const struct lab_state
	    *states;     /* NULL: the kind has none; else the field "state" holds it */
	const char *act; /* authorisation that writing one asks for */
};

/* All kinds, ends with a name of NULL, in the order in which an import can write them: what is
   referred to stands before what refers. */
extern const struct lab_kind lab_kinds[];
const struct lab_kind *lab_kind_named(const char *name); /* NULL: there is none */

/*
 * lab_record_check - whether a body says what a record of the kind may say, and all it must.
 *
 * Every fault is one error: file is `label` ("cell W1"), the text names the field. References are
 * checked for form only (lab_record_references lists them for whoever knows the book).
 */
bool lab_record_check(const struct lab_kind *kind, const json_t *body, const char *label,
		      base_messages *messages);

/* Called for each reference in a body: field path ("job.cell"), kinds that it may be of, id. */
typedef void lab_each_reference(const char *path, const char *kinds, const char *id, void *data);
void lab_record_references(const struct lab_kind *kind, const json_t *body,
			   lab_each_reference *each, void *data);

/* Called for each SHA-256 of a file. */
void lab_record_files(const struct lab_kind *kind, const json_t *body, lab_each_reference *each,
		      void *data);

/* Whether a record may go from one state to the next; from NULL: a new record's first state. */
bool lab_state_may_follow(const struct lab_kind *kind, const char *from, const char *to);

/* An id: letters, digits and - _ . / between them, 1 to 60 bytes. */
bool lab_id_is_valid(const char *id);

#endif
