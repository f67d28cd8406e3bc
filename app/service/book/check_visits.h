/* What check thermometers said of a fixed point over the years. */
#ifndef SERVICE_BOOK_CHECK_VISITS_H
#define SERVICE_BOOK_CHECK_VISITS_H

#include "app/lab/calibration.h"
#include "app/service/book/book.h"

struct service_check_visit {
	char *visit, *thermometer, *cell;
	char *realisation; /* NULL: none is named */
	char *tpw;         /* visit whose R(TPW) divides; NULL at the triple point of water */
	int64_t time_us;   /* of its first reading; BASE_NO_TIME: none */
	double value, u_K; /* R(TPW) in ohm, or W; NaN where left_out says why */
	char *left_out;    /* NULL: it counts */
};

/*
 * service_check_visits - every visit of a check thermometer to the point, by time.
 *
 * R(TPW) and W are reduced anew from the readings, as a calibration would. W is divided by the
 * R(TPW) that the visit names, or else by the thermometer's next one after it, or else the last one
 * before it. A visit is left out, with the reason, while a nonconformity about it is open and where
 * it can't be reduced (no readings, all of them excluded, no R(TPW)).
 * Returned: struct service_check_visit; NULL with messages when the book can't be read.
 */
GArray *service_check_visits(service_book *book, enum lab_point point, base_messages *messages);

/* Time of a visit's first reading; BASE_NO_TIME when it has none or they have none. */
int64_t service_visit_time(service_book *book, const char *visit);
int64_t service_visit_end(service_book *book, const char *visit); /* the same of its last one */

#endif
