/*
 * Whose work a calibration is: ISO/IEC 17025:2017, 7.8.1.1 and 6.2.6 leave it to the laboratory
 * whether one may check or issue one's own. The rule stands in the record laboratory
 * (may_check_own_work, may_issue_own_work), and a certificate records which version of it held.
 */
#ifndef SERVICE_BOOK_OWN_WORK_H
#define SERVICE_BOOK_OWN_WORK_H

#include "app/service/book/book.h"

enum service_step { SERVICE_CHECKING, SERVICE_ISSUING };

/*
 * Whether the rule lets the person do the step.
 *
 * Own is what one has measured (named in any version of the calibration, named in a visit, or
 * having brought readings into one) or reduced; of an issue, checked too. messages: NULL, or what
 * the refusal is told to.
 */
bool service_may_do_step(service_book *book, const char *id, const json_t *calibration,
			 const char *person, enum service_step step, base_messages *messages);

/* Whether signatory, checker and those who measured and reduced are not all different people. */
bool service_is_own_work(service_book *book, const char *id, const json_t *calibration,
			 const char *signatory);

/* The rule that holds, as a certificate records it: {"laboratory_version", "may_check_own_work",
   "may_issue_own_work"}. */
json_t *service_rule_of_own_work(service_book *book);

#endif
