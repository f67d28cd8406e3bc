/* Readings set aside: they stay, with who decided it and why, and with what it changes. */
#ifndef SERVICE_BOOK_EXCLUDE_H
#define SERVICE_BOOK_EXCLUDE_H

#include "app/service/book/book.h"

/*
 * service_book_exclude - n readings of a visit from number `first` (from 0) on count no more.
 *
 * The reason is the act's. Refused without one, where the visit has no such readings, and where one
 * of them is set aside already. Returned, to release with json_decref: {"visit", "first", "n",
 * "effects"}: for each calibration that holds the visit and can be reduced with and without them,
 * {"calibration", "state", "point", "what" ("R(TPW)" in ohm, or "W"), "was", "is", "change_mK",
 * "u_mK" (of the value as it is)}. NULL with messages when nothing was written.
 */
json_t *service_book_exclude(service_book *book, const struct service_act *act, const char *visit,
			     int64_t first, int64_t n, base_messages *messages);

#endif
