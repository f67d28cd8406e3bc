/* A long CSV file of readings into a visit of the book, straight into sealed blocks. */
#ifndef SERVICE_BOOK_ADD_READINGS_H
#define SERVICE_BOOK_ADD_READINGS_H

#include "app/service/book/book.h"

/*
 * Adds the readings of a file (the columns of readings.csv but for visit) at the end of those of an
 * open visit, which stays open. The file is read once, in memory that doesn't grow with it. All of
 * its readings are in the book afterwards, or, where anything is wrong with any of them, none; what
 * is wrong is told with line and column. The file itself isn't kept.
 *
 * ret_n: readings that were added.
 */
bool service_book_add_readings(service_book *book, const struct service_act *act, const char *visit,
			       const char *path, size_t *ret_n, base_messages *messages);

#endif
