/* Dates in words. Nothing here reads a clock. */
#ifndef REPORT_TIMES_H
#define REPORT_TIMES_H

#include <stdint.h>

/* "24 November 2026" from "2026-11-24"; a copy of the text itself when it is no such date. */
char *report_date_words(const char *date);

/* "23 to 25 September 2026" and the like, of two times in UTC, as days of a place that is so many
   minutes ahead of UTC; NULL when they aren't known. */
char *report_period_words(int64_t first_us, int64_t last_us, int utc_offset_min);

#endif
