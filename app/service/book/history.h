/* The history of check thermometers as a chart in words, and what it says of a visit. */
#ifndef SERVICE_BOOK_HISTORY_H
#define SERVICE_BOOK_HISTORY_H

#include "app/calc/check_standard.h"
#include "app/service/book/check_visits.h"
#include "app/service/book/limits.h"

struct service_history {
	enum lab_point point;
	GArray *visits;   /* struct service_check_visit, by time */
	GArray *values;   /* struct calc_check_value of those visits that were not left out */
	GArray *visit_of; /* int: the visit of each value */
	struct calc_check_history found;
	double k;
};
typedef struct service_history service_history;

/*
 * service_history_at - all check thermometers at a point, mean and scatter.
 *
 * before_us and realisation: only visits before that time and not in that realisation form mean and
 * s, the others are judged by them (INT64_MAX and NULL: all count). k: of the control limits.
 * NULL with messages when the book can't be read or the point has no values of its own (the vapour
 * pressure point of hydrogen).
 */
service_history *service_history_at(service_book *book, enum lab_point point, double k,
				    int64_t before_us, const char *realisation,
				    base_messages *messages);
void service_history_free(service_history *history);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(service_history, service_history_free)

/* The value of a visit; NULL when it was left out. */
const struct calc_check_value *service_history_value(const service_history *history,
						     const char *visit);

/* How many values of a thermometer count. */
int service_history_count(const service_history *history, const char *thermometer);

/* The series of one check thermometer at a point with its control limits, by the limits of a day,
   and the reproducibility of the point. False with a message when there is none. */
bool service_history_print(service_book *book, const char *thermometer, const char *point,
			   const char *day, GString *to, base_messages *messages);

#endif
