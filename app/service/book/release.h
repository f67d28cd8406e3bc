/* What must hold before a certificate is issued. Each adds every reason against it to the messages.
 */
#ifndef SERVICE_BOOK_RELEASE_H
#define SERVICE_BOOK_RELEASE_H

#include "app/lab/calibration_result.h"
#include "app/service/book/book.h"

/* The calibration is checked and unchanged since; the signatory may issue it; no nonconformity
   about it, its visits or its equipment is open; its equipment is in service and was within its
   dates; a replacement says why and replaces one that is issued. */
bool service_release_allowed(service_book *book, const struct service_act *act, const char *id,
			     const json_t *calibration, const char *replaces,
			     base_messages *messages);

/* Of these, what stands in the records whoever issues: no nonconformity about it, its visits or its
   equipment is open, and its equipment is in service. */
bool service_release_unhindered(service_book *book, const char *id, const json_t *calibration,
				base_messages *messages);

/* Every temperature of the result's tables lies within the laboratory's scope, with U not below
   what the scope states. A laboratory without any scope issues nothing. */
bool service_release_within_scope(service_book *book, const char *id,
				  const struct lab_calibration_result *result,
				  base_messages *messages);

/* Kelvin at the triple point of water in a relative change of R(TPW). */
double service_tpw_kelvin(double relative);

/* The least U (k = 2) that a laboratory's scope states for a temperature, mK; NaN outside of it. */
double service_capability_mK(const json_t *scope, double t_C);

/* Equipment that has certificates was within the date of the latest of them on the day of the last
   reading (ISO/IEC 17025:2017, 6.4.8). */
bool service_release_within_dates(service_book *book, const char *id, const json_t *calibration,
				  const struct lab_calibration_result *result,
				  base_messages *messages);

/* The calibration behind a certificate that was replaced; one that has issued another since stays.
 */
bool service_release_retire_calibration(service_book *book, const struct service_act *act,
					const char *id, base_messages *messages);

/* What the records say is what was reduced, and computing it again gives the same result. */
bool service_calibration_still_holds(service_book *book, const char *id, const json_t *body,
				     base_messages *messages);

#endif
