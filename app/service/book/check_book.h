/* Whether what the records say holds together, beyond what the store proves of their bytes. */
#ifndef SERVICE_BOOK_CHECK_BOOK_H
#define SERVICE_BOOK_CHECK_BOOK_H

#include "app/service/book/book.h"

/*
 * service_book_check_records - each fault to `fault` as a sentence with its place.
 *
 * Of every record's latest version: it says what its kind may say and all it must (a value of
 * equipment with U, k or p, date and due date among it); what it refers to, and the files that it
 * names, are in the book. Of readings: they belong to a visit; what a visit sets aside is there.
 * False with messages only when the book can't be read.
 */
bool service_book_check_records(service_book *book, store_fault *fault, void *data,
				base_messages *messages);

/* Equipment in service whose latest certificate has ended, a line each: no fault of the book, and
   somebody must see to it. Today, or on the last day of a simulated book. */
bool service_book_tell_overdue(service_book *book, GString *to, base_messages *messages);

#endif
