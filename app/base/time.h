/* Times of readings and dates of papers: RFC 3339 and nothing else. */
#ifndef BASE_TIME_H
#define BASE_TIME_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define BASE_NO_TIME INT64_MIN

/*
 * base_time_parse - microseconds since 1970-01-01T00:00:00Z of a text such as
 * 2026-11-24T09:30:00.25+01:00.
 *
 * RFC 3339, section 5.6, with an offset; a space may stand for the T. Decimals of a second beyond
 * the sixth are cut off. A leap second (23:59:60 UTC) counts as the second that follows it.
 * Returned: NULL and *ret_us; or, for a message, what is wrong and what would be right ("has no
 * offset from UTC; ..."), with *ret_us untouched. Static text.
 */
const char *base_time_parse(const char *text, size_t length, int64_t *ret_us);

#define BASE_TIME_SIZE 32 /* bytes that a printed time needs, its end included */

/* 2026-11-24T08:30:00.25Z: UTC, with as many decimals as it takes. Years 0000 to 9999; the text is
   empty for BASE_NO_TIME and beyond. */
void base_time_print(int64_t us, char ret[BASE_TIME_SIZE]);

/* Whether a text is a date of the calendar, YYYY-MM-DD. */
bool base_date_is_valid(const char *text);

#endif
