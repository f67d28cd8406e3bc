/* The reproducibility of realisations, from check thermometers into budgets. */
#ifndef SERVICE_BOOK_REPRODUCIBILITY_H
#define SERVICE_BOOK_REPRODUCIBILITY_H

#include "app/service/book/book.h"

/*
 * service_book_take_reproducibility - the pooled s of each fixed point and its degrees of freedom,
 * as they were before the calibration's first reading, become the term `reproducibility` of its
 * visits to that point.
 *
 * A point whose history has fewer values than check_thermometer_least on the day keeps the term
 * that its visits have. Needs a reason; refused for a calibration with a certificate. Returned, to
 * release with json_decref: {"calibration", "visits": [{"visit", "point", "was_mK", "is_mK", "dof",
 * "values"}]}; is_mK null: kept, for want of values. NULL with messages when nothing was written.
 */
json_t *service_book_take_reproducibility(service_book *book, const struct service_act *act,
					  const char *calibration, base_messages *messages);

#endif
