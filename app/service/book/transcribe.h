/* Readings of old files and notebooks into a visit of the book. */
#ifndef SERVICE_BOOK_TRANSCRIBE_H
#define SERVICE_BOOK_TRANSCRIBE_H

#include "app/service/book/book.h"

struct service_transcription {
	const char *visit;    /* in the book, open, of provenance "transcribed" or "imported" */
	const char *file;     /* the readings, in whatever form */
	const char *again;    /* the same, entered a second time; NULL: not */
	const char *again_by; /* by whom: not the one who acts; NULL without a second entry */
	const char *map;      /* what the form means */
};

/*
 * Adds the readings, sealed, keeps the bytes of both files and who made the second entry, and
 * closes the visit. Two entries are made by two people and must agree in every reading; where they
 * don't, each difference is told with both lines, and nothing is written.
 * ret_n: readings that were added.
 */
bool service_book_transcribe(service_book *book, const struct service_act *act,
			     const struct service_transcription *t, size_t *ret_n,
			     base_messages *messages);

#endif
