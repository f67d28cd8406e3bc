/* Which named limits hold on a day, and whence. */
#ifndef SERVICE_BOOK_LIMITS_H
#define SERVICE_BOOK_LIMITS_H

#include "app/lab/criteria.h"
#include "app/service/book/book.h"

struct service_limit {
	const struct lab_criterion *criterion;
	double value;        /* in the criterion's unit; NaN: nothing is asked */
	char *source;        /* as stated with the value */
	char *record, *from; /* id of the record that states it and its first day; NULL: default */
};

struct service_limits {
	char *day;
	GArray *all; /* struct service_limit, in the order of lab_criteria */
};
typedef struct service_limits service_limits;

/*
 * service_limits_on - the limits of a day (YYYY-MM-DD).
 *
 * Of each record of the kind "limits" the last version counts whose first day has come; where
 * several records state one limit, the one with the later first day (of equal ones the later id);
 * where none does, the program's default. NULL with messages when the book can't be read.
 */
service_limits *service_limits_on(service_book *book, const char *day, base_messages *messages);
void service_limits_free(service_limits *limits);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(service_limits, service_limits_free)

/* The limit of a name of lab_criteria. */
const struct service_limit *service_limit_named(const service_limits *limits, const char *name);

/* "CCT Guide, ch. 5 (2018), 4.2 (default)" or "QM 7.3 (limits L1 from 2031-01-01)". Release with
   g_free. */
char *service_limit_source(const struct service_limit *limit);

void service_limits_print(const service_limits *limits, GString *to);

#endif
