/* A certificate that was issued: its files again, and the same computed anew. */
#ifndef SERVICE_BOOK_CERTIFICATE_H
#define SERVICE_BOOK_CERTIFICATE_H

#include "app/service/book/book.h"

/* Bytes of one of its files: "pdf", "result", "job" or "readings"; NULL with messages. */
GBytes *service_certificate_file(service_book *book, const char *number, const char *which,
				 base_messages *messages);

/*
 * service_certificate_recompute - the certificate once more, from the job and the readings that it
 * kept, and those readings against the book's own.
 *
 * Returned: what was found, to release with json_decref; NULL with messages when it could not be
 * computed.
 *   certificate, state
 *   holds              all of the following: no number differs by more than 1e-12 relative, nothing
 *                      that is printed differs, the readings are the book's; and where program,
 *                      libraries and constants are those of the day of issue, the bytes are too
 *   numbers, unequal   compared; not the same double
 *   largest_relative_difference
 *   differing, differences   how many differ by more than 1e-12 relative; of the first of them
 *                      {"path", "was", "is"}
 *   print              {"texts", "differing", "differences": [{"was", "is"}]}: the pages drawn by
 *                      this program from the recorded numbers and from the new ones
 *   same_bytes, same_environment, same_constants, same_readings
 *   issued_with, computed_with   program, libraries and constants
 * Where the constants are others, the differences are what this program's constants change.
 */
json_t *service_certificate_recompute(service_book *book, const char *number,
				      base_messages *messages);

#endif
