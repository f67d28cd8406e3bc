/* A certificate's data file beside the same result computed again. */
#ifndef SERVICE_BOOK_RECORDED_H
#define SERVICE_BOOK_RECORDED_H

#include "app/lab/calibration_result.h"

#include <jansson.h>

/*
 * service_compare_results - two results as JSON, number by number and text by text.
 *
 * Left out: who computed them ("program"). Numbers are compared relative to the larger of both;
 * what differs by more than `limit` (and every text that differs, and what stands in one alone) is
 * told.
 */
struct service_differences {
	int n_numbers;       /* that were compared */
	int n_unequal;       /* of them, those that are not the same double */
	double largest;      /* relative difference of two numbers */
	int n;               /* what differs by more than the limit */
	json_t *differences; /* {"path", "was", "is"}, the first of them */
};
void service_compare_results(const json_t *was, const json_t *is, double limit,
			     struct service_differences *ret);
#define SERVICE_DIFFERENCES_TOLD 20

/* The numbers of a recorded result in the place of those of a result of the same job, wherever both
   have one: all that a certificate prints. */
void service_take_recorded(const json_t *recorded, struct lab_calibration_result *into);

#endif
