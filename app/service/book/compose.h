/* The job and the readings of a calibration, as its records in the book state them. */
#ifndef SERVICE_BOOK_COMPOSE_H
#define SERVICE_BOOK_COMPOSE_H

#include "app/service/book/book.h"

/* Named as files, though they stand in the book: for messages and for the result's list of inputs.
 */
#define SERVICE_JOB_NAME      "job.yaml"
#define SERVICE_READINGS_NAME "readings.csv"

/* What a certificate that is about to be issued adds to the job. */
struct service_release {
	const char *number, *date, *name, *function;
	const char *replaces; /* what it says of the certificate that it replaces; NULL: none */
};

/*
 * service_book_compose - bytes of the job and of its readings.
 *
 * The same records give the same bytes, on any database. In the job a visit's id is the part behind
 * the last / of its id in the book. Readings set aside by an exclusion carry its reason as flag.
 * release NULL: a draft. Returned: false with messages, or both, to release with g_bytes_unref.
 */
bool service_book_compose(service_book *book, const char *calibration, const json_t *body,
			  const struct service_release *release, GBytes **ret_job,
			  GBytes **ret_readings, base_messages *messages);

/* The same for who wants values and no certificate: visits of `body`, with the job that it states,
   without the report. It need not be a calibration of the book. */
bool service_book_compose_values(service_book *book, const json_t *body, GBytes **ret_job,
				 GBytes **ret_readings, base_messages *messages);

/* The part of a visit's id that its job knows. */
const char *service_visit_in_job(const char *visit);

#endif
