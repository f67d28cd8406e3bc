/* A job file and its readings into the book. */
#ifndef SERVICE_BOOK_IMPORT_JOB_H
#define SERVICE_BOOK_IMPORT_JOB_H

#include "app/service/book/book.h"

/*
 * service_book_import_job - registers what a job tells of and the book doesn't know (thermometer,
 * resistors, bridges, cells), a visit for each of its visits with its readings, sealed, and the
 * calibration, in the state measuring.
 *
 * The job is first read as `firn reduce` would; a job with an error is not imported. Equipment that
 * is known must say the same as the job, or the difference is an error: the book is not changed by
 * the way. calibration: its id in the book; its visits are CALIBRATION/ID. The bytes of both files
 * are kept.
 */
bool service_book_import_job(service_book *book, const struct service_act *act, const char *path,
			     const char *calibration, const char *provenance,
			     base_messages *messages);

#endif
