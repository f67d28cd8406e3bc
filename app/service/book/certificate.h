/* A certificate that was issued: its files again, and the same computed anew. */
#ifndef SERVICE_BOOK_CERTIFICATE_H
#define SERVICE_BOOK_CERTIFICATE_H

#include "app/service/book/book.h"

/* Bytes of one of its files: "pdf", "result", "job" or "readings"; NULL with messages. */
GBytes *service_certificate_file(service_book *book, const char *number, const char *which,
				 base_messages *messages);

struct service_recomputation {
	bool same_environment; /* program, libraries and constants are those of the day of issue */
	bool same_bytes;       /* of the PDF and of the result */
	int n_numbers;         /* numbers of the result that were compared */
	double largest;        /* relative difference of two numbers; 0: none */
	GString *report;       /* what was done and what differs, for people */
	bool holds;            /* same bytes; or, elsewhere, all numbers within 1e-12 */
};

/*
 * service_certificate_recompute - the certificate once more, from the job and the readings that it
 * kept, and those readings against the book's own.
 *
 * In the environment that the certificate records, its PDF and its result must come out with the
 * same bytes; in another, every number of the result within 1e-12 relative (of the largest in its
 * list). Returned: false with messages when it could not be computed; else what was found.
 */
bool service_certificate_recompute(service_book *book, const char *number,
				   struct service_recomputation *ret, base_messages *messages);

#endif
