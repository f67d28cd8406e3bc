/* Members of a record as numbers and times. */
#ifndef SERVICE_BOOK_MEMBERS_H
#define SERVICE_BOOK_MEMBERS_H

#include <jansson.h>
#include <stdint.h>

/* NaN when it isn't there. */
double service_book_number_of(const json_t *body, const char *name);

/* BASE_NO_TIME when it isn't there. */
int64_t service_book_time_of(const json_t *body, const char *name);

#endif
