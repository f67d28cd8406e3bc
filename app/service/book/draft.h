/* A calibration as it would be on paper, before anybody answers for it. */
#ifndef SERVICE_BOOK_DRAFT_H
#define SERVICE_BOOK_DRAFT_H

#include "app/service/book/book.h"

struct service_draft {
	GBytes *job, *readings; /* as a job file and its readings: `firn reduce` takes them */
	GBytes *result;         /* the data file */
	GBytes *pdf;            /* marked DRAFT */
};

/* From the records as they are now. False with messages; release with service_draft_clear in any
   case. */
bool service_calibration_draft(service_book *book, const char *calibration,
			       struct service_draft *ret, base_messages *messages);
void service_draft_clear(struct service_draft *draft);

#endif
