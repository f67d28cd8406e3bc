/* What a certificate has to say in words and the book knows. */
#ifndef SERVICE_BOOK_REPORT_TEXTS_H
#define SERVICE_BOOK_REPORT_TEXTS_H

#include "app/service/book/book.h"

/*
 * service_report_texts - fills in what job and report leave open (ISO/IEC 17025:2017, 7.8):
 *
 *   received        day of the latest receipt before the first reading (7.8.2.1 h)
 *   condition       of the thermometer, as that receipt says, with R(TPW) as received (g)
 *   stabilisation   heat treatments since then
 *   conditions      of the calibration's ambient records (7.8.4.1 b)
 *   traceability    the latest certificate of each standard before the last reading (7.8.4.1 c)
 *   method          its end names the decision rule of the order (7.8.6.2 c)
 *
 * job: as composed, its visits, resistors, bridges and cells in it. The same records give the same
 * texts.
 */
bool service_report_texts(service_book *book, const json_t *calibration, json_t *job,
			  json_t *report, base_messages *messages);

#endif
