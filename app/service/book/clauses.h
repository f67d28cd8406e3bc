/* What ISO/IEC 17025:2017 wants on a certificate, and where a book has it. */
#ifndef SERVICE_BOOK_CLAUSES_H
#define SERVICE_BOOK_CLAUSES_H

#include "app/lab/calibration_result.h"
#include "app/service/book/book.h"

/* Whether the certificate of a calibration would say all of it; an error for each clause that is
   open, with the record that can close it. Number, date and signatory come with the issue. */
bool service_release_meets_clauses(const char *id, const lab_calibration *job,
				   const lab_calibration_result *result, base_messages *messages);

#endif
