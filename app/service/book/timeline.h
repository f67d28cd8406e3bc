/* Everything that happened to a thing, and everything behind a certificate. */
#ifndef SERVICE_BOOK_TIMELINE_H
#define SERVICE_BOOK_TIMELINE_H

#include "app/service/book/book.h"

typedef void service_timeline_visit(const struct store_entry *entry, const json_t *body,
				    void *data);

/* Visits each entry of the log that is a version of a record of that id, or refers to it, in the
   order of the log. False with a message when there is none. */
bool service_timeline(service_book *book, const char *id, service_timeline_visit *visit, void *data,
		      base_messages *messages);

/*
 * service_trace - from a certificate back to the observations.
 *
 * Who measured, reduced, checked and issued, and when; the files by their SHA-256; each visit with
 * its readings, their blocks and hashes, and the equipment behind it with its certificates. what: a
 * number of the certificate as `firn reduce --explain` names it, unfolded down to its readings;
 * NULL: none.
 */
bool service_trace(service_book *book, const char *number, const char *what, GString *to,
		   base_messages *messages);

#endif
