/* Many acts at once: what a laboratory brings from elsewhere, or what another program writes. */
#ifndef SERVICE_BOOK_LOAD_H
#define SERVICE_BOOK_LOAD_H

#include "app/service/book/book.h"

/*
 * service_book_load - the acts of a file, one JSON object a line, all of them or none.
 *
 * Each act is carried out by the use case that its "do" names, with that one's rules and rights
 * (docs/book.md lists what each takes). who, when, why: of the act; who and why default to those of
 * `act`, when to the clock. "when" is for books of simulated work, and must not go backwards. The
 * path of a job file or of readings counts from the folder of `path`. The first act that is refused
 * ends it, with the number of its line. Returned: true with the number of acts, all of them on the
 * disk; else false with messages, and the book as it was.
 */
bool service_book_load(service_book *book, const struct service_act *act, const char *path,
		       int *ret_n, base_messages *messages);

#endif
