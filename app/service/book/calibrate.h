/*
 * A calibration in the book from readings to certificate: reduced, checked by somebody, issued,
 * perhaps replaced. From here only `issue` releases a certificate.
 */
#ifndef SERVICE_BOOK_CALIBRATE_H
#define SERVICE_BOOK_CALIBRATE_H

#include "app/lab/calibration_result.h"
#include "app/service/book/book.h"

/* What came of a job, computed from bytes alone. */
struct service_reduced {
	lab_calibration *job;
	lab_calibration_result *result;
	GString *json; /* the result's file */
};
bool service_book_compute(GBytes *job, GBytes *readings, struct service_reduced *ret,
			  base_messages *messages);
void service_reduced_clear(struct service_reduced *reduced);

/* Reduces what the records say now. Job, readings and result are kept as files, and the calibration
   becomes "reduced". output: the result as text. */
bool service_calibration_reduce(service_book *book, const struct service_act *act, const char *id,
				GString *output, base_messages *messages);

/*
 * The person has seen it and agrees: the calibration becomes "checked". Refused when the person
 * measured or reduced it and the laboratory's rule forbids that, when the records have changed
 * since it was reduced, or when computing it again gives another result.
 */
bool service_calibration_check(service_book *book, const struct service_act *act, const char *id,
			       base_messages *messages);

/*
 * The certificate, in one transaction: its bytes, its data file, the job and the readings behind
 * them, and what it was made with. Refused unless the calibration is checked and its records are
 * unchanged; while a nonconformity about it is open; for equipment out of service or past its date;
 * outside the laboratory's scope or below its capability; while a gate is closed (gates.h); and
 * where clauses of ISO/IEC 17025 are open. replaces: number of the certificate that this one
 * replaces, or NULL.
 */
bool service_certificate_issue(service_book *book, const struct service_act *act,
			       const char *calibration, const char *number, const char *replaces,
			       base_messages *messages);

/* What numbers and pages are made with here and now, as a certificate records it. */
json_t *service_environment(void);

#endif
