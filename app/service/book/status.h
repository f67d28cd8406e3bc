/* What a laboratory looks at first: what is alive, what waits for whom, what is due, what is wrong.
 */
#ifndef SERVICE_BOOK_STATUS_H
#define SERVICE_BOOK_STATUS_H

#include "app/service/book/book.h"

/*
 * service_book_status - the records as they are now, seen on a day.
 *
 * day: YYYY-MM-DD; NULL: today, or in a book of simulated work the day of its last record. days:
 * how far ahead due dates are told. Returned, to release with json_decref; NULL with messages when
 * the book can't be read: laboratory, day, days alive           realisations that have not ended:
 * realisation, cell, point, method, state, begun, age_days; looked (time of the last inspection),
 * found (what it said) visits          that are open: visit, thermometer, cell, readings waiting
 * calibrations on their way: calibration, thermometer, order, state, since, by (who brought it
 * there), next ("measure", "reduce", "agree", "issue"), persons (ids of those who may do that on
 * the day), held_by (open nonconformities about the calibration, its thermometer or its visits) due
 * equipment in service: kind, id, due (null: it has no certificate), days (to go; below 0: overdue)
 *   orders          that are open: order, customer, promised, days, open (thermometers without a
 *                   certificate of this order)
 *   nonconformities that are open: nonconformity, opened, about, what
 * A member that isn't known is null. Lists are ordered by what is most pressing.
 */
json_t *service_book_status(service_book *book, const char *day, int days, base_messages *messages);

#endif
